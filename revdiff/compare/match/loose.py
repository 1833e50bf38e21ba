"""Single parts under other numbers: two exchanged, and strays whose data are rare enough to know them by."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from revdiff.compare.assignment import best_pairs
from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.ledger import Ledger

_REMARKED = 0.1  # confidence, from which on another reading is worth a remark
_WEIGHED = 4096  # pairs whose nets are compared


class Doubt(Struct, frozen=True):
    """Old and new slots of equal data that may be the same parts, and were told as removed and added.

    ``tie``: nothing tells which of them; else the data are too common to say.
    """

    old: tuple[int, ...]
    new: tuple[int, ...]
    confidence: float
    tie: bool


def take_exchanges(ledger: Ledger, evidence: Evidence) -> None:
    """Takes pairs of parts that have each other's data now."""
    waiting: dict[tuple[int, int], list[int]] = {}
    for slot in sorted(ledger.gone & ledger.come):
        before, after = ledger.old[slot], ledger.new[slot]
        partners = waiting.get((after, before))
        if partners:
            other = partners[-1]
            pairs = [(other, slot), (slot, other)]
            confidence = evidence.of_order(pairs)
            if confidence >= BELIEVED and ledger.worth("exchanged", pairs) < 0:
                partners.pop()
                ledger.take("exchanged", pairs, confidence=confidence)
                continue
        waiting.setdefault((before, after), []).append(slot)


def take_strays(ledger: Ledger, evidence: Evidence, alias: dict[int, int]) -> None:
    """Takes lone parts under another number."""
    for before, after, tries in _leftovers(ledger, alias):
        pairs = _decided(ledger, before, after)
        for one, two in pairs:
            confidence = evidence.of_stray((one, two), tries)
            if confidence >= BELIEVED and ledger.worth("shifted", [(one, two)], two - one) < 0:
                ledger.take("shifted", [(one, two)], two - one, confidence)


def doubts(ledger: Ledger, evidence: Evidence) -> Iterator[Doubt]:
    """What could be told in another way, after all."""
    for before, after, tries in _leftovers(ledger, {}):
        confidence = evidence.of_stray((before[0], after[0]), tries)
        tie = len(before) != len(after)
        if confidence >= (BELIEVED if tie else _REMARKED):
            yield Doubt(tuple(before), tuple(after), confidence, tie)


def _leftovers(ledger: Ledger, alias: dict[int, int]) -> Iterator[tuple[list[int], list[int], int]]:
    """By kind: slots whose old part went for good, those with a new part of no old one, and how many went or came."""
    olds: dict[int, list[int]] = {}
    news: dict[int, list[int]] = {}
    gone = sorted(slot for slot in ledger.gone if not ledger.paired_in_place(slot))
    come = sorted(slot for slot in ledger.come if not ledger.paired_in_place(slot))
    for slot in gone:
        kind = ledger.old[slot]
        olds.setdefault(alias.get(kind, kind), []).append(slot)
    for slot in come:
        news.setdefault(ledger.new[slot], []).append(slot)
    tries = max(len(gone), len(come), 1)
    for kind, before in sorted(olds.items(), key=lambda item: item[1]):
        if kind in news:
            yield before, news[kind], tries


def _decided(ledger: Ledger, before: list[int], after: list[int]) -> list[tuple[int, int]]:
    """Who is who among parts of equal data: by their nets where those tell, else by number where all find a partner."""
    pairs: list[tuple[int, int]] = []
    if ledger.wiring is not None and len(before) * len(after) <= _WEIGHED:
        pairs = best_pairs(before, after, ledger.wiring.of)
    olds = [slot for slot in before if slot not in {one for one, _ in pairs}]
    news = [slot for slot in after if slot not in {two for _, two in pairs}]
    if len(olds) == len(news):
        pairs += zip(olds, news, strict=True)
    return pairs
