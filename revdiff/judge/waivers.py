"""Waivers: findings that somebody decided to live with, as ``[[waivers]]`` of the base's manifest say.

A waiver never changes what is found. The finding is told as before, a hazard as a hazard, with who waived it and why;
it only no longer ends a run with status 1. The date is not the clock's: it is given, or that of the newest commit that
is judged, so that the same input gives the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, time
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design import Design
from revdiff.design.sections import Waiver
from revdiff.judge.finding import Finding
from revdiff.quantities.text import fold
from revdiff.readers.manifest_values import Values

State = Literal["used", "unused", "expired", "undecided"]
_RANKS: tuple[State, ...] = ("used", "expired", "undecided", "unused")
# The moment of a tag's commit; None where there is no such tag.
TagMoment = Callable[[str], datetime | None]


class WaiverUse(Struct, frozen=True):
    """What became of one waiver. ``why``: why one doesn't count, or has no end yet; ``findings`` are ids."""

    waiver: Waiver
    state: State
    why: str = ""
    findings: tuple[str, ...] = ()


class Waived(Struct, frozen=True):
    """All findings, those waived with their waiver, and what became of every waiver."""

    findings: tuple[Finding, ...]
    uses: tuple[WaiverUse, ...]


def unknown_rules(design: Design, values: Values) -> None:
    """Tells the waivers, and what the design allows itself, that name no rule there is, at their lines."""
    from revdiff.judge.registry import rule_named

    named = [("a waiver", item.rule, values.at("rule=", item.origin)) for item in design.sections.waivers]
    stacking = values.header("stacking")
    if stacking is not None:
        allowed = values.at("allow=", stacking)
        named += [("[stacking] allow", rule, allowed) for rule in sorted(design.sections.policy.allow)]
    for who, rule, where in named:
        if rule_named(rule) is None:
            expected = f"the name of a rule{_near(rule)}; revdiff explain lists them"
            values.wrong("unknown-rule", f"{who} names no rule that there is", where, rule, expected)


def _near(rule: str) -> str:
    from difflib import get_close_matches

    from revdiff.judge.registry import ALL

    near = get_close_matches(rule[:100], [item.name for item in ALL], 1, 0.7)
    return f", perhaps {near[0]}" if near else ""


def waive(findings: Iterable[Finding], waivers: Sequence[Waiver], moment: datetime | None, tag: TagMoment) -> Waived:
    """Marks the findings that a waiver covers which counts at that moment; None: nobody knows the date."""
    lapsed = {index: _lapsed(waiver, moment, tag) for index, waiver in enumerate(waivers)}
    used: dict[int, list[str]] = {}
    told: list[Finding] = []
    for item in findings:
        fitting = [index for index, waiver in enumerate(waivers) if covers(waiver, item)]
        chosen = next((index for index in fitting if lapsed[index] is None), None)
        if chosen is None:
            told.append(item)
            continue
        used.setdefault(chosen, []).append(item.id)
        told.append(replace(item, waiver=waivers[chosen]))
    uses = tuple(_use(waiver, lapsed[index], used.get(index, []), tag) for index, waiver in enumerate(waivers))
    return Waived(tuple(told), uses)


def covers(waiver: Waiver, finding: Finding) -> bool:
    """Whether rule, subject and, where it is stated, the two things are those of the finding."""
    if waiver.rule != finding.rule or _plain(waiver.subject) != _plain(finding.subject):
        return False
    if not waiver.between:
        return True
    wanted = sorted(_plain(name) for name in waiver.between.split(" + "))
    return wanted == sorted(_plain(party.name) for party in finding.parties)


def _plain(text: str) -> str:
    return fold(text.replace("–", "-"))


def _lapsed(waiver: Waiver, moment: datetime | None, tag: TagMoment) -> tuple[State, str] | None:
    """Why a waiver doesn't count; None where it does."""
    if not waiver.until:
        return None
    if moment is None:
        return "undecided", "nothing here has a date to hold its end against; --today gives one"
    if isinstance(waiver.until, date):
        if moment.date() <= waiver.until:
            return None
        return "expired", f"its last day was {waiver.until}, and it is {moment.date()} here"
    reached = tag(waiver.until)
    if reached is None or moment < reached:
        return None
    return "expired", f"it counted until {waiver.until}, which is of {reached.date()}"


def _use(waiver: Waiver, lapsed: tuple[State, str] | None, findings: list[str], tag: TagMoment) -> WaiverUse:
    if lapsed is not None:
        return WaiverUse(waiver, *lapsed)
    endless = isinstance(waiver.until, str) and waiver.until and tag(waiver.until) is None
    why = f"there is no tag {waiver.until} yet, so that it has no end" if endless else ""
    return WaiverUse(waiver, "used" if findings else "unused", why, tuple(findings))


def together(uses: Iterable[WaiverUse]) -> tuple[WaiverUse, ...]:
    """One for each waiver, over several judgements: used where it was used in any."""
    found: dict[Waiver, WaiverUse] = {}
    for use in uses:
        known = found.get(use.waiver)
        if known is None:
            found[use.waiver] = use
        elif known.state == use.state == "used":
            found[use.waiver] = replace(known, findings=tuple(dict.fromkeys((*known.findings, *use.findings))))
        elif _RANKS.index(use.state) < _RANKS.index(known.state):
            found[use.waiver] = use
    return tuple(found.values())


def moment_of(dates: Iterable[str], today: date | None = None) -> datetime | None:
    """The end of the given day, else the newest of these ISO 8601 dates; None where there is neither."""
    if today is not None:
        return datetime.combine(today, time.max, UTC)
    return max(map(datetime.fromisoformat, filter(None, dates)), default=None)


def waiver_lines(uses: Iterable[WaiverUse]) -> Iterator[str]:
    """A line for each waiver and what became of it."""
    for use in uses:
        end = f" until {use.waiver.until}" if use.waiver.until else ", without an end"
        text = f"{use.state}: {use.waiver.rule}, {use.waiver.subject}{end} ({use.waiver.who}: {use.waiver.reason})"
        yield f"{text}; {use.why}" if use.why else text
