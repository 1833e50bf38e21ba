"""How rules look at firmware on a board: need by need, and what a board gives now that it did not give before."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from revdiff.design import Need, Pin, Reading
from revdiff.quantities.text import fold
from revdiff.rules.employments import Employment
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

# Any further fields of a Finding; ``touched``: the pins, signals and parts whose changes are behind it.
Details = dict[str, object]
Problem = Callable[[Employment, Need, list[Pin]], "Details | None"]
# (subject, its details) of everything that is wrong with a firmware on a board
Problems = Callable[[Employment], Iterable[tuple[str, Details]]]

OUTPUTS = frozenset({"out", "bidirectional", "open drain", "analog out"})


def needs_met(employment: Employment) -> Iterator[tuple[Need, list[Pin]]]:
    """Each need of the contract with the pins of its device that carry the signal on this board."""
    carrying: dict[str, list[Pin]] = {}
    for pin in employment.board.pins.values():
        if pin.signal and pin.device == employment.device:
            carrying.setdefault(pin.signal.word, []).append(pin)
    for key, need in employment.contract.needs.items():
        yield need, carrying.get(employment.names.get(key, key), [])


def pin_is(wanted: Reading, pin: Pin) -> bool:
    """Whether a need's pin, by number, full name or port name, is this one."""
    return wanted.word in (fold(pin.number), fold(pin.name), pin.port.word)


def occupant_of(employment: Employment, need: Need) -> Pin | None:
    """The pin of this board that the firmware takes for the need's; None where the need names none or it is gone."""
    if not need.pin:
        return None
    pins = (pin for pin in employment.board.pins.values() if pin.device == employment.device)
    return next((pin for pin in pins if pin_is(need.pin, pin)), None)


def drives(need: Need) -> bool:
    """Whether the firmware drives the signal."""
    return need.direction.word in OUTPUTS


def check_needs(problem: Problem, rule: Rule, situation: Situation) -> Iterator[Finding]:
    """A finding for each need that has the problem now and did not have it on the board it was released for."""
    for employment in situation.employments:
        if not employment.board.pins:
            continue
        before = employment.before
        known = {} if before is None else {need.signal.word: (need, pins) for need, pins in needs_met(before)}
        for need, pins in needs_met(employment):
            details = problem(employment, need, pins)
            if details is None:
                continue
            old = known.get(need.signal.word)
            if before is not None and old is not None and problem(before, *old) is not None and old[0] == need:
                continue
            names = [name for pin in pins for name in (pin.name, pin.signal.raw)]
            details = {"touched": (need.signal.raw, *names), "origin_before": need.origin.of("signal"), **details}
            yield found(rule, situation, employment, need.signal.raw, details)


def check_new(problems: Problems, rule: Rule, situation: Situation) -> Iterator[Finding]:
    """A finding for each problem that the released firmware on its own board did not have in the same way."""
    for employment in situation.employments:
        before = employment.before
        known = set() if before is None else {_same(subject, details) for subject, details in problems(before)}
        for subject, details in problems(employment):
            if _same(subject, details) not in known:
                yield found(rule, situation, employment, subject, details)


def _same(subject: str, details: Details) -> object:
    return subject, details.get("same", details["arithmetic"])


def found(rule: Rule, situation: Situation, employment: Employment, subject: str, details: Details) -> Finding:
    """The finding, with the crossing and the changes behind it."""
    fields = {key: value for key, value in details.items() if key not in ("touched", "message", "same", "changes")}
    touched = details.get("touched", ())
    assert isinstance(touched, tuple)
    extra = details.get("changes", ())
    assert isinstance(extra, tuple)
    known = {change.id for change in situation.changes}
    changes = (*situation.changes_at(employment.board.name, *touched), *(item for item in extra if item in known))
    return rule.found(
        parties=employment.parties,
        subject=subject,
        message=str(details["message"]),
        crossing=employment.said_crossing,
        changes=tuple(dict.fromkeys(changes)),
        **fields,
    )
