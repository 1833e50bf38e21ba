"""A rule is a small declaration: what it looks at, one predicate to a margin, how its danger follows, its texts."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal, TypeAlias

from revdiff.design import Connector, Contact, Need, Pin
from revdiff.judge.arrangement import Member, Program
from revdiff.judge.fact import Ask
from revdiff.judge.facts import Facts
from revdiff.rules.finding import Audience, Step

Danger: TypeAlias = Literal["hazard", "break", "doubt", "caution", "info"]
"""``doubt``: nobody can tell before somebody has looked; a hazard that rests on an assumption is one."""
Record: TypeAlias = Contact | Pin | Connector | Need
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Item:
    """What a rule is asked about. ``key`` is the same in every arrangement; ``what``: whatever the rule looks at.

    ``records``: (member, record) for the places in the files and the changes behind a finding.
    """

    subject: str
    key: tuple[object, ...]
    members: tuple[Member, ...]
    records: tuple[tuple[Member, Record], ...]
    what: Any
    programs: tuple[Program, ...] = ()
    touched: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Margin:
    """How far a predicate holds; below 0 it doesn't. ``arithmetic`` shows formula, numbers and result.

    ``limit``: what it is held against. ``message``: what that means here, for people.
    """

    value: Decimal
    message: str
    arithmetic: str
    limit: str = ""
    danger: Danger | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule under its stable name. ``margin`` gives None where the rule doesn't apply; a fact that it asks for and
    isn't known becomes "not checked" by itself. ``danger``: where the margin doesn't say it. ``needs``: the columns and
    keys that let it be made. ``worse``: there is no limit but what worked; whether (before, now) is worse.

    ``why``, ``how`` and ``remedy`` are for a practitioner; ``witness`` is one concrete thing that goes wrong.
    """

    name: str
    title: str
    audience: Audience
    step: Step
    over: Callable[[Facts], Iterable[Item]]
    margin: Callable[[Ask, Item], Margin | None]
    danger: Danger
    why: str
    how: str
    remedy: str
    witness: str
    source: str = PRACTICE
    needs: tuple[str, ...] = ()
    worse: Callable[[Margin, Margin], bool] | None = None

    def what(self, item: Item) -> str:
        """A check of this rule, for people."""
        return f"{self.title.lower()}: {item.subject}"


def holds(wanted: bool, message: str, arithmetic: str, limit: str = "", danger: Danger | None = None) -> Margin:
    """The margin of a yes or no: 1 or −1."""
    return Margin(Decimal(1 if wanted else -1), message, arithmetic, limit, danger)


def smaller(before: Margin, now: Margin) -> bool:
    """Whether the margin is smaller than where things worked."""
    return now.value < before.value


def other(before: Margin, now: Margin) -> bool:
    """Whether the value is another one than where things worked."""
    return now.value != before.value
