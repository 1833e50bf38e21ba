"""Rules of parts: changes that look small in a parts list and are not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import partial
from typing import Any

from revdiff.compare.change import Change, FieldChange
from revdiff.compare.part_changes import REPLACED, describe
from revdiff.design import Part, PartData, Reading
from revdiff.design.reading import compare_readings
from revdiff.judge.arrangement import Member
from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Item, Margin, holds
from revdiff.quantities.designator import compress
from revdiff.quantities.dielectric import not_worse, read_dielectric
from revdiff.quantities.quantity import show
from revdiff.quantities.tolerance import Tolerance, show_tolerance

# A factor of ten is the commonest slip: one prefix step or one digit of a code.
_FACTOR = Decimal(10)
# Words of the trade for parts that go out of production (common practice, no source).
_ENDING = ("obsolete", "last order", "last time buy", "end of life", "eol", "not recommended", "nrnd", "discontinued")

Placed = tuple[Member, Part]


def _of(revisions: Revisions, board: str, subject: str, what: Any, *refs: tuple[str, str], changes: Any) -> Item:
    """``refs``: (designator before, designator now), empty where there is none."""
    old, new = revisions.member(board, "old"), revisions.member(board, "new")
    records: list[Placed] = []
    for one, two in refs:
        records += [(old, old.board.parts[one])] if one in old.board.parts else []
        records += [(new, new.board.parts[two])] if two in new.board.parts else []
    return Item(subject, (board, subject), (old, new), tuple(records), what, changes=changes)


def _replaced(key: Callable[[PartData, PartData], object], revisions: Revisions, name: str = "") -> Iterator[Item]:
    """Parts that were replaced in one way, by what a rule sees in (before, now); None: nothing."""
    for change in revisions.of_kind(*REPLACED):
        old, new = (revisions.member(change.board, role).board.parts for role in ("old", "new"))
        alike: dict[object, list[tuple[str, str]]] = {}
        for one, two in change.pairs:
            seen = key(old[one].data, new[two].data)
            if seen is not None:
                alike.setdefault(seen, []).append((one, two))
        for seen, refs in alike.items():
            subject = f"{compress([two for _, two in refs])} {name}".strip()
            yield _of(revisions, change.board, subject, seen, *refs, changes=(change.id,))


def _moved(before: Reading, after: Reading) -> bool:
    return bool(before and after) and compare_readings(before, after) == "different"


def _step(before: PartData, after: PartData) -> object:
    old, new = before.value.quantity, after.value.quantity
    if old is None or new is None or old.unit != new.unit or not old.magnitude or not new.magnitude:
        return None
    meant = _moved(before.part_number, after.part_number) or _moved(before.description, after.description)
    return old, new, meant


def _magnitude(_ask: Ask, item: Item) -> Margin | None:
    old, new, meant = item.what
    ratio = new.magnitude / old.magnitude
    message = f"the value goes from {show(old)} to {show(new)}: a slip of a prefix or of a digit looks like this"
    told = f"{float(ratio):.4g}" if ratio >= 1 else f"1/{float(1 / ratio):.4g}"
    slip = max(ratio, 1 / ratio) >= _FACTOR and not meant
    return holds(not slip, message, f"{show(new)} / {show(old)} = {told}", "a factor below 10")


def _kept(revisions: Revisions) -> Iterator[Item]:
    for name in ("value", "package"):

        def seen(before: PartData, after: PartData, name: str = name) -> object:
            one, two = getattr(before, name), getattr(after, name)
            if not before.part_number or not after.part_number or not _moved(one, two):
                return None
            return name, one.raw, two.raw, before.part_number == after.part_number, after.part_number.raw

        yield from _replaced(seen, revisions, name)


def _number_kept(_ask: Ask, item: Item) -> Margin | None:
    name, one, two, same, number = item.what
    message = (
        f"the {name} goes from {one} to {two}, and the part number is still {number}: whoever buys by number gets "
        f"another {name} than the list says"
    )
    return holds(not same, message, f"{one} → {two}, {number} → {number}")


def _rated(revisions: Revisions) -> Iterator[Item]:
    for change in revisions.of_kind(*REPLACED):
        for field in change.fields:
            yield _of(
                revisions, change.board, f"{change.subject} {field.name}", field, *change.pairs, changes=(change.id,)
            )


def _reduced(_ask: Ask, item: Item) -> Margin | None:
    field: FieldChange = item.what
    before, after = field.before, field.after
    name = field.name.rpartition(".")[2]
    known = _rating(name, before, after)
    if known is None:
        return None
    kept, figures = known
    message = f"the {name} goes from {before.raw} to {after.raw}: less than the old part was chosen for"
    return holds(kept, message, figures)


def _rating(name: str, before: Reading, after: Reading) -> tuple[bool, str] | None:
    """(whether the rating is no worse, the figures); None where it is no rating, or one that can't be compared."""
    old, new = before.quantity, after.quantity
    if name in ("voltage", "power", "current") and old is not None and new is not None and old.unit == new.unit:
        percent = (new.magnitude / old.magnitude - 1) * 100 if old.magnitude else Decimal(0)
        return new.magnitude >= old.magnitude, f"{show(new)} / {show(old)} = {percent:+.0f} %".replace("-", "−")
    if name == "tolerance":
        one, two = before.meaning, after.meaning
        if isinstance(one, Tolerance) and isinstance(two, Tolerance) and one.unit == two.unit:
            return two.low >= one.low and two.high <= one.high, f"{show_tolerance(one)} → {show_tolerance(two)}"
    if name == "dielectric":
        first, second = read_dielectric(before.raw), read_dielectric(after.raw)
        if first is not None and second is not None:
            return not_worse(first, second), f"{first.code} → {second.code}"
    return None


