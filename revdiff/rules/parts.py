"""Rules of parts: changes that look small in a parts list and are not."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.compare.change import Change, FieldChange
from revdiff.compare.part_changes import REPLACED, describe
from revdiff.design import PartData, Reading
from revdiff.design.reading import compare_readings
from revdiff.quantities.designator import compress
from revdiff.quantities.dielectric import not_worse, read_dielectric
from revdiff.quantities.quantity import Quantity, show
from revdiff.quantities.tolerance import Tolerance, show_tolerance
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"
# A factor of ten is the commonest slip: one prefix step or one digit of a code.
_FACTOR = Decimal(10)


def _pairs(situation: Situation, change: Change) -> Iterator[tuple[str, PartData, PartData]]:
    """Each part that a change of a replaced part covers: its designator now, its data before and now."""
    if change.kind in REPLACED:
        old, new = situation.old.boards[change.board].parts, situation.new.boards[change.board].parts
        for one, two in change.pairs:
            yield two, old[one].data, new[two].data


def _moved(before: Reading, after: Reading) -> bool:
    return bool(before and after) and compare_readings(before, after) == "different"


def _magnitude(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        steps: dict[tuple[Quantity, Quantity], list[str]] = {}
        for ref, before, after in _pairs(situation, change):
            old, new = before.value.quantity, after.value.quantity
            if old is None or new is None or old.unit != new.unit or not old.magnitude or not new.magnitude:
                continue
            meant = _moved(before.part_number, after.part_number) or _moved(before.description, after.description)
            if not meant and max(new.magnitude / old.magnitude, old.magnitude / new.magnitude) >= _FACTOR:
                steps.setdefault((old, new), []).append(ref)
        for (old, new), refs in steps.items():
            yield rule.found(
                parties=situation.both(change.board),
                subject=compress(refs),
                message=f"the value goes from {show(old)} to {show(new)}: check that this is meant, and no slip of a "
                "prefix or a digit",
                arithmetic=f"{show(new)} / {show(old)} = {_ratio(new.magnitude / old.magnitude)}",
                limit="a factor below 10",
                changes=(change.id,),
                origin_before=change.origin_before,
                origin_after=change.origin_after,
            )


def _number_kept(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        kept: dict[tuple[str, str, str, str], list[str]] = {}
        for ref, before, after in _pairs(situation, change):
            if not before.part_number or before.part_number != after.part_number:
                continue
            for name in ("value", "package"):
                one, two = getattr(before, name), getattr(after, name)
                if _moved(one, two):
                    kept.setdefault((name, one.raw, two.raw, after.part_number.raw), []).append(ref)
        for (name, one, two, number), refs in kept.items():
            yield rule.found(
                parties=situation.both(change.board),
                subject=f"{compress(refs)} {name}",
                message=f"the {name} goes from {one} to {two}, and the part number is still {number}: one of the two "
                "is wrong",
                arithmetic=f"{one} → {two}, {number} → {number}",
                limit="another value or package is another part number",
                changes=(change.id,),
                origin_before=change.origin_before,
                origin_after=change.origin_after,
            )


def _ratio(value: Decimal) -> str:
    return f"{float(value):.4g}" if value >= 1 else f"1/{float(1 / value):.4g}"


def _reduced(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        if change.kind not in REPLACED:
            continue
        for field in change.fields:
            text = _worse(field)
            if text:
                yield rule.found(
                    parties=situation.both(change.board),
                    subject=f"{change.subject} {field.name}",
                    message=f"a lower rating behind an unchanged place: {field.before.raw} to {field.after.raw}",
                    arithmetic=text,
                    limit="not worse than before",
                    changes=(change.id,),
                    origin_before=change.origin_before,
                    origin_after=change.origin_after,
                )


def _worse(field: FieldChange) -> str:
    """The arithmetic of a rating that got worse; empty where it did not, or where that can't be said."""
    before, after = field.before, field.after
    old, new = before.quantity, after.quantity
    if field.name in ("voltage", "power", "current") and old is not None and new is not None:
        if old.unit == new.unit and new.magnitude < old.magnitude:
            percent = (1 - new.magnitude / old.magnitude) * 100
            return f"{show(new)} / {show(old)} = −{percent:.0f} %"
    elif field.name == "tolerance":
        return _wider(before, after)
    elif field.name == "dielectric":
        one, two = read_dielectric(before.raw), read_dielectric(after.raw)
        if one is not None and two is not None and not not_worse(one, two):
            return f"{one.code} → {two.code}"
    return ""


def _wider(before: Reading, after: Reading) -> str:
    old, new = before.meaning, after.meaning
    if not isinstance(old, Tolerance) or not isinstance(new, Tolerance) or old.unit != new.unit:
        return ""
    return f"{show_tolerance(old)} → {show_tolerance(new)}" if new.low < old.low or new.high > old.high else ""


