"""The pull resistors on a net over the whole stack, each counted once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from revdiff.design import Contact, Pin
from revdiff.electrical.i2c import parallel
from revdiff.quantities.quantity import Quantity
from revdiff.quantities.text import fold
from revdiff.rules.stack_columns import level_of, pull_elsewhere, pull_of
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Net, Station


@dataclass(frozen=True, slots=True)
class NetPull:
    """One resistor: ``ohms`` None where no value is stated; ``volts``: of the rail it goes to, None if unknown."""

    layer: Layer
    way: str
    ohms: Decimal | None
    volts: Decimal | None
    where: str


@dataclass(frozen=True, slots=True)
class NetPulls:
    """The pulls found, and the boards that say nothing about pulls on this net."""

    found: tuple[NetPull, ...]
    unstated: tuple[str, ...]

    def ways(self, way: str) -> tuple[NetPull, ...]:
        """The pulls up, or those down."""
        return tuple(item for item in self.found if item.way == way)


def strength(pulls: Iterable[NetPull]) -> Decimal | None:
    """All of them in parallel, Ω; None where there is none, or one states no value."""
    values = [item.ohms for item in pulls]
    known = [item for item in values if item is not None]
    return parallel(known) if known and len(known) == len(values) else None


def pulls_on(net: Net) -> NetPulls:
    """All pulls of a net.

    The pin maps and contacts of one board may name one resistor several times; it counts once. A remark such as
    ``pull-up on base`` says whose it is: it counts for that board where its own revision says so, and in no stack
    without that board.
    """
    by_board = {fold(station.layer.board.name): station for station in net.stations}
    own: dict[str, list[NetPull] | None] = {}
    lent: dict[str, list[NetPull]] = {}
    for name, station in by_board.items():
        own[name], elsewhere = _of(station)
        for board, pull in elsewhere:
            if board in by_board and by_board[board].layer.design is station.layer.design:
                lent.setdefault(board, []).append(pull)
    found: list[NetPull] = []
    unstated = []
    for name, station in by_board.items():
        pulls = own[name]
        if pulls is None and name in lent:
            pulls = _strongest(
                NetPull(station.layer, item.way, item.ohms, item.volts, item.where) for item in lent[name]
            )
        if pulls is None:
            unstated.append(station.layer.board.name)
        else:
            found += pulls
    return NetPulls(tuple(found), tuple(unstated))


def _of(station: Station) -> tuple[list[NetPull] | None, list[tuple[str, NetPull]]]:
    """The board's own pulls, None where nothing is stated; and pulls that its remarks say are on other boards."""
    layer = station.layer
    volts = next((item for record in station.records if (item := level_of(record)) is not None), None)

    def pull(way: str, ohms: Decimal | None, where: str) -> NetPull:
        return NetPull(layer, way, ohms, volts if way == "up" else Decimal(0), where)

    listed = [item for word in sorted(station.words) for item in layer.data.pulls.get(word, ())]
    if listed:
        return [pull(item.way, item.ohms, item.ref) for item in listed if item.fitted], []
    others = {fold(name) for name in layer.design.boards} - {fold(layer.board.name)}
    own: list[NetPull] = []
    elsewhere: list[tuple[str, NetPull]] = []
    stated = False
    for record in station.records:
        given = _stated(record)
        if given is None:
            continue
        where = pull_elsewhere(record)
        if where in others and given[0] != "none":
            elsewhere.append((where, pull(*given, record.name)))
            continue
        stated = True
        if given[0] != "none":
            own.append(pull(*given, record.name))
    return (_strongest(own) if stated or elsewhere else None), elsewhere


def _strongest(pulls: Iterable[NetPull]) -> list[NetPull]:
    """Of each way the one with the least resistance: several rows that name one resistor."""
    found: dict[str, NetPull] = {}
    for item in pulls:
        before = found.get(item.way)
        if before is None or (item.ohms is not None and (before.ohms is None or item.ohms < before.ohms)):
            found[item.way] = item
    return list(found.values())


def _stated(record: Contact | Pin) -> tuple[str, Decimal | None] | None:
    if isinstance(record, Contact):
        return pull_of(record)
    meaning = record.pull.meaning
    if not isinstance(meaning, tuple) or not meaning or not isinstance(meaning[0], str):
        return None
    ohms = meaning[1] if len(meaning) > 1 else None
    return meaning[0], ohms.magnitude if isinstance(ohms, Quantity) and ohms.magnitude >= 0 else None
