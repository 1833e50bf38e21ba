"""Rules of derived quantities: what part values make of a ratio, a gain, a voltage, and whether that is still meant."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from revdiff.design import Design
from revdiff.design.derived import Derived, parts_of, show_value, work_out
from revdiff.quantities.dimension import read_in_unit
from revdiff.quantities.formula import FormulaFault
from revdiff.quantities.worst_case import Result
from revdiff.rules.employments import Employment
from revdiff.rules.finding import Finding
from revdiff.rules.firmware_check import Details, check_new
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

_SOURCE = "extreme values at the corners, RSS: Helfrick and Cooper, Modern Electronic Instrumentation"


def told(result: Result, item: Derived) -> str:
    """``0.215686 (0.212315 to 0.219099; RSS ±0.002393)``: nominal, worst case, root of the sum of squares."""
    nominal = show_value(result.nominal, item.unit)
    if result.low == result.high:
        return nominal
    low, high = (show_value(value, item.unit) for value in (result.low, result.high))
    bound = "" if result.exact else " at most"
    return f"{nominal} ({low} to {high}{bound}; RSS ±{show_value(result.rss, item.unit)})"


def _worked(item: Derived, design: Design) -> Result | None:
    try:
        return work_out(item, design.boards)
    except FormulaFault:
        return None  # told as a fault of the manifest, or as not checked


def _changes(situation: Situation, *items: Derived | None) -> tuple[str, ...]:
    found: list[str] = []
    for item in items:
        for board, ref in parts_of(item) if item is not None else ():
            found += situation.changes_at(board, ref)
    found += [
        change.id for change in situation.changes if change.kind == "design.field" and "derived" in change.subject
    ]
    return tuple(dict.fromkeys(found))


def _beyond(result: Result, item: Derived) -> str:
    low, high = item.low, item.high
    if low is not None and result.low < low:
        return f"{show_value(result.low, item.unit)} is below {show_value(low, item.unit)}"
    if high is not None and result.high > high:
        return f"{show_value(result.high, item.unit)} is above {show_value(high, item.unit)}"
    return ""


def _limits(item: Derived) -> str:
    low, high = (None if value is None else show_value(value, item.unit) for value in (item.low, item.high))
    return " to ".join(text for text in (low or "any", high or "any"))


def _outside(rule: Rule, situation: Situation) -> Iterator[Finding]:
    old_items = situation.old.sections.derived
    for name, item in situation.new.sections.derived.items():
        result = _worked(item, situation.new)
        was = old_items.get(name)
        before = _worked(was, situation.old) if was is not None else None
        beyond = _beyond(result, item) if result is not None else ""
        if result is None or not beyond:
            continue
        if was is not None and before is not None and _beyond(before, was) == beyond:
            continue
        earlier = told(before, was) if before is not None and was is not None else "not worked out"
        yield rule.found(
            parties=situation.both(item.board),
            subject=name,
            message=f"{name} leaves its limits in the worst case: {beyond}",
            arithmetic=f"{item.formula.text}: {earlier} → {told(result, item)}",
            limit=_limits(item),
            changes=_changes(situation, was, item),
            origin_before=was.origin if was is not None else None,
            origin_after=item.origin,
        )


def _constants(situation: Situation, employment: Employment) -> Iterator[tuple[str, Details]]:
    contract = employment.contract
    for name, item in employment.design.sections.derived.items():
        wanted = contract.constants.get(item.constant) if item.constant else None
        if wanted is None or item.firmware not in ("", contract.key, contract.name):
            continue
        if item.firmware == "" and item.board != contract.board:
            continue
        assumed, result = read_in_unit(wanted.raw, item.unit), _worked(item, employment.design)
        if assumed is None or result is None or _serves(assumed, result, item):
            continue
        off = "" if not assumed else f", {float(result.nominal / assumed - 1) * 100:+.2f} %"
        yield (
            item.constant,
            {
                "message": f"the firmware takes {item.constant} for {wanted.raw}; the board's {name} is "
                f"{told(result, item)}: the constant to use now is {show_value(result.nominal, item.unit)}",
                "arithmetic": f"{item.formula.text}: {_earlier(situation, employment, name)}{told(result, item)}{off}",
                "same": f"{wanted.raw}: {result.nominal}",
                "limit": _accepted(item),
                "changes": _changes(situation, item),
                "origin_before": contract.origin,
                "origin_after": item.origin,
            },
        )


def _serves(assumed: Decimal, result: Result, item: Derived) -> bool:
    if item.accept is not None:
        return abs(assumed - result.nominal) <= item.accept * abs(result.nominal)
    if result.low == result.high:  # no tolerances are known: the constant's own figures decide
        exponent = assumed.as_tuple().exponent
        assert isinstance(exponent, int)
        return abs(assumed - result.nominal) <= Decimal(1).scaleb(exponent) / 2
    return result.low <= assumed <= result.high


def _accepted(item: Derived) -> str:
    if item.accept is not None:
        return f"within {float(item.accept) * 100:g} % of the nominal value"
    return "within the worst case"


def _earlier(situation: Situation, employment: Employment, name: str) -> str:
    """The same quantity on the other revision of the board, which the firmware was built for."""
    other = situation.new if employment.design is situation.old else situation.old
    item = other.sections.derived.get(name)
    result = _worked(item, other) if item is not None else None
    return f"{told(result, item)} → " if item is not None and result is not None else ""


def _constant_rule(rule: Rule, situation: Situation) -> Iterator[Finding]:
    return check_new(partial(_constants, situation), rule, situation)


RULES = (
    Rule(
        name="derived-constant",
        title="A constant of firmware doesn't fit the part values of the board",
        severity="break",
        audience="firmware",
        step="major",
        why="The firmware scales by a constant that stands for resistors. With other resistors every reading is wrong "
        "by the same factor, and nothing says so.",
        how="The formula in [derived.NAME] is worked out over the part values of the board with their tolerances; the "
        "constant has to lie within the worst case, or within what accept allows.",
        remedy="Use the constant that is shown, in a release for this board.",
        witness="The battery reads 15 % low, and the charger is asked for more.",
        source=_SOURCE,
        check=_constant_rule,
    ),
    Rule(
        name="derived-limit",
        title="A derived quantity leaves its limits in the worst case",
        severity="break",
        audience="firmware",
        step="major",
        why="Each part may be within its tolerance and the quantity still beyond what depends on it.",
        how="The formula in [derived.NAME] over the part values with their tolerances: nominal, extreme values and the "
        "root of the sum of squares. The extreme values are held against low and high.",
        remedy="Choose other values or tighter tolerances, or say why the limit may be another one.",
        witness="The 3.3 V supply may reach 3.66 V with 2 % resistors; the memory takes 3.6 V.",
        source=_SOURCE,
        check=_outside,
    ),
)
