"""Rules of parts: changes that look small in a parts list and are not."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.compare.change import FieldChange
from revdiff.compare.part_changes import REUSED, describe
from revdiff.design import Reading
from revdiff.quantities.dielectric import not_worse, read_dielectric
from revdiff.quantities.quantity import show
from revdiff.quantities.tolerance import Tolerance, show_tolerance
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"
# A factor of ten is the commonest slip: one prefix step or one digit of a code.
_FACTOR = Decimal(10)


def _magnitude(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        field = change.field("value")
        if change.kind != "part.value" or field is None:
            continue
        old, new = field.before.quantity, field.after.quantity
        if old is None or new is None or old.unit != new.unit or not old.magnitude or not new.magnitude:
            continue
        ratio = max(new.magnitude / old.magnitude, old.magnitude / new.magnitude)
        if ratio < _FACTOR:
            continue
        yield rule.found(
            parties=situation.both(change.board),
            subject=change.subject,
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
        field = change.field("value") if change.kind == "part.value" else change.field("package")
        if change.kind not in ("part.value", "part.package") or field is None or change.field("part_number"):
            continue
        number = situation.new.boards[change.board].parts[change.pairs[0][1]].data.part_number
        if not number or not field.before or not field.after:
            continue
        yield rule.found(
            parties=situation.both(change.board),
            subject=f"{change.subject} {field.name}",
            message=f"the {field.name} goes from {field.before.raw} to {field.after.raw}, and the part number is still "
            f"{number.raw}: one of the two is wrong",
            arithmetic=f"{field.before.raw} → {field.after.raw}, {number.raw} → {number.raw}",
            limit="another value or package is another part number",
            changes=(change.id,),
            origin_before=change.origin_before,
            origin_after=change.origin_after,
        )


def _ratio(value: Decimal) -> str:
    return f"{float(value):.4g}" if value >= 1 else f"1/{float(1 / value):.4g}"


def _reduced(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        if change.kind not in ("part.rating", "part.value", "part.package", "part.substituted"):
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
    gone = {
        (change.board, ref): (change, other)
        for change in situation.changes
        for ref, other in change.pairs
        if change.kind in ("part.removed", "part.renumbered")
    }
    for change in situation.changes:
        if change.kind != "part.added" or change.pattern != REUSED:
            continue
        for _, ref in change.pairs:
            was = describe(situation.old.boards[change.board].parts[ref].data)
            before, other = gone.get((change.board, ref), (None, ""))
            now = f", which is {other} now" if other else ""
            yield rule.found(
                parties=situation.both(change.board),
                subject=ref,
                message=f"names another part now: it was {was}{now}; it is {change.after}",
                arithmetic=f"{was} → {change.after}",
                limit="one designator, one part",
                changes=tuple(item.id for item in (before, change) if item is not None),
                origin_after=change.origin_after,
            )


def _ended(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        field = change.field("lifecycle")
        if field is None or change.kind not in ("part.lifecycle", "part.added"):
            continue
        if any(word in field.after.word for word in _ENDING):
            yield rule.found(
                parties=situation.both(change.board),
                subject=change.subject,
                message=f"goes out of production: {field.after.raw}",
                arithmetic=f"{field.before.raw or 'nothing'} → {field.after.raw}",
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
        how="Parts are matched by their data; a designator of both revisions whose parts don't match was used again.",
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
        how="The part number is compared wherever value or package of a part changed.",
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
        how="New value over old, both in the base unit, exactly.",
        remedy="Confirm the value, and say why in the release notes.",
        witness="100 mΩ became 100 MΩ by one capital letter.",
        source=PRACTICE,
        check=_magnitude,
    ),
)
