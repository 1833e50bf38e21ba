"""How unlike two parts are: the cost of taking one for the other.

A cost is a whole number. The weights say how much a difference speaks against two rows being the same part;
they are our own judgement, and the campaign under ``tests/campaign`` measures what they are worth.
"""

from __future__ import annotations

from revdiff.compare.kinds import kinds_of_fields
from revdiff.design import PartData, Reading

# Telling that a part went and another came costs as much as this; dearer pairs are not made.
APART = 80
# A designator that changed for no reason seen anywhere else in its class.
STRAY_NUMBER = 60
# A designator that changed where the whole class was renumbered, and the one event that this is.
RENUMBERED = 5
RENUMBERING = 60
# In such a class, a part whose data changed too.
LEFT_OVER = 25
# The most that differing data costs where another part took the designator and left its own free.
DISPLACED = 50
# Two designators exchanged, as one event.
EXCHANGE = 45
# The most that differing data costs while the designator and its class stay what they were.
SAME_PLACE = 70

_WEIGHTS = {
    "value": 30,
    "package": 20,
    "part_number": 20,
    "manufacturer": 10,
    "tolerance": 10,
    "voltage": 10,
    "power": 10,
    "current": 10,
    "dielectric": 10,
    "fitted": 8,
    "description": 5,
    "alternates": 2,
    "lifecycle": 2,
    "cost": 2,
    "currency": 2,
}
_EXTRA = 2
# Nets are evidence of who is who and no change of their own: drawing programs name many of them anew each time.
_NETS = 20
_NAMES = ("value", "package", "part_number")


def difference(old: PartData, new: PartData) -> int:
    """The sum of the weights of the fields that differ; half where only one side says anything."""
    if old == new:
        return 0
    total = 0
    for name, weight in _WEIGHTS.items():
        before: Reading = getattr(old, name)
        after: Reading = getattr(new, name)
        if before != after:
            total += weight if before and after else weight // 2
    if old.extra != new.extra:
        total += _EXTRA
    if old.nets and new.nets and old.nets != new.nets:
        total += _NETS
    return total


def changed_kinds(old: PartData, new: PartData) -> frozenset[str]:
    """The kinds of change that tell the difference of two parts."""
    names = [name for name in _WEIGHTS if getattr(old, name) != getattr(new, name)]
    return frozenset(kinds_of_fields([*names, *(["extra"] if old.extra != new.extra else [])]).values())


def another_thing(old: PartData, new: PartData, passive: bool) -> bool:
    """Whether nothing that names a part stayed: value, package and part number all differ, and the description.

    A passive part is named by its place more than by its data, so it never counts as another thing.
    """
    if passive:
        return False
    compared = [(getattr(old, name), getattr(new, name)) for name in _NAMES]
    known = [(before, after) for before, after in compared if before and after]
    if len(known) < 2 or any(before == after for before, after in known):
        return False
    return not set(old.description.word.split()) & set(new.description.word.split())
