"""Causes: changes that belong together as a person would tell them, and the findings that follow from each.

A cause is a swap, a move with what took its place, a rail's level at all its contacts and boards, a connector that was
extended on both sides of a joint, a block of signals renamed alike.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison
from revdiff.compare.kinds import order_of
from revdiff.design import Connector, Contact, Design, Part, Pin, Reading
from revdiff.judge.contacts import class_of
from revdiff.judge.engine import Judged
from revdiff.judge.finding import Finding
from revdiff.judge.registry import rule_named
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import WHOLE_BOARD
from revdiff.quantities.designator import natural_key
from revdiff.quantities.pattern import pattern

Outcome = Literal["can hurt or destroy", "will not work", "works wrongly in silence", "to be checked"]
OUTCOMES: tuple[Outcome, ...] = ("can hurt or destroy", "will not work", "works wrongly in silence", "to be checked")
# What a person names a cause by, where it is there; the order of the kinds decides among the rest.
_NAMING = ("signal.renamed", "contact.swapped", "pin.swapped", "contact.moved", "pin.moved", "joint.", "connector.")
_PLACES = frozenset({"added", "removed", "moved", "swapped", "signal"})
_WHOLE = 3  # a finding of more causes than this is one of the whole board
_DIGITS = pattern("[0-9]+")
Token = tuple[object, ...]


class Cause(Struct, frozen=True):
    """``id``: of one of its changes, the same in every run. ``changes``: ids of all.

    The title is ``kind``, of the changes that the strongest finding is about, and ``subjects``: (board, subject) of all
    changes of the kind; a cause that is a whole board's has no kind. ``findings``: the strongest first; one whose
    ``below`` names another hangs below that one.
    """

    id: str
    kind: str
    subjects: tuple[tuple[str, str], ...]
    changes: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def outcome(self) -> Outcome:
        """The worst that follows from it."""
        return min((outcome(item) for item in self.findings), key=OUTCOMES.index)


def outcome(finding: Finding) -> Outcome:
    """What a finding means for whoever has the thing before him."""
    if finding.hazard:
        return "can hurt or destroy"
    if finding.severity != "break":
        return "to be checked"
    rule = rule_named(finding.rule)
    return "works wrongly in silence" if rule is not None and rule.silent else "will not work"


def touching(revisions: Revisions, judged: Judged) -> tuple[str, ...]:
    """The ids of the changes that touch the records or signals of a judgement, of the boards in it that are new."""
    names: set[tuple[str, str]] = set(judged.item.touched)
    for member, record in judged.item.records:
        found = [record.name] if isinstance(record, Connector | Contact | Pin) else []
        found += [record.signal.raw] if isinstance(record, Contact | Pin) else []
        found += [record.ref] if isinstance(record, Part) else []
        names |= {(member.board.name, text) for text in found if text}
    return revisions.touching(names)


def causes_of(comparison: Comparison, findings: Iterable[Finding]) -> tuple[Cause, ...]:
    """One for each set of changes that belong together and has consequences, the worst first."""
    grouping = _Grouping(comparison)
    groups: dict[str, list[Finding]] = {}
    for item in findings:
        groups.setdefault(grouping.root(item), []).append(item)
    causes = [grouping.cause(root, found) for root, found in groups.items()]
    return tuple(sorted(causes, key=lambda item: (OUTCOMES.index(item.outcome), *_place(item))))


def _place(cause: Cause) -> tuple[object, ...]:
    return order_of(cause.kind) if cause.kind else -1, natural_key(cause.id)


class _Grouping:
    """Which changes belong together: those that share a token."""

    def __init__(self, comparison: Comparison) -> None:
        self.comparison = comparison
        self.changes = {change.id: change for change in comparison.changes}

    @cached_property
    def _roots(self) -> Mapping[str, str]:
        """The id of each change to that of the change that its cause is named by."""
        parent = {identity: identity for identity in self.changes}

        def top(identity: str) -> str:
            while parent[identity] != identity:
                identity = parent[identity]
            return identity

        first: dict[Token, str] = {}
        tokens = _Tokens(self.comparison)
        for change in self.comparison.changes:
            for token in tokens.of(change):
                known = first.setdefault(token, change.id)
                parent[top(change.id)] = top(known)
        groups: dict[str, list[Change]] = {}
        for identity, change in self.changes.items():
            groups.setdefault(top(identity), []).append(change)
        naming = {key: min(found, key=_rank).id for key, found in groups.items()}
        return {identity: naming[top(identity)] for identity in self.changes}

    def root(self, finding: Finding) -> str:
        """The cause of a finding: of the changes that its rule is about, else of most of those that touch it."""
        rule = rule_named(finding.rule)
        about = rule.about if rule is not None else ()
        known = [self.changes[item] for item in finding.changes if item in self.changes]
        chosen = [item for item in known if item.kind.partition(".")[2] in about] or known
        boards = [party.name for party in finding.parties if not party.firmware] or [finding.parties[0].name]
        counts = Counter(self._roots[item.id] for item in chosen) or self._rebuilding(boards)
        if about == WHOLE_BOARD or len(counts) > _WHOLE or not counts:
            return f"whole/{boards[0]}"
        root = min(counts, key=lambda item: (-counts[item], _rank(self.changes[item])))
        # A release is one change, whatever it has otherwise: each value is a matter of its own.
        return f"{root}: {finding.subject.rpartition(': ')[2]}" if root.startswith("contract.") else root

    def _rebuilding(self, boards: Iterable[str]) -> Counter[str]:
        """The one cause that rebuilt connectors of all these boards, if there is one."""
        found: dict[str, set[str]] = {}
        for item in self.comparison.changes:
            if item.kind.startswith("connector."):
                found.setdefault(self._roots[item.id], set()).add(item.board)
        covering = [root for root, there in found.items() if there >= set(boards)]
        return Counter(covering) if len(covering) == 1 else Counter()

    def cause(self, root: str, findings: list[Finding]) -> Cause:
        """The cause of that root with its findings, weaker ones below the strongest."""
        whole = root.partition(": ")[0] if root.startswith("contract.") else root
        own = [item for item in self.changes.values() if self._roots[item.id] == whole]
        told = tuple(_below(findings, root))
        rule = rule_named(told[0].rule)
        about = [item for item in own if rule is not None and item.kind.partition(".")[2] in rule.about]
        lead = min(about, key=_rank) if about else self.changes.get(whole)
        if lead is None:
            touched = tuple(dict.fromkeys(item for finding in findings for item in finding.changes))
            return Cause(root, "", ((root.partition("/")[2], ""),), touched, told)
        rest = root.removeprefix(whole)
        subjects = tuple((item.board, f"{item.subject}{rest}") for item in own if item.kind == lead.kind)
        return Cause(root, lead.kind, subjects, tuple(item.id for item in own), told)


def _below(findings: Iterable[Finding], root: str) -> Iterator[Finding]:
    """Of one arrangement, and of the one that mirrors it, the strongest stays and the others hang below it."""
    heads: dict[frozenset[str], str] = {}
    for item in sorted(findings, key=_strength):
        where = frozenset(stem(party.name) for party in item.parties)
        head = heads.setdefault(where, item.id)
        yield replace(item, cause=root, below="" if head == item.id else head)


def stem(name: str) -> str:
    """The name of a release without its version: its mirror is the other one."""
    return re.sub(r" [0-9][\w.+-]*$", "", name).partition("@")[0]


def _strength(item: Finding) -> tuple[object, ...]:
    old = sum(party.role == "old" and not party.firmware for party in item.parties)
    severity = ("break", "caution", "info").index(item.severity)
    return OUTCOMES.index(outcome(item)), severity, old, item.rule, natural_key(item.subject)


def _rank(change: Change) -> tuple[object, ...]:
    named = next((index for index, kind in enumerate(_NAMING) if change.kind.startswith(kind)), len(_NAMING))
    return named, order_of(change.kind), natural_key(change.id)


class _Tokens:
    """What a change shares with others of its cause."""

    def __init__(self, comparison: Comparison) -> None:
        self.old, self.new = _records(comparison.old), _records(comparison.new)
        joints = (*comparison.old.joints, *comparison.new.joints)
        self.joints = {
            end: f"{item.board_a}.{item.connector_a}–{item.board_b}.{item.connector_b}"
            for item in joints
            for end in item.ends
        }
        # Connectors that came, went, grew or got another part in the world, and whether all of their contacts follow.
        self.rebuilt: dict[tuple[str, str], bool] = {}
        for change in comparison.changes:
            if change.kind.startswith("joint."):
                ends = [change.field(name) for name in ("board_a", "connector_a", "board_b", "connector_b")]
                texts = [(item.before.raw or item.after.raw) if item is not None else "" for item in ends]
                self.rebuilt |= {(texts[0], texts[1]): True, (texts[2], texts[3]): True}
            elif change.kind.startswith("connector."):
                whole = change.kind in ("connector.added", "connector.removed", "connector.role")
                key = (change.board, change.subject)
                self.rebuilt[key] = self.rebuilt.get(key, False) or whole

    def of(self, change: Change) -> Iterator[Token]:
        """Equal tokens, one cause."""
        domain, _, what = change.kind.partition(".")
        if domain == "signal":
            for before, after in change.pairs or ((change.before, change.after),):
                yield ("renamed", *_differing(before, after))
        elif domain == "joint":
            ends = [change.field(name) for name in ("board_a", "connector_a", "board_b", "connector_b")]
            texts = [(item.before.raw or item.after.raw) if item is not None else "" for item in ends]
            yield from (("connector", *texts[:2]), ("connector", *texts[2:]))
        elif domain == "connector":
            yield ("connector", change.board, change.subject)
            yield ("part", change.board, change.subject)
            if what not in ("renumbered", "field") and (change.board, change.subject) in self.joints:
                yield ("joint", self.joints[change.board, change.subject], what)
        elif domain in ("contact", "pin"):
            yield from self._of_places(change, domain, what)
        elif domain == "part":
            yield from (("part", change.board, ref) for pair in change.pairs for ref in pair if ref)
            if what in ("package", "rating"):
                steps = [item for item in change.fields if item.name in ("package", "power", "voltage", "current")]
                yield ("step", change.board, *((item.name, item.before.word, item.after.word) for item in steps))

    def _of_places(self, change: Change, domain: str, what: str) -> Iterator[Token]:
        for before, after in change.pairs:
            one, two = self.old.get((change.board, before)), self.new.get((change.board, after))
            ends = {record.connector for record in (one, two) if isinstance(record, Contact)}
            whole = [end for end in ends if (change.board, end) in self.rebuilt]
            follows = any(self.rebuilt[change.board, end] for end in whole)
            if what in ("removed", "signal") and one is not None and one.signal and _class(one) == "signal":
                yield from (("gone", one.signal.word),) if not self._carried(one.signal.word) else ()
            if follows or (what in ("added", "removed") and whole):
                yield from (("connector", change.board, end) for end in whole)
                if follows:
                    continue
            if what in _PLACES:
                yield from self._of_place(change, domain, what, one, two)
            else:
                yield from self._of_setting(change, what, one, two)

    def _of_place(
        self, change: Change, domain: str, what: str, one: Contact | Pin | None, two: Contact | Pin | None
    ) -> Iterator[Token]:
        """A place on a board with all that left it or came to it; a signal with all its places of one kind."""
        yield from ((domain, change.board, record.name) for record in (one, two) if record is not None)
        signals = [record for record in (one, two) if record is not None and record.signal]
        classes = {_class(record) for record in signals}
        if what == "signal" and classes & {"supply", "ground"}:
            yield ("rail", *(record.signal.word for record in signals))
        if classes == {"signal"}:
            yield from ((domain, "signal", record.signal.word) for record in signals)

    def _carried(self, word: str) -> bool:
        return any(isinstance(record, Contact) and record.signal.word == word for record in self.new.values())

    def _of_setting(
        self, change: Change, what: str, one: Contact | Pin | None, two: Contact | Pin | None
    ) -> Iterator[Token]:
        field = change.field(what)
        step = (_value(field.before), _value(field.after)) if field is not None else ("", "")
        words = {record.signal.word for record in (one, two) if record is not None and record.signal}
        if what in ("level", "current"):
            yield (what, *step)
        elif what == "direction":
            yield from ((what, word) for word in words)
        else:  # how a pin is set up: function, active level, pull, channel; alike for PUMP1 and PUMP2
            yield from (("set up", change.board, word) for word in words)
            yield from ((what, change.board, _DIGITS.sub("#", word), *step) for word in words if _DIGITS.search(word))
        if what == "function" and field is not None:
            yield (what, change.board, _instance(field.before), _instance(field.after))


def _class(record: Contact | Pin) -> str:
    if isinstance(record, Contact):
        return class_of(record)
    word = record.direction.word
    return "ground" if word == "ground" else "supply" if word.startswith("supply") else "signal"


def _records(design: Design) -> dict[tuple[str, str], Contact | Pin]:
    found: dict[tuple[str, str], Contact | Pin] = {}
    for name, board in design.boards.items():
        for connector in board.connectors.values():
            found |= {(name, contact.name): contact for contact in connector.contacts.values()}
        found |= {(name, pin.name): pin for pin in board.pins.values()}
    return found


def _value(reading: Reading) -> object:
    return reading.quantity or reading.word


def _instance(reading: Reading) -> str:
    """``tim3`` of ``TIM3_CH1``: the peripheral that a function belongs to."""
    return reading.word.partition("_")[0]


def _differing(before: str, after: str) -> tuple[str, str]:
    """What two names don't share at their ends: blocks are renamed by one part of the name."""
    start = 0
    while start < min(len(before), len(after)) and before[start] == after[start]:
        start += 1
    end = 0
    while end < min(len(before), len(after)) - start and before[-1 - end] == after[-1 - end]:
        end += 1
    return before[start : len(before) - end].lower(), after[start : len(after) - end].lower()


__all__ = ["OUTCOMES", "Cause", "Outcome", "causes_of", "outcome", "stem", "touching"]
