"""Supplies: what is given lies within what is taken; one source, and enough of it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

from revdiff.design import Contact
from revdiff.electrical.logic import supply_range
from revdiff.judge.arrangement import Current
from revdiff.judge.contacts import is_supply
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.facts import Facts, NodeFacts
from revdiff.judge.items import meets
from revdiff.judge.rule import FINE, OWN_WORD, Danger, Item, Margin, Rule, holds
from revdiff.judge.side import SideFacts, show
from revdiff.quantities.span import Span, read_span

_USUAL = Decimal("0.05")  # what a stated nominal voltage may be off; common practice, no source
_CERTAIN = Decimal("0.10")  # beyond this nobody would call it that voltage


def _span(contact: Contact) -> Fact[Span]:
    found = read_span(contact.level.raw, "V")
    return Fact(found, contact.origin.of("level")) if found else unknown("the column Level", essential=True)


def _taken(span: Span, share: Decimal) -> Span:
    """What is accepted: the stated range; of a nominal value a usual tolerance."""
    if not span.exact or span.nominal is None:
        return span
    off = abs(span.nominal) * share
    return Span(span.low - off, span.high + off, span.nominal)


def _nearly(ask: Ask, given: Span, stated: Span) -> Danger:
    """Beyond the usual tolerance of a nominal value: care within a published range, else nobody can tell."""
    known = supply_range(stated.nominal) if stated.nominal is not None else None
    if known is None or given.low < known[0] or given.high > known[1]:
        return "doubt"
    return ask(Fact("caution", source=known[2]))


def _mirrored(span: Span) -> Span:
    return Span(-span.high, -span.low, -span.nominal if span.nominal is not None else None)


def _voltage(ask: Ask, item: Item) -> Margin | None:
    meet, _ = item.what
    ends = (meet.a, meet.b)
    # Under one name, a contact that states no direction is what its partner is.
    if meet.kin == "no" or not any(map(is_supply, ends)) or not all(is_supply(x) or not x.direction for x in ends):
        return None
    sides = [(meet.a, meet.mating.a), (meet.b, meet.mating.b)]
    if meet.a.direction.word == "supply in" or meet.b.direction.word == "supply out":
        sides.reverse()
    (giver, at), (taker, where) = sides
    given, stated = ask(_span(giver)), ask(_span(taker))
    turned = given.high < 0 < stated.low or stated.high < 0 < given.low
    if given.high < 0 and stated.high < 0:  # beyond −5 V is −12 V
        given, stated = _mirrored(given), _mirrored(stated)
    directed = "supply in" in (giver.direction.word, taker.direction.word)
    taken = _taken(stated, _USUAL)
    above, below = taken.high - given.high, given.low - taken.low
    edge = _taken(stated, _CERTAIN)
    too_much = turned or given.high > edge.high or (not directed and given.low < edge.low)
    danger: Danger = "hazard" if too_much else "break" if given.low < edge.low else _nearly(ask, given, stated)
    if above <= below:
        figures = f"{show(taken.high, 'V')} − {show(given.high, 'V')}; margin {show(above, 'V')}"
        over = given.high - (stated.high if stated.exact else taken.high)
        told = f"{show(max(over, Decimal(0)), 'V')} too much"
    else:
        figures = f"{show(given.low, 'V')} − {show(taken.low, 'V')}; margin {show(below, 'V')}"
        under = (stated.low if stated.exact else taken.low) - given.low
        told = f"{show(max(under, Decimal(0)), 'V')} too little"
    message = f"{giver.signal.raw} of {at.name} is {giver.level.raw}; {where.name} takes {taker.level.raw}: {told}"
    message += "; state what it takes as a range in its column Level" if danger == "doubt" else ""
    limit = f"{show(taken.low, 'V')} to {show(taken.high, 'V')}"
    return Margin(min(above, below), message, f"{figures} ({told})", limit, danger)


def _rails(facts: Facts) -> Iterator[Item]:
    for node in facts.nodes:
        if node.cls == "supply" and node.node.kin == "yes" and len(node.sides) > 1:
            key = tuple(sorted(side.side.key for side in node.sides))
            records = tuple((side.member, record) for side in node.sides for record in side.records)
            yield Item(node.subject, key, node.members, records, node)


def _current(side: SideFacts, which: Literal["feeds", "loads"]) -> Current:
    return side.node.node.arrangement.current(side.member, which, side.side.words)


def _stated(side: SideFacts, which: Literal["feeds", "loads"]) -> Decimal | None:
    return _current(side, which).stated


def _feeds(side: SideFacts) -> bool:
    return _stated(side, "feeds") is not None or {item.direction.word for item in side.side.contacts} == {"supply out"}


def _back_feed(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    unsaid = (side for side in node.sides if not side.directions or "supply" in side.directions)
    vague = [side.name for side in unsaid if _stated(side, "feeds") is None]
    sources = [side for side in node.sides if _feeds(side)]
    if len(sources) < 2 and vague:
        ask(unknown("the column Direction: supply in or supply out"))
    blocking = [side for side in sources if any(side.member.board.sections.blocking.get(w) for w in side.side.words)]
    bare = len(sources) - len(blocking)
    names = " and ".join(side.member.name for side in sources)
    message = f"{names} all feed {node.name}, and nothing keeps current from flowing back"
    arithmetic = f"{len(sources)} sources − {len(blocking)} blocked = {bare}"
    if bare == 1 and blocking:
        (fed,) = (side.member.name for side in sources if side not in blocking)
        others = " and ".join(side.member.name for side in blocking)
        message = f"{others} can feed {node.name} of {fed} backwards while {fed} is off: nothing blocks that there"
        return Margin(Decimal(-1), message, arithmetic, "0 sources without a blocking part beside others", "caution")
    free = Decimal(0 if len(sources) < 2 else -bare)
    return Margin(free, message, arithmetic, "0 sources without a blocking part beside others")


def _opposed(_ask: Ask, item: Item) -> Margin | None:
    """Of boards that only feed a rail ``_back_feed`` knows more."""
    meet, node = item.what
    if meet.kin == "no" or not (is_supply(meet.a) and is_supply(meet.b)):
        return None
    if (meet.a.direction.word, meet.b.direction.word) != ("supply out", "supply out"):
        return FINE
    members = (meet.mating.a.name, meet.mating.b.name)
    if all(_feeds(side) for side in node.sides if side.member.name in members):
        return None
    message = f"{meet.a.signal.raw} is given by both {members[0]} and {members[1]} on {meet.a.name} and {meet.b.name}"
    return holds(False, message, "2 contacts say supply out", "1 that gives, 1 that takes")


def _budget(ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    feeds = [_current(side, "feeds") for side in node.sides if _stated(side, "feeds") is not None]
    takers = [side for side in node.sides if not _feeds(side) or _stated(side, "loads") is not None]
    loads = [_current(side, "loads") for side in takers]
    if not feeds:
        if any(item.stated is not None for item in loads):
            ask(unknown("boards.NAME.feeds"))
        return None
    if any(item.stated is None for item in loads):
        ask(unknown("boards.NAME.loads"))

    def left(which: Literal["stated", "trusted"], danger: Danger | None, more: str) -> Margin:
        given = sum((getattr(item, which) for item in feeds), Decimal(0))
        known = [getattr(item, which) for item in loads]
        rest = given - sum(known, Decimal(0))
        figures = " − ".join(show(amps, "A") for amps in (given, *known))
        message = f"{node.name} gives {show(given, 'A')}; {show(sum(known, Decimal(0)), 'A')} are taken{more}"
        return Margin(rest, message, f"feed − Σ loads = {figures} = {show(rest, 'A')}", "0 A left", danger)

    own, trusted = left("stated", None, ""), left("trusted", "doubt", OWN_WORD)
    if own.value >= 0 > trusted.value:
        return trusted
    return _alone(node, feeds, loads) if own.value >= 0 and len(feeds) > 1 else own


def _alone(node: NodeFacts, feeds: list[Current], loads: list[Current]) -> Margin:
    """Sources behind diodes don't share: the one of the higher voltage gives all, and one alone is the usual start."""
    most = max(item.stated or Decimal(0) for item in feeds)
    taken = sum((item.stated or Decimal(0) for item in loads), Decimal(0))
    message = (
        f"no source of {node.name} gives {show(taken, 'A')} alone, and they may not share: {show(most, 'A')} at most"
    )
    figures = f"largest feed − Σ loads = {show(most, 'A')} − {show(taken, 'A')} = {show(most - taken, 'A')}"
    return Margin(most - taken, message, figures, "0 A left", "caution")