def _designators(revisions: Revisions) -> Iterator[Item]:
    """Every designator that was taken by a part that is new, or had another: what it named before, if anything."""
    moves = revisions.of_kind("part.renumbered")
    added, removed = revisions.of_kind("part.added"), revisions.of_kind("part.removed")
    left: dict[tuple[str, str], tuple[Change, str]] = {}
    left |= {(change.board, one): (change, two) for change in moves for one, two in change.pairs}
    left |= {(change.board, ref): (change, "") for change in removed for ref, _ in change.pairs}
    came = {(change.board, two): (change, one) for change in moves for one, two in change.pairs}
    taken = {(change.board, ref): (change, "") for change in added for _, ref in change.pairs}
    taken |= {
        place: came[place] for change in removed for ref, _ in change.pairs if (place := (change.board, ref)) in came
    }
    for (board, ref), (change, former) in taken.items():
        before = left.get((board, ref))
        changes = tuple(item[0].id for item in (before, (change, former)) if item is not None)
        old = (
            revisions.old.boards[board].parts.get(ref) if before is not None and board in revisions.old.boards else None
        )
        new = revisions.new.boards[board].parts.get(ref) if board in revisions.new.boards else None
        if new is not None and board in revisions.old.boards:
            what = (old, before[1] if before is not None else "", new, former)
            yield _of(revisions, board, ref, what, (ref if old is not None else "", ref), changes=changes)


def _reused(_ask: Ask, item: Item) -> Margin | None:
    before, other, now, former = item.what
    was, new = describe(before.data) if before is not None else "nothing", describe(now.data)
    message = (
        f"names another part now: it was {was}{f', which is {other} now' if other else ''}; it is "
        f"{new}{f', which was {former}' if former else ''}"
    )
    return holds(before is None, message, f"{was} → {new}")


