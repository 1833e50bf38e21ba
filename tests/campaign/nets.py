"""Boards as nets and parts, what people do to them, and their files in both open standards.

It shares nothing with the program: parts and terminals go by uids that no file shows, so that the truth depends on no
matching. A part's designator, a net's name and the nets that are named after a part are made when files are written.
Columns of IPC-D-356A: application note AN40 "IPC-D-356A Netlist Format"; elements of IPC-2581 as in published files.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random
from xml.sax.saxutils import quoteattr

End = tuple[int, str]  # a part's uid, its pin

_VALUES = {
    "R": ("10k", "4k7", "1k", "100k", "22R", "47k", "2k2", "330R", "0R", "68k"),
    "C": ("100n", "10n", "22p", "4n7", "220n"),
    "D": ("diode A", "LED red", "LED green", "clamp"),
    "Q": ("transistor N", "transistor P"),
    "U": ("amplifier", "flash", "driver", "sensor", "regulator"),
    "J": ("plug", "socket"),
}
_PINS = {"R": (2, 2), "C": (2, 2), "D": (2, 2), "Q": (3, 3), "U": (5, 14), "J": (4, 12)}
_EITHER_WAY = ("R", "C")
_WORDS = (
    "SPI",
    "I2C",
    "MOTOR",
    "VALVE",
    "SENSE",
    "TEMP",
    "FLOW",
    "CLK",
    "DATA",
    "IRQ",
    "ENABLE",
    "RESET",
    "FAN",
    "ADC",
)
_RAILS = ("GND", "+3V3", "+5V", "+12V", "+1V8")


@dataclass
class Item:
    """A part: class letters, number, value, how many pins, whether the parts list has it."""

    prefix: str
    number: int
    value: str
    pins: int
    listed: bool = True

    @property
    def ref(self) -> str:
        return f"{self.prefix}{self.number}"


@dataclass
class Layout:
    """Parts by uid, nets by uid: its name, none where a program names it after its first part; open pins on none."""

    parts: dict[int, Item] = field(default_factory=dict)
    names: dict[int, str] = field(default_factory=dict)
    nets: dict[int, list[End]] = field(default_factory=dict)

    def net_of(self, end: End) -> int | None:
        return next((net for net, ends in self.nets.items() if end in ends), None)

    def name(self, net: int) -> str:
        """As it is written."""
        if self.names[net]:
            return self.names[net]
        uid, pin = self.nets[net][0]
        return f"Net-({self.parts[uid].ref}-Pad{pin})"

    def terminal(self, end: End) -> str:
        return f"{self.parts[end[0]].ref}.{end[1]}"


@dataclass(frozen=True)
class Truth:
    """One thing that was done: the terminals, parts or nets that a person would name, by which kinds of entry."""

    what: str
    kinds: frozenset[str]
    touched: frozenset[str]


_MOVED = frozenset({"net.rewired", "pin.signal", "contact.signal"})
_OPENED = frozenset({"net.left", "pin.opened", "pin.removed", "contact.signal"})
_CONNECTED = frozenset({"net.joined", "pin.connected", "pin.added", "contact.signal"})


class Pair:
    """An older and a newer board in the making."""

    def __init__(self, rng: Random, parts: int) -> None:
        self.rng = rng
        self.old = make_layout(rng, parts)
        self.new = copy.deepcopy(self.old)
        self.truth: list[Truth] = []
        self.parts_touched: set[int] = set()
        self.nets_touched: set[int] = set()

    def tell(self, what: str, kinds: frozenset[str] | set[str], touched: set[str]) -> bool:
        self.truth.append(Truth(what, frozenset(kinds), frozenset(touched)))
        return True

    def take(self, *nets: int | None, parts: tuple[int, ...] = ()) -> bool:
        """Nets and parts for one event; each is touched by one only, so that it is known what caused what."""
        if not all(parts) or any(net is None or net in self.nets_touched for net in nets):
            return False
        if any(uid in self.parts_touched for uid in parts):
            return False
        self.nets_touched.update(net for net in nets if net is not None and self.new.names[net] not in _RAILS)
        self.parts_touched.update(parts)
        return True

    def some_net(self, least: int = 3) -> int | None:
        """A net of its own kind with so many terminals, of as many parts."""
        good = [
            net
            for net, ends in self.new.nets.items()
            if len({uid for uid, _ in ends}) >= least
            and self.new.names[net] not in _RAILS
            and net not in self.nets_touched
        ]
        return self.rng.choice(good) if good else None

    def some_end(self, net: int, prefixes: str = "RCDQUJ") -> End | None:
        good = [
            end
            for end in self.new.nets[net]
            if self.new.parts[end[0]].prefix in prefixes and end[0] not in self.parts_touched
        ]
        return self.rng.choice(good) if good else None

    def rail(self) -> int:
        return self.rng.choice([net for net, name in self.new.names.items() if name in _RAILS])


def make_layout(rng: Random, parts: int) -> Layout:
    """A board: supplies that much hangs on, named signals, and nets without a name."""
    board = Layout()
    numbers: dict[str, int] = {}
    for uid in range(1, parts + 1):
        prefix = rng.choices("RCDQUJ", (40, 25, 6, 6, 18, 5))[0]
        numbers[prefix] = numbers.get(prefix, 0) + (1 if rng.random() < 0.9 else 3)
        least, most = _PINS[prefix]
        board.parts[uid] = Item(prefix, numbers[prefix], rng.choice(_VALUES[prefix]), rng.randint(least, most))
    for index, name in enumerate(_RAILS):
        board.names[index + 1], board.nets[index + 1] = name, []
    ends = [(uid, str(pin)) for uid, item in board.parts.items() for pin in range(1, item.pins + 1)]
    rng.shuffle(ends)
    rest = []
    for end in ends:
        what = rng.random()
        if what < 0.3:
            board.nets[rng.choices(range(1, 6), (50, 20, 15, 10, 5))[0]].append(end)
        elif what < 0.35 and board.parts[end[0]].prefix in "UJ":
            continue  # open
        else:
            rest.append(end)
    rest.sort(key=lambda end: (end[0] // 12, rng.random()))
    used: set[str] = set(_RAILS)
    net = 100
    while rest:
        size = rng.choices((2, 3, 4, 5, 6), (35, 30, 20, 10, 5))[0]
        some, rest = rest[:size], rest[size:]
        if len({uid for uid, _ in some}) < 2:
            continue
        net += 1
        board.nets[net] = some
        name = _name(rng, used) if rng.random() < 0.6 else ""
        board.names[net] = name
    return board


def _name(rng: Random, used: set[str]) -> str:
    while True:
        words = rng.sample(_WORDS, rng.choice((1, 2, 2, 3)))
        name = "_".join([*words, str(rng.randrange(100))])
        if name not in used and not any(other[:14] == name[:14] for other in used):
            used.add(name)
            return name


# what people do


def rewired(pair: Pair) -> bool:
    """One terminal of a part goes to another net."""
    net = pair.some_net()
    end = None if net is None else pair.some_end(net)
    target = pair.rail() if pair.rng.random() < 0.5 else pair.some_net()
    if net is None or target is None or target == net or end is None:
        return False
    if any(uid == end[0] for uid, _ in pair.new.nets[target]) or not pair.take(net, target, parts=(end[0],)):
        return False
    pair.new.nets[net].remove(end)
    pair.new.nets[target].append(end)
    return pair.tell("rewired", _MOVED, {pair.old.terminal(end)})


def opened(pair: Pair) -> bool:
    """A pin is left open."""
    net = pair.some_net()
    end = None if net is None else pair.some_end(net, "UJ")
    if net is None or end is None or not pair.take(net, parts=(end[0],)):
        return False
    pair.new.nets[net].remove(end)
    return pair.tell("opened", _OPENED, {pair.old.terminal(end)})


def connected(pair: Pair) -> bool:
    """An open pin is connected."""
    free = [
        (uid, str(pin))
        for uid, item in pair.new.parts.items()
        if item.prefix in "UJ" and uid not in pair.parts_touched
        for pin in range(1, item.pins + 1)
        if pair.new.net_of((uid, str(pin))) is None
    ]
    net = pair.some_net(2)
    if not free or net is None:
        return False
    end = pair.rng.choice(free)
    if not pair.take(net, parts=(end[0],)):
        return False
    pair.new.nets[net].append(end)
    return pair.tell("connected", _CONNECTED, {pair.old.terminal(end)})


def exchanged(pair: Pair) -> bool:
    """Two pins of one part trade their nets."""
    parts = [uid for uid, item in pair.new.parts.items() if item.prefix in "UQJ" and uid not in pair.parts_touched]
    if not parts:
        return False
    uid = pair.rng.choice(parts)
    pins = [(uid, str(pin)) for pin in range(1, pair.new.parts[uid].pins + 1)]
    wired = [(end, net) for end in pins if (net := pair.new.net_of(end)) is not None and _others(pair, net, uid) > 1]
    if len(wired) < 2:
        return False
    (one, first), (two, second) = pair.rng.sample(wired, 2)
    if first == second or not pair.take(first, second, parts=(uid,)):
        return False
    for net, out, into in ((first, one, two), (second, two, one)):
        pair.new.nets[net][pair.new.nets[net].index(out)] = into
    touched = {pair.old.terminal(one), pair.old.terminal(two)}
    return pair.tell("exchanged", {"net.swapped", "pin.swapped", "contact.swapped"}, touched)


def _others(pair: Pair, net: int, uid: int) -> int:
    return len({other for other, _ in pair.new.nets[net]} - {uid})


def turned(pair: Pair) -> bool:
    """A part with two terminals is turned round; without polarity that is no change."""
    parts = [uid for uid, item in pair.new.parts.items() if item.pins == 2 and uid not in pair.parts_touched]
    if not parts:
        return False
    uid = pair.rng.choice(parts)
    nets = pair.new.net_of((uid, "1")), pair.new.net_of((uid, "2"))
    if nets[0] == nets[1] or None in nets or not pair.take(*nets, parts=(uid,)):
        return False
    if any(net is not None and _others(pair, net, uid) < 2 for net in nets):
        return False
    for net, out, into in ((nets[0], "1", "2"), (nets[1], "2", "1")):
        if net is not None:
            pair.new.nets[net][pair.new.nets[net].index((uid, out))] = (uid, into)
    item = pair.new.parts[uid]
    if item.prefix in _EITHER_WAY:
        return True
    return pair.tell("turned", {"net.turned"}, {f"{item.ref}.1", f"{item.ref}.2"})


def split(pair: Pair) -> bool:
    """A net becomes two, each with two parts or more."""
    net = pair.some_net(4)
    if net is None or not pair.take(net):
        return False
    ends = list(pair.new.nets[net])
    uids = list(dict.fromkeys(uid for uid, _ in ends))
    some = set(pair.rng.sample(uids, 2))
    if len(ends) <= 2 * sum(uid in some for uid, _ in ends):
        return False  # of equal halves nobody could say which one left
    piece = max(pair.new.nets) + 1
    pair.nets_touched.add(piece)
    pair.new.names[piece] = f"PIECE_{piece}" if pair.rng.random() < 0.6 else ""
    pair.new.nets[piece] = [end for end in ends if end[0] in some]
    pair.new.nets[net] = [end for end in ends if end[0] not in some]
    pair.parts_touched |= set(uids)
    return pair.tell("split", {"net.split"}, {pair.old.terminal(end) for end in pair.new.nets[piece]})


def merged(pair: Pair) -> bool:
    """Two nets become one."""
    one, two = pair.some_net(3), pair.some_net(2)
    if one is None or two is None or one == two:
        return False
    if len(pair.new.nets[one]) < len(pair.new.nets[two]) or not pair.take(one, two):
        return False
    ends = pair.new.nets.pop(two)
    if len({uid for uid, _ in ends} | {uid for uid, _ in pair.new.nets[one]}) < 4:
        pair.new.nets[two] = ends
        return False
    pair.new.nets[one] += ends
    pair.parts_touched |= {uid for uid, _ in pair.new.nets[one]}
    return pair.tell("merged", {"net.merged"}, {pair.old.terminal(end) for end in ends})


def renamed(pair: Pair) -> bool:
    """A named net gets another name."""
    net = pair.some_net(2)
    if net is None or not pair.new.names[net] or not pair.take(net):
        return False
    old = pair.new.names[net]
    pair.new.names[net] = f"REN_{net}_X"
    return pair.tell("renamed", {"net.renamed", "signal.renamed"}, {old.casefold()[:14], f"ren_{net}_x"})


def renumbered(pair: Pair) -> bool:
    """Parts get new numbers, and the nets without a name that are named after them follow."""
    parts = [uid for uid, item in pair.new.parts.items() if item.prefix in "RCU" and uid not in pair.parts_touched]
    if len(parts) < 6:
        return False
    uid = pair.rng.choice(parts)
    nets = [net for net, ends in pair.new.nets.items() if any(end[0] == uid for end in ends)]
    named = [net for net in nets if pair.new.names[net] not in _RAILS]
    if not named or not pair.take(*named, parts=(uid,)):
        return False
    item = pair.new.parts[uid]
    before = item.ref
    item.number = 1000 + len(pair.truth)
    return pair.tell("renumbered", {"part.renumbered"}, {before, item.ref})


def added(pair: Pair) -> bool:
    """A pull-up, with its line in the parts list."""
    net = pair.some_net(2)
    if net is None or not pair.take(net):
        return False
    uid = max(pair.new.parts) + 1
    item = pair.new.parts[uid] = Item("R", 2000 + uid, "3k9", 2)
    pair.parts_touched.add(uid)
    pair.new.nets[net].append((uid, "1"))
    pair.new.nets[2].append((uid, "2"))
    return pair.tell("added", {"part.added"}, {item.ref})


def removed(pair: Pair) -> bool:
    """A part goes, from the list and from the board."""
    parts = [uid for uid, item in pair.new.parts.items() if item.prefix in "RC" and uid not in pair.parts_touched]
    if not parts:
        return False
    uid = pair.rng.choice(parts)
    nets = [net for net, ends in pair.new.nets.items() if any(end[0] == uid for end in ends)]
    if any(len(pair.new.nets[net]) < 3 for net in nets) or not pair.take(*nets, parts=(uid,)):
        return False
    for net in nets:
        pair.new.nets[net] = [end for end in pair.new.nets[net] if end[0] != uid]
    item = pair.new.parts.pop(uid)
    return pair.tell("removed", {"part.removed"}, {item.ref})


def probed(pair: Pair) -> bool:
    """A test point that no parts list has."""
    net = pair.some_net(2)
    if net is None or not pair.take(net) or any(item.prefix == "TP" for item in pair.new.parts.values()):
        return False
    uid = max(pair.new.parts) + 1
    pair.new.parts[uid] = Item("TP", 1, "", 1, listed=False)
    pair.new.nets[net].append((uid, "1"))
    return pair.tell("probed", {"net.part_added"}, {"TP1.1"})


MUTATIONS: Mapping[str, Callable[[Pair], bool]] = {
    "rewired": rewired,
    "opened": opened,
    "connected": connected,
    "exchanged": exchanged,
    "turned": turned,
    "split": split,
    "merged": merged,
    "renamed": renamed,
    "renumbered": renumbered,
    "added": added,
    "removed": removed,
    "probed": probed,
}


def make_pair(seed: str, parts: int, mutation: str = "", count: int = 1) -> Pair:
    """A pair with one named thing done, or ``count`` drawn at random."""
    for attempt in range(40):
        pair = Pair(Random(f"{seed}/{attempt}"), parts)
        done = 0
        for _ in range(count * 20 + 1):
            if done == count:
                return pair
            held = copy.deepcopy((pair.new, pair.truth, pair.parts_touched, pair.nets_touched))
            if MUTATIONS[mutation or pair.rng.choice(list(MUTATIONS))](pair):
                done += 1
            else:
                pair.new, pair.truth, pair.parts_touched, pair.nets_touched = held
    raise ValueError(f"no board has a place for {mutation or count}")


# files


HABITS = ("whole", "aliases", "bare aliases", "cut", "elements")


def write(board: Layout, habit: str, rng: Random) -> dict[str, str | bytes]:
    """The design's files: a parts list and a netlist, written as one program or another does."""
    listed = [item for item in board.parts.values() if item.listed]
    rng.shuffle(listed)
    table = "Designator,Value\n" + "".join(f"{item.ref},{item.value}\n" for item in listed)
    name, data = _elements(board, rng) if habit == "elements" else _records(board, habit, rng)
    manifest = f'[design]\nname = "d"\n[boards.main]\nparts = "parts.csv"\nnetlist = "{name}"\n'
    return {"revdiff.toml": manifest, "parts.csv": table, name: data}


