"""Who is who among the parts of one class letter, and what was renumbered.

Several accounts of what happened are drawn up, and the shortest wins, the one that needs fewest changes to be
told: with blocks shifted by one offset, a whole class renumbered in another order, designators exchanged, and for
what is left an optimal assignment between the old and the new parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from revdiff.compare.account import SAME_REF, Account
from revdiff.compare.change import Match
from revdiff.compare.part_class import PartClass, Refs, by_number, offset_of, part_class
from revdiff.compare.shifts import Reach
from revdiff.design import PartData
from revdiff.design.model import readings_of
from revdiff.quantities.designator import natural_key

EXACT = Match("exact", 1.0, "the same designator and the same data")

_SMALL_CLASS = 400  # parts without an equal one under their designator, up to which other accounts are tried
_WEAK_BLOCKS = 3
_REACHES: tuple[Reach, ...] = ("near", "alike", "far", "end")


@dataclass(frozen=True, slots=True)
class Renumbering:
    """One event: its shape in words and the designators it covers, as (old, new)."""

    pattern: str
    pairs: tuple[tuple[str, str], ...]
    match: Match


@dataclass(frozen=True, slots=True)
class Pairing:
    """Who is who in one class: (old, new, why) for each pair, and the renumbering events among them."""

    pairs: tuple[tuple[str, str, Match], ...]
    renumberings: tuple[Renumbering, ...] = ()


def match_class(old: Refs, new: Refs, data: Sequence[PartData], *, passive: bool) -> Pairing:
    """Matches the parts of one class letter. ``old`` and ``new``: designator to kind; ``data``: part data by kind.

    Blocks that chance can't explain are taken as such. In a small class, where nothing is beyond chance, a block
    is taken where it makes the account shorter.
    """
    # Both directions are worked out in one of them, so that B to A tells the mirror image of A to B.
    if _order_of(old, new, data) > _order_of(new, old, data):
        return _turned(_match(part_class(new, old, data, passive=passive)))
    return _match(part_class(old, new, data, passive=passive))


def _match(parts: PartClass) -> Pairing:
    account = Account(parts)
    least = account.told()
    if least > 1 and max(len(parts.left), len(parts.right)) <= _SMALL_CLASS and parts.could_be_shorter():
        for weak in range(_WEAK_BLOCKS + 1):
            tried = [Account(parts, weak, reach) for reach in (_REACHES if weak else (*_REACHES, None))]
            for other in tried:
                if other.weak == weak and (told := other.told()) < least:
                    account, least = other, told
            if least <= 1 or all(other.weak < weak for other in tried):
                break
    pairs = [(ref, ref, EXACT) for ref in parts.old if ref not in account.left and ref not in account.pairs]
    pairs += [(ref, other, match) for ref, (other, match) in account.pairs.items()]
    events = [Renumbering(event.pattern, tuple(event.pairs), event.match) for event in account.events]
    return Pairing(tuple(pairs), tuple(events))


def _order_of(one: Refs, two: Refs, data: Sequence[PartData]) -> tuple[int, list[str], str]:
    """A key that differs between the two sides of a class that changed, whichever is called old."""
    alone = sorted(ref for ref in one if ref not in two)
    changed = min((ref for ref, kind in one.items() if two.get(ref, kind) != kind), default="")
    meanings = [item.meaning for item in readings_of(data[one[changed]]).values()] if changed else []
    return len(one), alone, f"{changed} {meanings}"


def _turned(pairing: Pairing) -> Pairing:
    events = []
    for event in pairing.renumberings:
        pairs = by_number([(two, one) for one, two in event.pairs])
        pattern = f"shifted by {offset_of(pairs):+d}" if event.pattern.startswith("shifted") else event.pattern
        evidence = event.match.evidence.replace(event.pattern, pattern) if event.pattern else event.match.evidence
        events.append(Renumbering(pattern, tuple(pairs), replace(event.match, evidence=evidence)))
    return Pairing(tuple((two, one, match) for one, two, match in pairing.pairs), tuple(events))


def match_names(old: Refs, new: Refs) -> Pairing:
    """Matches by designator alone."""
    names = sorted((ref for ref in old if ref in new), key=natural_key)
    return Pairing(tuple((ref, ref, EXACT if old[ref] == new[ref] else SAME_REF) for ref in names))
