"""Rules of what changed on the nets: pins that lead elsewhere, dividers of another ratio, resistors that hold."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.compare.nets.pairing import NetPairs
from revdiff.compare.nets.wires import Wires, controllers
from revdiff.design import Board
from revdiff.design.sections import Pull
from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Danger, Item, Margin, holds
from revdiff.judge.side import show
from revdiff.judge.wired import Divider, dividers, wired_pulls
from revdiff.quantities.designator import letters_of
from revdiff.quantities.rail import other_voltage

_NETLIST = ("boards.NAME.netlist with all of the board",)
_SAME = Decimal("0.001")  # relative difference of ratios that arithmetic alone may make
_SWITCHES = ("Q", "T", "K")  # transistors and relays (IEEE 315-1975 clause 22.4; T is common practice, no source)
_LED_ELSEWHERE = ("net.swapped", "net.rewired")
_AROUND = ("net.split", "net.merged")


def _rewired(revisions: Revisions) -> Iterator[Item]:
    """Changes of nets that touch a controller's pins of which the pin map says nothing."""
    for change in revisions.of_kind(*_LED_ELSEWHERE, *_AROUND):
        old, new = revisions.both(change.board)
        known = {terminal: name for name, terminal in controllers(new.board).items()}
        names = [known[wire.after] for wire in change.wires if wire.after in known]
        pins = [pin for pin in new.board.pins.values() if pin.name in names]
        if pins:
            records = tuple((new, pin) for pin in pins)
            key = (change.board, change.subject)
            what = (change, names)
            yield Item(f"{change.board}.{', '.join(names)}", key, (old, new), records, what, changes=(change.id,))


def _leads(_ask: Ask, item: Item) -> Margin | None:
    change, names = item.what
    steps = [f"{wire.after}: {wire.net_before or 'open'} → {wire.net_after or 'open'}" for wire in change.wires]
    danger: Danger = "break" if change.kind in _LED_ELSEWHERE else "caution"
    message = f"{', '.join(names)}: another net is wired to the controller here, and the pin map says nothing of it"
    return holds(False, message, "; ".join(steps[:6]), danger=danger)


def _divided(revisions: Revisions) -> Iterator[Item]:
    """The signals between two resistors in the old revision that the new one has, too."""
    for name, pairs in revisions.comparison.nets.items():
        old, new = revisions.both(name)
        before, after = dividers(old.board), dividers(new.board)
        for net, one in before.items():
            later = pairs.follow(net)
            if later not in pairs.new.members:
                continue
            two = after.get(later)
            sides = ((old, one), (new, two or one))
            refs = list(dict.fromkeys(ref for _, item in sides for ref in (item.upper, item.lower)))
            parts = [(side, side.board.parts[ref]) for side, _ in sides for ref in refs if ref in side.board.parts]
            told = revisions.touching((name, place) for ref in refs for place in (ref, f"{ref}.1", f"{ref}.2"))
            tops = [wires.written(top) if top in wires.members else top for wires, top in _tops(pairs, one, two)]
            what = (pairs.new.written(later), one, two, tops)
            yield Item(f"{name}: {what[0]}", (name, net), (old, new), tuple(parts), what, changes=told)


def _tops(pairs: NetPairs, one: Divider, two: Divider | None) -> Iterator[tuple[Wires, str]]:
    yield pairs.old, one.top
    if two is not None:
        yield pairs.new, two.top


def _ratio(_ask: Ask, item: Item) -> Margin | None:
    net, one, two, tops = item.what
    was = f"{one.ratio:.4g} of {tops[0]}"
    if two is None:
        return holds(False, f"{net} was {was}, and is divided no more", f"{one.upper} and {one.lower} divided it")
    off = abs(two.ratio / one.ratio - 1)
    message = f"{net} is {two.ratio:.4g} of {tops[1]} now, {was} before"
    formula = f"{two.lower} / ({two.upper} + {two.lower}) = {two.ratio:.4g}; off by {100 * off:.3g} %"
    return Margin(_SAME - off, message, formula, f"{show(_SAME * 100, '%')}")


