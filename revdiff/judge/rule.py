"""A rule is a small declaration: what it looks at, one predicate to a margin, how its danger follows, its texts."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Literal, Protocol, TypeAlias

from msgspec import Struct

from revdiff.design import Origin
from revdiff.judge.arrangement import Member, Program
from revdiff.judge.fact import Ask, Unknown
from revdiff.judge.facts import Facts
from revdiff.judge.finding import Audience, Step
from revdiff.judge.revisions import Revisions

Danger: TypeAlias = Literal["hazard", "break", "doubt", "caution", "info"]
"""``doubt``: nobody can tell before somebody has looked; a hazard that rests on an assumption is one."""
Outcome: TypeAlias = "tuple[Ask, Margin | Unknown | None]"
PRACTICE = "common practice, no source"
# Told where a limit holds only by what a change states of its own currents.
OWN_WORD = ", as the base states it; the change states its own currents otherwise"
OWN_LIMIT = ", by the limit of the base; the change states its own limit otherwise"
WHOLE_BOARD = ("board",)  # what a rule is about that looks at a board with all that changed on it


class Record(Protocol):
    """Anything that stands at a place in a file."""

    @property
    def origin(self) -> Origin:
        """The place."""


@dataclass(frozen=True, slots=True)
class Item:
    """What a rule is asked about. ``key`` is the same in every arrangement; ``what``: whatever the rule looks at.

    ``records``: (member, record) for the places in the files and the changes behind a finding; ``touched``: (board,
    name) of what else has to do with it; ``changes``: the ids of the changes, where the rule knows them itself.
    ``outcomes``: by rule, where several arrangements ask about this one item, so that each is worked out once.
    """

    subject: str
    key: tuple[object, ...]
    members: tuple[Member, ...]
    records: tuple[tuple[Member, Record], ...]
    what: Any
    programs: tuple[Program, ...] = ()
    touched: tuple[tuple[str, str], ...] = ()
    changes: tuple[str, ...] = ()
    outcomes: dict[str, Outcome] = field(default_factory=dict, compare=False, repr=False)


class Margin(Struct, frozen=True):
    """How far a predicate holds; below 0 it doesn't. ``arithmetic`` shows formula, numbers and result.

    ``limit``: what it is held against. ``message``: what that means here, for people.
    """

    value: Decimal
    message: str
    arithmetic: str
    limit: str = ""
    danger: Danger | None = None


class Declared(Struct, frozen=True, kw_only=True):
    """What every rule says, under its stable name.

    ``margin`` gives None where the rule doesn't apply; a fact that it asks for and isn't known becomes "not checked"
    by itself. ``danger``: where the margin doesn't say it. ``needs``: the columns and keys that let it be made.
    ``about``: the kinds of change that bring it, without what they are of (level, signal); empty: any. ``silent``:
    things go on working, and wrongly.
    ``why``, ``how`` and ``remedy`` are for a practitioner; ``witness`` is one concrete thing that goes wrong.
    """

    name: str
    title: str
    audience: Audience
    step: Step
    margin: Callable[[Ask, Item], Margin | None]
    danger: Danger
    why: str
    how: str
    remedy: str
    witness: str
    source: str = PRACTICE
    needs: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    silent: bool = False

    @property
    def check(self) -> str:
        """What it looks into, for people."""
        return f"whether {self.title[0].lower()}{self.title[1:]}"


class Rule(Declared, frozen=True, kw_only=True):
    """A rule of arrangements. ``worse``: there is no limit but what worked; whether (before, now) is worse."""

    over: Callable[[Facts], Iterable[Item]]
    worse: Callable[[Margin, Margin], bool] | None = None


class ChangeRule(Declared, frozen=True, kw_only=True):
    """A rule of a change: what it asks about is there only where two revisions differ."""

    over: Callable[[Revisions], Iterable[Item]]


def holds(wanted: bool, message: str, arithmetic: str, limit: str = "", danger: Danger | None = None) -> Margin:
    """The margin of a yes or no: 1 or −1."""
    return Margin(Decimal(1 if wanted else -1), message, arithmetic, limit, danger)


FINE = holds(True, "", "")
"""Where a predicate holds and nothing compares by how much: no text is worth writing."""


def smaller(before: Margin, now: Margin) -> bool:
    """Whether the margin is smaller than where things worked."""
    return now.value < before.value


def other(before: Margin, now: Margin) -> bool:
    """Whether the value is another one than where things worked."""
    return now.value != before.value