def _lives(revisions: Revisions) -> Iterator[Item]:
    """Life-cycle states that changed in one way, of one part or of those that a whole new column is about."""
    for change in revisions.of_kind("part.lifecycle", "part.added", "part.column"):
        if not {change.board} <= revisions.old.boards.keys() & revisions.new.boards.keys():
            continue
        states: dict[tuple[str, str], list[FieldChange]] = {}
        for field in change.fields:
            if field.name.rpartition(".")[2] == "lifecycle":
                states.setdefault((field.before.raw, field.after.raw), []).append(field)
        for fields in states.values():
            refs = [field.name.rpartition(".")[0] for field in fields]  # empty where the change is of one part
            subject = compress(refs) if all(refs) else change.subject
            yield _of(revisions, change.board, subject, fields[0], *change.pairs, changes=(change.id,))


def _ended(_ask: Ask, item: Item) -> Margin | None:
    field: FieldChange = item.what
    ends = any(word in field.after.word for word in _ENDING)
    message = f"goes out of production: {field.after.raw}"
    return holds(not ends, message, f"{field.before.raw or 'nothing'} → {field.after.raw}")


RULES = (
    ChangeRule(
        name="part-designator-reused",
        title="A designator names another part than before",
        audience="assembly",
        step="minor",
        over=_designators,
        margin=_reused,
        danger="caution",
        needs=("Designator",),
        why="Service papers, rework notes and test programs of the old revision point at the wrong part.",
        how="Parts are matched by their data; a designator of both revisions whose parts don't match was used again, "
        "for a new part or for one that had another designator.",
        remedy="Use a fresh designator, or tell in service papers since when it is the new part.",
        witness="The rework note says to lift D9; on the new board D9 is the power light.",
    ),
    ChangeRule(
        name="part-life-ending",
        title="A part goes out of production",
        audience="buying",
        step="patch",
        over=_lives,
        margin=_ended,
        danger="caution",
        needs=("Life cycle",),
        why="Whoever builds the board from the published files may not be able to buy the part.",
        how="The life-cycle column is searched for the trade's words for an ending.",
        remedy="Name an alternate in the parts list, or plan the stock.",
        witness="The order is returned after the last-order date.",
    ),
    ChangeRule(
        name="part-number-kept",
        title="A value or package changed and the part number did not",
        audience="buying",
        step="minor",
        over=_kept,
        margin=_number_kept,
        danger="caution",
        needs=("Value", "Package", "Part number"),
        why="People buy by part number and read the value: the board that is built is not the one that is described.",
        how="Wherever value or package of a part changed, its part numbers of both revisions are read; two equal ones "
        "were kept. A number that one list lacks was not.",
        remedy="Correct the part number, or take the change of the value back.",
        witness="The list says 47 kΩ, the reel that is ordered holds 4.7 kΩ.",
    ),
    ChangeRule(
        name="part-rating-reduced",
        title="A part is rated lower than before",
        audience="assembly",
        step="minor",
        over=_rated,
        margin=_reduced,
        danger="caution",
        needs=("Voltage", "Power", "Current", "Tolerance", "Dielectric"),
        why="The value stays, so the change looks harmless; the margin it had may have been needed.",
        how="New rating over old for voltage, power and current; wider limits for tolerance; for ceramic dielectrics "
        "the new code's temperature range has to contain the old and its change has to lie inside the old.",
        remedy="Check it, derated as usual, against what the circuit needs.",
        witness="A 25 V capacitor takes the place of a 50 V one on a 14.4 V line: bias takes most of its capacitance.",
        source="EIA-198 for dielectric codes; otherwise common practice, no source",
    ),
    ChangeRule(
        name="part-value-magnitude",
        title="A value changed by a factor of ten or more",
        audience="assembly",
        step="minor",
        over=partial(_replaced, _step),
        margin=_magnitude,
        danger="caution",
        needs=("Value",),
        why="A slip of one prefix or one digit changes a value by ten or a thousand; it is rarely meant.",
        how="New value over old, both in the base unit, exactly. A part number or description that moved with it "
        "says that another part is meant.",
        remedy="Confirm the value, and say why in the release notes.",
        witness="100 mΩ became 100 MΩ by one capital letter.",
    ),
)
