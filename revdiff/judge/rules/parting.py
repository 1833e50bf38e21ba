"""Signals that met themselves on two boards where things worked, and are on both boards still."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from revdiff.judge.fact import Ask
from revdiff.judge.facts import Facts
from revdiff.judge.rule import Danger, Item, Margin, Rule, smaller
from revdiff.judge.side import SideFacts
from revdiff.quantities.text import squeeze


def _pairs(facts: Facts) -> Iterator[Item]:
    """What belongs together on two boards that mate, each by the name that it has on its board."""
    mated = {frozenset((item.a.name, item.b.name)) for item in facts.matings}
    sides = {(side.member.name, word): side for node in facts.nodes for side in node.sides for word in side.side.words}
    for a, b in combinations(facts.arrangement.members, 2):
        if {a.name, b.name} not in mated:
            continue
        for one, two in sorted(facts.arrangement.known(a, b)):
            here, there = sides.get((a.name, one)), sides.get((b.name, two))
            other = squeeze(one) != squeeze(two) and ((a.name, two) in sides or (b.name, one) in sides)
            if here is None or there is None or other or here.node.cls != there.node.cls:
                continue  # what met another than its namesake was a slip, and is mended
            records = tuple((side.member, record) for side in (here, there) for record in side.records)
            if here.node is not there.node and _meets_another(facts, here, there):
                continue  # told as that
            key = ((a.name, a.was(one)), (b.name, b.was(two)))
            yield Item(f"{a.name}: {here.signal}", key, (a, b), records, (here, there))


def _meets_another(facts: Facts, here: SideFacts, there: SideFacts) -> bool:
    ends = (here.member.name, there.member.name)
    return any(
        meet.kin != "yes"
        and (meet.mating.a.name, meet.mating.b.name) == ends
        and (meet.a.signal.word in here.side.words or meet.b.signal.word in there.side.words)
        for meet in facts.meets
    )


def _together(_ask: Ask, item: Item) -> Margin | None:
    here, there = item.what
    met = here.node is there.node
    message = f"{here.signal} of {here.member.name} no longer reaches {there.signal} of {there.member.name}"
    danger: Danger = "break" if any(map(_matters, (*here.node.sides, *there.node.sides))) else "caution"
    return Margin(Decimal(met), message, "connected" if met else "apart", danger=danger)


def _matters(side: SideFacts) -> bool:
    """Whether the board takes something by it."""
    return side.reads or side.takes or "supply in" in side.directions or bool(side.side.uses)


RULES = (
    Rule(
        name="stack-signal-parted",
        about=("removed", "signal", "moved", "opened"),
        title="A signal no longer reaches the other board",
        audience="stacking",
        step="major",
        over=_pairs,
        margin=_together,
        danger="break",
        needs=("Signal", "[[joints]]"),
        why="Both boards have the signal still, and nothing connects them: an input floats, a load stays off.",
        how="The signals that met where things worked, each on its board: whether any contacts still connect them.",
        remedy="Bring the signal back to a contact that meets its mate's.",
        witness="The contact that passes the receiver's data on was taken for a spare; the controller hears nothing.",
        worse=smaller,
    ),
)