def _held(revisions: Revisions) -> Iterator[Item]:
    """The signals that a resistor held in the old revision, and of which the new one has the net.

    Between two resistors is a divider; nets that neither pin, contact nor transistor is on hold nothing that acts.
    """
    for name, pairs in revisions.comparison.nets.items():
        old, new = revisions.both(name)
        before, after = wired_pulls(old.board), wired_pulls(new.board)
        divided_nets = dividers(old.board)
        acting = _acting(old.board)
        for net, pulls in before.items() if new.board.whole else ():
            later = pairs.follow(net)
            held = tuple(item for item in pulls if item.fitted)
            if held and net in acting and net not in divided_nets and later in pairs.new.members:
                now = tuple(item for item in after.get(later, ()) if item.fitted)
                refs = dict.fromkeys(item.ref for item in (*held, *now))
                told = revisions.touching((name, place) for ref in refs for place in (ref, f"{ref}.1", f"{ref}.2"))
                what = (pairs.new.written(later), held, now)
                yield Item(f"{name}: {what[0]}", (name, net), (old, new), (), what, changes=told)


def _acting(board: Board) -> frozenset[str]:
    known = {*board.joined.values(), *((name, pin) for name, one in board.connectors.items() for pin in one.contacts)}
    return frozenset(
        node.net.word for place, node in board.nodes.items() if place in known or letters_of(node.ref) in _SWITCHES
    )


def _same_hold(_ask: Ask, item: Item) -> Margin | None:
    net, before, now = item.what
    ways, later = ({one.way for one in pulls} for pulls in (before, now))
    rails = [{one.rail for one in pulls if one.way == "up"} for pulls in (before, now)]
    risen = any(other_voltage(one, two) for one in rails[0] for two in rails[1])
    was, said = (" and ".join(sorted(map(_pulled, pulls))) or "nothing" for pulls in (before, now))
    message = f"{net} was held by {was}, and is held by {said} now"
    return holds(ways <= later and (len(ways) == 2 or later <= ways) and not risen, message, f"{was} → {said}")


def _pulled(pull: Pull) -> str:
    return f"{pull.ref} {pull.way}" + (f" to {pull.rail.upper()}" if pull.rail else "")


RULES = (
    ChangeRule(
        name="firmware-pin-rewired",
        title="A controller's pin hangs on another net, and the pin map says nothing of it",
        audience="firmware",
        step="major",
        over=_rewired,
        margin=_leads,
        danger="break",
        needs=_NETLIST,
        why="Firmware goes by the pin map: it reads and drives what hangs there now, under the old name.",
        how="Nets are compared by their terminals; a pin that left its net, or changed it with another, is told.",
        remedy="Correct the pin map and the firmware, or the schematic.",
        witness="The battery's and the temperature's divider changed places at the controller; both names stayed.",
        silent=True,
    ),
    ChangeRule(
        name="pull-wired-otherwise",
        title="The resistor that held a signal is gone, or pulls to somewhere else",
        audience="firmware",
        step="minor",
        over=_held,
        margin=_same_hold,
        danger="caution",
        needs=("values in the parts list", *_NETLIST),
        why="What waits for that level, or a load that it kept off until the firmware runs, finds another one; a bus "
        "that is pulled to ground never becomes high.",
        how="Fitted resistors from the signal's net, or from behind series resistors, to a supply or to ground, before "
        "and now: one way less, one way more, or another voltage. Their values are judged elsewhere.",
        remedy="Look at the level while no firmware runs, and at what hangs on the signal; correct wiring or parts.",
        witness="The pull-up of SDA was wired to ground: no part and no pin map changed, and the bus stays low.",
        silent=True,
    ),
    ChangeRule(
        name="firmware-divider-changed",
        title="A divider has another ratio, or is none any more",
        audience="firmware",
        step="minor",
        over=_divided,
        margin=_ratio,
        danger="caution",
        needs=("values in the parts list", *_NETLIST),
        why="What is measured behind it is another number now, or a regulator's output another voltage.",
        how="Two fitted resistors, one of them to ground, are the only ones on a net: R2 / (R1 + R2), before and now.",
        remedy="Adapt the constant in the firmware, or what the feedback regulates; state it as a derived quantity.",
        witness="31.6k and 10k of a feedback divider traded places: no value changed, and 1.8 V became 10 V.",
        silent=True,
    ),
)
