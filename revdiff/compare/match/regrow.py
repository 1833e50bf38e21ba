"""Runs that stand in each other's way, weighed once more: one grown as if the others near it were not there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.growing import Grower
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.restless import Restless
from revdiff.compare.match.runs import Event

_NEAR = 24  # numbers between two runs that may stand in each other's way
_SHORT = 60  # parts of a run that may be there by chance alone
_MOST = 24  # runs in a class that are weighed so


def regrow(ledger: Ledger, evidence: Evidence, alias: Mapping[int, int]) -> None:
    """Draws each run anew without the shorter ones beside it, and keeps that where the account gets shorter."""
    runs = sorted(
        (event for event in ledger.events if event.shape == "shifted"), key=lambda run: (-len(run.pairs), run.pairs)
    )
    if len(runs) > _MOST:
        return
    for event in runs:
        others = [run for run in runs if run is not event and len(run.pairs) <= _SHORT and _are_near(run, event)]
        if others and all(run in ledger.events for run in (event, *others)):
            _weigh(ledger, evidence, alias, event, others)


def _are_near(one: Event, two: Event) -> bool:
    """Whether they stand in each other's way on either side."""
    return any(
        one.pairs[0][side] <= two.pairs[-1][side] + _NEAR and two.pairs[0][side] <= one.pairs[-1][side] + _NEAR
        for side in (0, 1)
    )


def _weigh(ledger: Ledger, evidence: Evidence, alias: Mapping[int, int], event: Event, others: Sequence[Event]) -> None:
    total, tries = ledger.total, evidence.tries()
    for run in (event, *others):
        ledger.undo(run)
    grower = Grower(Restless(ledger, alias), evidence, tries, "far")
    taken: list[Event] = []
    for run in (event, *others):
        grown = grower.grow(run.offset, run.pairs[len(run.pairs) // 2][0])
        if len(grown.pairs) > 1 and grown.worth < 0:
            confidence = evidence.of_block(grown.pairs, tries)
            if confidence >= BELIEVED:
                taken.append(ledger.take("shifted", grown.pairs, run.offset, confidence))
    if ledger.total >= total:
        for run in taken:
            ledger.undo(run)
        for run in (event, *others):
            ledger.take("shifted", run.pairs, run.offset, run.confidence)
