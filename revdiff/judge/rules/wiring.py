"""Rules of what a netlist shows of one revision: pins and contacts that lead elsewhere or nowhere, dividers."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from revdiff.design import Pin
from revdiff.judge.arrangement import Member
from revdiff.judge.divided import Divided, divided
from revdiff.judge.fact import Ask
from revdiff.judge.facts import Facts
from revdiff.judge.items import uses
from revdiff.judge.rule import Item, Margin, Rule, holds
from revdiff.judge.terminals import Crossed, crossed, leading_nowhere

_NETLIST = ("boards.NAME.netlist with all of the board",)


def _open(_ask: Ask, item: Item) -> Margin | None:
    use, _ = item.what
    board = use.member.board
    places = [board.joined.get((pin.device, pin.number)) for pin in use.carrying]
    if not board.whole or not places or None in places:
        return None
    nowhere = leading_nowhere(board)
    need = use.program.contract.needs[use.key]
    message = (
        f"{use.program.contract.title} needs {need.signal.raw}, and {', '.join(pin.name for pin in use.carrying)} "
        "leads nowhere on the board"
    )
    return holds(not all(place in nowhere for place in places), message, f"0 of {len(places)} pins wired", "at least 1")


def _crossing(pins: bool, facts: Facts) -> Iterator[Item]:
    for member in facts.arrangement.members:
        yield from facts.arrangement.once(("crossed", pins), partial(tuple, _crossed(pins, member)), member)


def _crossed(pins: bool, member: Member) -> Iterator[Item]:
    for one in crossed(member.board):
        if isinstance(one.record, Pin) is pins:
            key = (member.name, member.was(one.record.signal.word), one.record.name)
            touched = ((member.board.name, f"{one.node.ref}.{one.node.pin}"),)
            subject = f"{member.name}.{one.record.name}"
            yield Item(subject, key, (member,), ((member, one.record),), one, touched=touched)


def _elsewhere(_ask: Ask, item: Item) -> Margin | None:
    one: Crossed = item.what
    stated = one.record.signal.raw or "nothing"
    document = "pin map" if isinstance(one.record, Pin) else "connector map"
    message = f"the netlist wires {one.record.name} to {one.node.net.raw}, and the {document} says {stated}"
    return holds(False, message, f"{stated} ≠ {one.node.net.raw}", danger="hazard" if one.sure else "doubt")


def _by_formula(facts: Facts) -> Iterator[Item]:
    """The derived quantities that are dividers by their formulas, where the netlist has both resistors."""
    for member in facts.arrangement.members:
        for item, _trusted in facts.arrangement.derived(member) if member.board.nodes else ():
            found = divided(item, member.board)
            if found is not None:
                refs = (found.upper, found.lower)
                touched = tuple((member.board.name, place) for ref in refs for place in (ref, f"{ref}.1", f"{ref}.2"))
                subject, key = f"{member.name}: {item.name}", (member.name, item.name)
                yield Item(subject, key, (member,), ((member, item),), (item, found), touched=touched)


def _the_way_round(_ask: Ask, item: Item) -> Margin | None:
    derived, found = item.what
    shown: Divided = found
    message = (
        f"{derived.name} is worked out with {shown.upper} above and {shown.lower} below, and the netlist has "
        f"{shown.upper} between {shown.nets[0]} and {shown.lower} between {shown.nets[1]}"
    )
    return holds(shown.agrees, message, derived.formula.text, danger="doubt")


RULES = (
    Rule(
        name="connector-wired-elsewhere",
        title="A contact is wired to another net than the connector map says",
        audience="stacking",
        step="major",
        over=partial(_crossing, False),
        margin=_elsewhere,
        danger="hazard",
        needs=("Signal of the contacts", *_NETLIST),
        why="What is plugged or stacked there goes by the connector map: it drives a supply, or is fed through an "
        "input, where the board is made by the netlist.",
        how="The contact's net against its signal. Another name alone is none of it: one of the two is a supply or "
        "ground and the other isn't, or has another voltage, which can hurt; or either name belongs to something else "
        "on the board, and then nobody can tell which document is right.",
        remedy="Don't plug anything there before the schematic is checked; correct the connector map or the wiring.",
        witness="The contact of a serial line was wired to +5V; the transmitter of the old board above shorts it.",
    ),
    Rule(
        name="firmware-pin-wired-elsewhere",
        title="A controller's pin is wired to another net than the pin map says",
        audience="firmware",
        step="major",
        over=partial(_crossing, True),
        margin=_elsewhere,
        danger="hazard",
        needs=("Signal of the pins", *_NETLIST),
        why="Firmware goes by the pin map: it reads and drives what hangs there, under another name.",
        how="The pin's net against its signal, where pins and netlist can be joined. Another name alone is none of it: "
        "one of the two is a supply or ground and the other isn't, which can hurt; or either name belongs to something "
        "else on the board, and then nobody can tell which document is right.",
        remedy="Run no firmware there before the schematic is checked; correct the pin map or the wiring.",
        witness="HEAT_EN and SENSE changed places in the netlist: the pin map has the heater on the measuring pin.",
    ),
    Rule(
        name="firmware-pin-open",
        title="A pin that firmware needs leads nowhere",
        audience="firmware",
        step="major",
        over=uses,
        margin=_open,
        danger="break",
        needs=("a firmware contract, or the pin map that it ships with", *_NETLIST),
        why="The pin map still has the signal, and the board doesn't: the firmware talks to nobody.",
        how="The pin's net is looked up in the netlist; with no other terminal on it, the pin is open.",
        remedy="Wire the pin, or take the signal out of the pin map and the contract.",
        witness="SDA is in the pin map, and on the board nothing but the controller's pin is on its net.",
    ),
    Rule(
        name="derived-wired-otherwise",
        title="A divider is wired the other way round than its formula has it",
        audience="firmware",
        step="major",
        over=_by_formula,
        margin=_the_way_round,
        danger="break",
        needs=("[derived.NAME]", "boards.NAME.netlist"),
        why="The formula is right for another circuit: the firmware's constant, or a regulator's output, isn't what it "
        "says, although every value is as before.",
        how="The resistor with which the result goes to nothing, or beyond bounds, is the lower one; in the netlist "
        "the other one alone is at ground, or, of a plain ratio, no net has both.",
        remedy="Look at the schematic which of the two is right, and correct the formula or the wiring.",
        witness="31.6k and 10k of a feedback divider traded places: no value changed, and 1.8 V became 10 V.",
    ),
)