def _unfed(_ask: Ask, item: Item) -> Margin | None:
    node: NodeFacts = item.what
    all_in = all(side.directions == {"supply in"} for side in node.sides)
    message = f"{node.name} is taken by {' and '.join(item.name for item in node.members)}, and nobody feeds it"
    return holds(not all_in, message, f"0 sources of {len(node.sides)} boards", "at least 1 source")


RULES = (
    Rule(
        name="joint-supply-voltage",
        about=("level",),
        title="A supply has another voltage than its partner takes",
        audience="stacking",
        step="major",
        over=meets,
        margin=_voltage,
        danger="hazard",
        needs=("Level", "Direction"),
        why="The partner board was built for what it was told; more can destroy it, less may not start it.",
        how="What the giving side states against the range that the taking side states (9-36 V, 5 V ±5 %); of a "
        "nominal value 5 % either way, and with care what a standard publishes for it (3.3 V: 3.0 to 3.6 V). "
        "Beyond that nobody can tell; more than a tenth over, which no range covers, it can destroy; less only "
        "doesn't work.",
        remedy="Don't stack these before the partner's limits are checked. Keep the voltage, or use another contact.",
        witness="A 12.6 V battery contact rises to 14.4 V; capacitors rated 16 V lose their margin.",
    ),
    Rule(
        name="stack-back-feed",
        title="Two boards feed one rail, and nothing blocks current back",
        audience="stacking",
        step="major",
        over=_rails,
        margin=_back_feed,
        danger="hazard",
        needs=("Direction", "boards.NAME.feeds", "boards.NAME.blocking"),
        why="The stronger source feeds the other one backwards: regulators break, batteries charge uncontrolled.",
        how="Boards whose contacts say supply out, or that state boards.NAME.feeds, less those with a fitted part in "
        "boards.NAME.blocking, over the whole stack.",
        remedy="Fit a blocking part (a diode, a switch) and name it in boards.NAME.blocking, or remove one feed.",
        witness="An add-on feeds +5V while the host's regulator does: 2 sources, none blocked.",
    ),
    Rule(
        name="joint-supply-given-twice",
        about=("direction",),
        title="A supply is given from both sides of a contact",
        audience="stacking",
        step="major",
        over=meets,
        margin=_opposed,
        danger="doubt",
        needs=("Direction",),
        why="Either one of the tables is wrong, or two sources meet and the stronger one feeds the other backwards.",
        how="The directions of both contacts, where one of the boards takes the rail elsewhere; two boards that only "
        "feed it are judged by what blocks them.",
        remedy="Correct the direction of the one that takes it, or say what feeds and what blocks: boards.NAME.feeds, "
        "boards.NAME.blocking.",
        witness="The radio passes +3V3 on, and its table says supply out also where it gets it.",
    ),
    Rule(
        name="stack-rail-budget",
        title="A rail has to give more than it can",
        audience="stacking",
        step="major",
        over=_rails,
        margin=_budget,
        danger="break",
        needs=("boards.NAME.feeds", "boards.NAME.loads"),
        why="The supply drops, boards reset one another, or the regulator overheats.",
        how="boards.NAME.feeds less boards.NAME.loads of every board on the rail. With care where only several sources "
        "together are enough: they share evenly only if they were made for it.",
        remedy="Reduce the loads, raise the supply, or say which boards must not be stacked together.",
        witness="1.5 A − 0.9 A − 0.7 A = −0.1 A.",
        source="the currents that the design states",
    ),
    Rule(
        name="stack-rail-unfed",
        title="A rail that all boards take and none feeds",
        audience="stacking",
        step="major",
        over=_rails,
        margin=_unfed,
        danger="caution",
        needs=("Direction",),
        why="Without a source nothing starts; perhaps a cable outside the stack feeds it.",
        how="The directions of all contacts on the rail over the whole stack.",
        remedy="Correct the directions, or say which board feeds it.",
        witness="Both boards wait for 3.3 V from the other.",
    ),
)
