"""What a rule of stacking tells of one stack: findings, checks that were made, checks that could not be made."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, TypeAlias

from revdiff.design import Connector, Contact, Origin, Pin
from revdiff.quantities.quantity import Quantity, plain_decimal, show
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Stack

if TYPE_CHECKING:
    from revdiff.rules.situation import Situation

_FIGURES = 4


@dataclass(frozen=True, slots=True)
class Made:
    """A check that was made, whatever came out."""

    what: str


@dataclass(frozen=True, slots=True)
class Unmade:
    """A check that could not be made. ``essential``: without it nobody can tell whether the boards fit."""

    what: str
    why: str
    needs: str
    essential: bool = False


Outcome: TypeAlias = Finding | Made | Unmade
Changes: TypeAlias = Callable[..., tuple[str, ...]]
Core: TypeAlias = Callable[[Rule, Stack], Iterable[Outcome]]


@dataclass(frozen=True, slots=True, kw_only=True)
class StackRule(Rule):
    """A rule that judges one stack by itself; ``core`` is the judgement, ``check`` what is new in it."""

    core: Core


def stack_rule(core: Core, **texts: object) -> StackRule:
    """A rule of stacking with its texts. When two revisions are compared it tells what the old stack did not have."""
    return StackRule(core=core, check=partial(_newly, core), audience="stacking", **texts)  # type: ignore[arg-type]


def _newly(core: Core, rule: Rule, situation: Situation) -> Iterator[Finding]:
    for pairing in situation.stacks:
        before = () if pairing.old is None else core(rule, pairing.old)
        known = [item for item in before if isinstance(item, Finding)]
        same = {(item.subject, item.arithmetic) for item in known} | {(item.message, item.arithmetic) for item in known}
        for stack in pairing.new:
            if rule.name in stack.policy.allow:
                continue
            for item in core(rule, stack):
                if not isinstance(item, Finding):
                    continue
                if (item.subject, item.arithmetic) in same or (item.message, item.arithmetic) in same:
                    continue
                yield replace(item, changes=_changes(situation, item))


def _changes(situation: Situation, item: Finding) -> tuple[str, ...]:
    """The changes behind a finding: those at the places its subject names, else at their connectors or sections."""
    ends = [end.partition(".") for end in item.subject.replace(", ", "–").split("–")]
    found: list[str] = []
    for board, _, name in ends:
        found += situation.changes_at(board, name)
    if not found:
        found += [identity for board, _, name in ends for identity in situation.changes_at(board, name.split(".")[0])]
    if not found:
        boards = {board for board, _, _ in ends}
        found += [
            change.id
            for change in situation.changes
            if boards & set(change.board.split(", "))
            and change.kind.split(".")[0] in ("contact", "connector", "pin", "design", "joint")
        ]
    return tuple(dict.fromkeys(found))


def changes_of(situation: Situation, item: Finding, places: Iterable[tuple[str, str]]) -> Finding:
    """The finding with the changes at (board, name of a contact, pin or connector); else those its subject names."""
    found = [identity for board, name in places for identity in situation.changes_at(board, name)]
    return replace(item, changes=tuple(dict.fromkeys(found)) or _changes(situation, item))


def finding(
    rule: Rule,
    stack: Stack,
    layers: Iterable[Layer],
    records: Iterable[Contact | Pin | Connector | None],
    **details: object,
) -> Finding:
    """A finding about some layers of a stack. ``records``: one for each layer, for its place in the files."""
    chosen = tuple(layers)
    origins: dict[str, Origin] = {}
    for layer, record in zip(chosen, records, strict=False):
        if record is not None:
            origins.setdefault("origin_after" if layer.new or stack.fresh else "origin_before", record.origin)
    given: dict[str, object] = {"crossing": crossing(stack, chosen), **origins, **details}
    subject, message = str(given.pop("subject")), str(given.pop("message"))
    return rule.found(parties=stack.parties(chosen), subject=subject, message=message, **given)


def crossing(stack: Stack, layers: Iterable[Layer]) -> str:
    """``new base with released valves``; empty where the stack is judged on its own."""
    if stack.fresh:
        return ""
    return " with ".join(f"{'new' if item.new else 'released'} {item.board.name}" for item in layers)


def signed(number: int) -> str:
    """A whole number with a real minus sign."""
    return f"−{-number}" if number < 0 else str(number)


def contacts(number: int) -> str:
    """``1 contact``, ``4 contacts``."""
    return "1 contact" if number == 1 else f"{number} contacts"


def amount(value: Decimal, unit: str) -> str:
    """A result for people, to four figures: ``966.7 Ω``, ``−1.1 V``."""
    if value and value.is_finite():
        value = Decimal(f"{value:.{_FIGURES}g}")
    return show(Quantity(plain_decimal(value), unit))
