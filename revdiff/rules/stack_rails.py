"""Rules of stacking: what rails give and take over the whole stack, and who feeds them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from revdiff.electrical.currents import left_over
from revdiff.rules.contacts import PRACTICE, class_of
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.stack_current import amperes
from revdiff.rules.stack_mechanics import meetings_of
from revdiff.rules.stack_model import Net, Stack, Station
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, finding, signed, stack_rule


def rail_nets(stack: Stack) -> Iterator[Net]:
    """The nets that carry nothing but a supply."""
    for net in stack.nets:
        if all(class_of(contact) == "supply" for contact in net.contacts()):
            yield net


def _budget(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in rail_nets(stack):
        feeds = [(item, amps) for item in net.stations if (amps := _of(item, item.layer.data.feeds)) is not None]
        loads = [(item, amps) for item in net.stations if (amps := _of(item, item.layer.data.loads)) is not None]
        if not feeds:
            yield from _offered(rule, stack, net)
            continue
        silent = [item.layer.board.name for item in net.stations if item not in [one for one, _ in loads]]
        if silent:
            yield Unmade(f"budget of {net.name}", f"the load of {', '.join(silent)} isn't stated", "boards.NAME.loads")
            continue
        yield Made(f"budget of {net.name}")
        offered, taken = sum((amps for _, amps in feeds), Decimal(0)), [amps for _, amps in loads]
        left = left_over(offered, *taken)
        if left < 0:
            yield _overloaded(rule, stack, net, offered, taken, left)


def _of(station: Station, stated: Mapping[str, Decimal]) -> Decimal | None:
    return next((stated[word] for word in sorted(station.words) if word in stated), None)


def _offered(rule: Rule, stack: Stack, net: Net) -> Iterator[Outcome]:
    """Joint by joint: what the contacts of the feeding side are said to give, and those of the other to take."""
    for a, b in stack.pairs:
        one, two = (next((item for item in net.stations if item.layer is layer), None) for layer in (a, b))
        if one is None or two is None:
            continue
        labels = {meeting.name: meeting for meeting in meetings_of(stack, a, b)}
        ends = [
            {item.a.connector.name for item in labels.values()},
            {item.b.connector.name for item in labels.values()},
        ]
        sides = [
            [item for item in station.contacts if item.connector in names]
            for station, names in zip((one, two), ends, strict=True)
        ]
        out = next((items for items in sides if items and all(i.direction.word == "supply out" for i in items)), None)
        into = next((items for items in sides if items and all(i.direction.word == "supply in" for i in items)), None)
        what = f"current of {net.name} from {a.board.name} to {b.board.name}"
        offered, taken = amperes(out or ()), amperes(into or ())
        if out is None or into is None or offered is None or taken is None:
            yield Unmade(
                what,
                "directions or currents aren't stated",
                "the columns Direction and Current, or boards.NAME.feeds and loads",
            )
            continue
        yield Made(what)
        if offered < taken:
            pair = Net((one, two))
            yield _overloaded(rule, stack, pair, offered, [taken], offered - taken)


def _overloaded(rule: Rule, stack: Stack, net: Net, offered: Decimal, taken: list[Decimal], left: Decimal) -> Finding:
    figures = " − ".join(amount(item, "A") for item in (offered, *taken))
    return finding(
        rule,
        stack,
        [item.layer for item in net.stations],
        [item.contacts[0] for item in net.stations],
        subject=net.subject,
        message=f"{net.name} gives {amount(offered, 'A')}; {amount(sum(taken, Decimal(0)), 'A')} are taken",
        arithmetic=f"feed − Σ loads = {figures} = {amount(left, 'A')}; margin {amount(left, 'A')}",
        limit="0 A left",
    )


def _back_feed(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for net in rail_nets(stack):
        vague = [item.name for item in net.stations if "supply" in item.directions]
        if vague:
            yield Unmade(
                f"who feeds {net.name}", f"{', '.join(vague)} says supply, not in or out", "the column Direction"
            )
            continue
        yield Made(f"who feeds {net.name}")
        sources = [
            item
            for item in net.stations
            if _of(item, item.layer.data.feeds) is not None or item.directions == {"supply out"}
        ]
        bare = [item for item in sources if not any(item.layer.data.blocking.get(word) for word in item.words)]
        if len(sources) < 2 or len(bare) < 2:
            continue
        yield finding(
            rule,
            stack,
            [item.layer for item in bare],
            [item.contacts[0] for item in bare],
            subject="–".join(item.name for item in bare),
            message=f"{' and '.join(item.layer.board.name for item in bare)} all feed {net.name}, "
            "and nothing keeps current from flowing back",
            arithmetic=f"{len(sources)} sources − {len(sources) - len(bare)} blocked = {len(bare)}; "
            f"margin {signed(1 - len(bare))}",
            limit="1 source without a blocking part",
        )


RULES = (
    stack_rule(
        _back_feed,
        name="stack-back-feed",
        title="Two boards feed one rail, and nothing blocks current back",
        severity="break",
        step="major",
        hazard=True,
        why="The stronger source feeds the other one backwards: regulators break, batteries charge uncontrolled.",
        how="Boards whose contacts say supply out, or that state boards.NAME.feeds, less those with a fitted part in "
        "boards.NAME.blocking, over the whole stack.",
        remedy="Fit a blocking part (a diode, a switch) and name it in boards.NAME.blocking, or remove one feed.",
        witness="An add-on feeds +5V while the host's regulator does: 2 sources, none blocked.",
        source=PRACTICE,
    ),
    stack_rule(
        _budget,
        name="stack-rail-budget",
        title="A rail has to give more than it can",
        severity="break",
        step="major",
        why="The supply drops, boards reset one another, or the regulator overheats.",
        how="boards.NAME.feeds less boards.NAME.loads of every board on the rail; without feeds, the currents that the "
        "contacts of a joint give (supply out) and take (supply in).",
        remedy="Reduce the loads, raise the supply, or say which boards must not be stacked together.",
        witness="1.5 A − 0.9 A − 0.7 A = −0.1 A.",
        source="the currents that the design states",
    ),
)
