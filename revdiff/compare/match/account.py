"""The account of one class worked out: the passes, from certain to inferred."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

from revdiff.compare.match.blocks import Grown, take_blocks, take_traded
from revdiff.compare.match.bounds import settle_bounds
from revdiff.compare.match.closing import take_closed
from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.loose import Doubt, doubts, take_exchanges, take_strays
from revdiff.compare.match.order import take_order
from revdiff.compare.match.polish import absorb
from revdiff.compare.match.regrow import regrow
from revdiff.compare.match.rewired import take_rewired
from revdiff.compare.match.ties import take_back_ties
from revdiff.compare.match.wiring import ClassWiring

_LEAST_ORDER = 3  # parts that changed in place, from which on another order is tried first as well
_SMALL = 12  # parts in another order that may as well be a few exchanges
_MOST_EVENTS = 300  # events that are weighed once more

Kinds = Mapping[int, int]  # slot to kind


def work_out(
    old: Kinds,
    new: Kinds,
    difference: Callable[[int, int], int],
    blank: Callable[[int], bool],
    wiring: ClassWiring | None = None,
    twins: Callable[[int, int], bool] | None = None,
) -> tuple[Ledger, list[Doubt]]:
    """The shortest account that the passes find, never longer than that of all parts in place.

    Equal data under the same number is fixed first. Then blocks, another order, exchanges and strays are taken
    where that is shorter, and once more with another order, or what nets alone tell, before blocks, or exchanges
    before another order.
    """
    ledger = Ledger(old, new, difference, wiring, twins)
    alias = _became(ledger)
    best = ledger, Evidence(ledger, blank, alias)
    if (ledger.gone and ledger.come) or wiring is not None:
        changed_in_place = len(ledger.gone & ledger.come)
        grown = Grown()
        plans: list[Plan] = ["far", "closed", "traded", "order"] if changed_in_place >= _LEAST_ORDER else ["far"]
        if wiring is not None:
            plans.insert(1, "rewired")
        while plans:
            plan = plans.pop()
            trial = Ledger(old, new, difference, wiring, twins)
            evidence = Evidence(trial, blank, alias)
            _run(trial, evidence, alias, plan, grown, best[0].total)
            if trial.total < best[0].total or (trial.total == best[0].total and plan == "far"):
                best = trial, evidence
            if plan == "far":
                shifted = [event for event in trial.events if event.shape == "shifted"]
                if any(old[one] != new[two] for event in shifted for one, two in event.pairs):
                    plans.append("equal")
                if any(event.shape == "order" and len(event.pairs) <= _SMALL for event in trial.events):
                    plans.append("exchanges")
    ties = take_back_ties(best[0])
    told = {slot for tie in ties for slot in (*tie.old, *tie.new)}
    return best[0], [*ties, *(item for item in doubts(*best) if told.isdisjoint((*item.old, *item.new)))]


Plan = Literal["far", "equal", "order", "closed", "traded", "rewired", "exchanges"]


def _run(ledger: Ledger, evidence: Evidence, alias: dict[int, int], plan: Plan, grown: Grown, least: int) -> None:
    """Takes all that a plan finds. It is given up where what it told already costs more than ``least``.

    With nets it can still gain by them, whatever it told.
    """
    if plan == "order":
        take_blocks(ledger, evidence, alias, "certain", grown)
        take_order(ledger, evidence)
    if plan == "rewired" and ledger.wiring is not None:
        take_rewired(ledger, evidence, ledger.wiring)
        if not ledger.events:
            return  # the account would be that of blocks first
    if plan == "closed" and not take_closed(ledger, evidence):
        return
    if plan == "traded" and not take_traded(ledger, evidence, alias, grown):
        return
    take_blocks(ledger, evidence, alias, "equal" if plan == "equal" else "far", grown)
    if ledger.wiring is None and ledger.runs.told() > least:
        return
    settle_bounds(ledger, evidence, alias)
    regrow(ledger, evidence, alias)
    if ledger.wiring is not None:
        take_exchanges(ledger, evidence)
        take_rewired(ledger, evidence, ledger.wiring)
        settle_bounds(ledger, evidence, alias)
    if plan == "exchanges":
        take_exchanges(ledger, evidence)
    if plan != "order":
        take_order(ledger, evidence)
    absorb(ledger)
    take_exchanges(ledger, evidence)
    absorb(ledger)
    take_strays(ledger, evidence, alias)
    _drop(ledger)


def _drop(ledger: Ledger) -> None:
    """Leaves out the events that no longer pay, since others took what they rested on, or that chance could explain."""
    if len(ledger.events) > _MOST_EVENTS:
        return
    for event in list(ledger.events):
        before = ledger.total
        ledger.undo(event)
        doubtful = event.shape == "shifted" and event.confidence < BELIEVED and ledger.runs.is_alone(event.pairs)
        if ledger.total > before and not doubtful:
            ledger.take(event.shape, event.pairs, event.offset, event.confidence)


def _became(ledger: Ledger) -> dict[int, int]:
    """Kinds of which no part is left, and what most of their parts became under their own numbers."""
    left = set(ledger.new.values())
    counts: dict[int, dict[int, int]] = {}
    for slot in ledger.gone:
        kind = ledger.old[slot]
        if kind not in left and slot in ledger.new:
            became = counts.setdefault(kind, {})
            after = ledger.new[slot]
            became[after] = became.get(after, 0) + 1
    found = {}
    for kind, became in counts.items():
        most = max(became.values())
        candidates = [after for after, count in became.items() if count == most]
        if len(candidates) == 1 and most > 1 and 2 * most > sum(became.values()):
            found[kind] = candidates[0]
    return found