def _reused(rule: Rule, situation: Situation) -> Iterator[Finding]:
    moves = [change for change in situation.changes if change.kind == "part.renumbered"]
    left = {(change.board, one): (change, two) for change in moves for one, two in change.pairs}
    came = {(change.board, two): (change, one) for change in moves for one, two in change.pairs}
    added = [change for change in situation.changes if change.kind == "part.added"]
    removed = [change for change in situation.changes if change.kind == "part.removed"]
    left |= {(change.board, ref): (change, "") for change in removed for ref, _ in change.pairs}
    taken = {(change.board, ref): (change, "") for change in added for _, ref in change.pairs}
    taken |= {
        place: came[place] for change in removed for ref, _ in change.pairs if (place := (change.board, ref)) in came
    }
    for (board, ref), (change, former) in taken.items():
        if (board, ref) not in left:
            continue
        before, other = left[board, ref]
        was = describe(situation.old.boards[board].parts[ref].data)
        new = describe(situation.new.boards[board].parts[ref].data)
        yield rule.found(
            parties=situation.both(change.board),
            subject=ref,
            message=f"names another part now: it was {was}{f', which is {other} now' if other else ''}; "
            f"it is {new}{f', which was {former}' if former else ''}",
            arithmetic=f"{was} → {new}",
            limit="one designator, one part",
            changes=(before.id, change.id),
            origin_before=before.origin_before,
            origin_after=change.origin_after,
        )


def _ended(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        if change.kind not in ("part.lifecycle", "part.added", "part.column"):
            continue
        states: dict[tuple[str, str], list[str]] = {}
        for field in change.fields:
            ref, _, name = field.name.rpartition(".")  # of one part alone, or of all that the change covers
            if name == "lifecycle" and any(word in field.after.word for word in _ENDING):
                states.setdefault((field.before.raw, field.after.raw), []).append(ref)
        for (before, after), refs in states.items():
            yield rule.found(
                parties=situation.both(change.board),
                subject=compress(refs) if all(refs) else change.subject,
                message=f"goes out of production: {after}",
                arithmetic=f"{before or 'nothing'} → {after}",
                limit="parts that can be bought",
                changes=(change.id,),
                origin_before=change.origin_before,
                origin_after=change.origin_after,
            )


# Words of the trade for parts that go out of production (common practice, no source).
_ENDING = ("obsolete", "last order", "last time buy", "end of life", "eol", "not recommended", "nrnd", "discontinued")


RULES = (
    Rule(
        name="part-designator-reused",
        title="A designator names another part than before",
        severity="caution",
        audience="assembly",
        step="minor",
        why="Service papers, rework notes and test programs of the old revision point at the wrong part.",
        how="Parts are matched by their data; a designator of both revisions whose parts don't match was used again, "
        "for a new part or for one that had another designator.",
        remedy="Use a fresh designator, or say in the service papers from which revision on it means the new part.",
        witness="The rework note says to lift D9; on the new board D9 is the power light.",
        source=PRACTICE,
        check=_reused,
    ),
    Rule(
        name="part-life-ending",
        title="A part goes out of production",
        severity="caution",
        audience="buying",
        step="patch",
        why="Whoever builds the board from the published files may not be able to buy the part.",
        how="The life-cycle column is searched for the trade's words for an ending.",
        remedy="Name an alternate in the parts list, or plan the stock.",
        witness="The order is returned after the last-order date.",
        source=PRACTICE,
        check=_ended,
    ),
    Rule(
        name="part-number-kept",
        title="A value or package changed and the part number did not",
        severity="caution",
        audience="buying",
        step="minor",
        why="People buy by part number and read the value: the board that is built is not the one that is described.",
        how="Wherever value or package of a part changed, its part numbers of both revisions are read; two equal ones "
        "were kept. A number that one list lacks was not.",
        remedy="Correct the part number, or take the change of the value back.",
        witness="The list says 47 kΩ, the reel that is ordered holds 4.7 kΩ.",
        source=PRACTICE,
        check=_number_kept,
    ),
    Rule(
        name="part-rating-reduced",
        title="A part is rated lower than before",
        severity="caution",
        audience="assembly",
        step="minor",
        why="The value stays, so the change looks harmless; the margin it had may have been needed.",
        how="New rating over old for voltage, power and current; wider limits for tolerance; for ceramic dielectrics "
        "the new code's temperature range has to contain the old and its change has to lie inside the old.",
        remedy="Check the part against what it sees in the circuit, with the usual derating.",
        witness="A 25 V capacitor takes the place of a 50 V one on a 14.4 V line: bias takes most of its capacitance.",
        source="EIA-198 for dielectric codes; otherwise common practice, no source",
        check=_reduced,
    ),
    Rule(
        name="part-value-magnitude",
        title="A value changed by a factor of ten or more",
        severity="caution",
        audience="assembly",
        step="minor",
        why="A slip of one prefix or one digit changes a value by ten or a thousand; it is rarely meant.",
        how="New value over old, both in the base unit, exactly. A part number or description that moved with it "
        "says that another part is meant.",
        remedy="Confirm the value, and say why in the release notes.",
        witness="100 mΩ became 100 MΩ by one capital letter.",
        source=PRACTICE,
        check=_magnitude,
    ),
)