def _open_ends(board: Layout) -> list[End]:
    wired = {end for ends in board.nets.values() for end in ends}
    every = [(uid, str(pin)) for uid, item in board.parts.items() for pin in range(1, item.pins + 1)]
    return [end for end in every if end not in wired]


def _records(board: Layout, habit: str, rng: Random) -> tuple[str, bytes]:
    """IPC-D-356A. Names of more than 14 characters get an alias, are cut, or run on as some programs write them."""
    lines = ["P  JOB   BOARD", "P  UNITS CUST 0"]
    records: list[str] = []

    def record(net: str, end: End) -> None:
        ref, place = board.parts[end[0]].ref, len(records)
        records.append(f"327{net:<17}{ref:<6}-{end[1]:<4}       A01X+{place:06d}Y+000100X0600Y0600     S0")

    for net, ends in board.nets.items():
        name = written = board.name(net)
        if len(name) > (17 if habit == "whole" else 14):
            if habit == "cut" and board.names[net]:
                written = name[:14]
            else:
                written = f"NNAME{net}"
                lines.append(f"P  {written:<11}{name}")
                written = str(net) if habit == "bare aliases" else written
        for end in ends:
            record(written, end)
    for end in _open_ends(board):
        if rng.random() < 0.9:  # some programs leave a few of them out
            record("N/C", end)
    rng.shuffle(records)
    return "main.ipc", "\n".join([*lines, *records, "999", ""]).encode()


def _elements(board: Layout, rng: Random) -> tuple[str, bytes]:
    """IPC-2581; open pins are in no net, or each in one of its own."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', '<IPC-2581 revision="C" xmlns="http://webstds.ipc.org/2581">']
    lines.append('<Ecad><CadHeader units="MILLIMETER"/><CadData><Step name="main">')
    nets = [(board.name(net), ends) for net, ends in board.nets.items()]
    if rng.random() < 0.5:
        nets += [(f"unconnected-({board.terminal(end)})", [end]) for end in _open_ends(board)]
    rng.shuffle(nets)
    for name, ends in nets:
        lines.append(f"<LogicalNet name={quoteattr(name)}>")
        lines += [f'<PinRef componentRef="{board.parts[uid].ref}" pin="{pin}"/>' for uid, pin in ends]
        lines.append("</LogicalNet>")
    return "main.xml", "\n".join([*lines, "</Step></CadData></Ecad></IPC-2581>", ""]).encode()
