"""Causes: changes that belong together, and the findings that follow from each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.design import Connector, Contact, Part, Pin
from revdiff.judge.engine import Judged
from revdiff.rules.finding import Finding


@dataclass(frozen=True, slots=True)
class Cause:
    """``id``: of its first change. ``findings``: the strongest first; what hangs below it is weaker."""

    id: str
    changes: tuple[str, ...]
    findings: tuple[Finding, ...]


def touching(changes: Iterable[Change], judged: Judged) -> tuple[str, ...]:
    """The ids of the changes that touch the records or signals of a judgement, of the boards in it that are new."""
    names: set[tuple[str, str]] = set(judged.item.touched)
    for member, record in judged.item.records:
        found = [record.name] if isinstance(record, Connector | Contact | Pin) else []
        found += [record.signal.raw] if isinstance(record, Contact | Pin) else []
        found += [record.ref] if isinstance(record, Part) else []
        names |= {(member.board.name, text) for text in found if text}
    found = []
    for change in changes:
        told = {change.subject, *(text for pair in change.pairs for text in pair if text)}
        if any((board, text) in names for board in change.board.split(", ") for text in told):
            found.append(change.id)
    return tuple(dict.fromkeys(found))


def causes_of(comparison: Comparison, findings: Iterable[Finding]) -> tuple[Cause, ...]:
    """One for each set of changes that belong together and has consequences."""
    root = _roots(comparison.changes)
    groups: dict[str, list[Finding]] = {}
    for item in findings:
        known = [root[identity] for identity in item.changes if identity in root]
        groups.setdefault(known[0] if known else "", []).append(item)
    members: dict[str, list[str]] = {}
    for identity, first in root.items():
        members.setdefault(first, []).append(identity)
    return tuple(Cause(first, tuple(members.get(first, ())), tuple(found)) for first, found in groups.items())


def _roots(changes: Iterable[Change]) -> Mapping[str, str]:
    """Each change to the first of its cause: changes of one signal, on whatever boards, belong together."""
    first: dict[str, str] = {}
    by_signal: dict[str, str] = {}
    for change in changes:
        signals = [word for word in _signals(change) if word]
        known = next((by_signal[word] for word in signals if word in by_signal), change.id)
        first[change.id] = known
        for word in signals:
            by_signal.setdefault(word, known)
    return first


def _signals(change: Change) -> tuple[str, ...]:
    if change.kind.startswith("signal."):
        return tuple(text.lower() for pair in change.pairs for text in pair)
    item = change.field("signal")
    found = [item.before.word, item.after.word] if item is not None else []
    return (*found, change.before.lower(), change.after.lower()) if change.kind.startswith(("contact", "pin")) else ()
