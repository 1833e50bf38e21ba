"""Seeded boards like real ones: few kinds of parts in rows of tens to hundreds, 100 to 20,000 parts.

Shares of the class letters, sizes of the rows and habits of numbering are common practice, no source. All data are
invented. The pins of controllers and connectors stay out of the netlist: a pin map that is read from it would be
told a second time.
"""

from __future__ import annotations

from itertools import accumulate
from random import Random

from tests.campaign import stock
from tests.campaign.sheets import BoardSheets, Row, Sheets, row

# Class letter: share of all parts, and the kinds that n parts are of: factor * n ** power.
_CLASSES = {
    "R": (0.37, 1.5, 0.48),
    "C": (0.395, 1.3, 0.46),
    "L": (0.02, 1.0, 0.5),
    "FB": (0.02, 1.0, 0.3),
    "RN": (0.01, 1.0, 0.4),
    "D": (0.05, 1.2, 0.45),
    "Q": (0.035, 1.2, 0.45),
    "U": (0.035, 1.0, 0.75),
    "J": (0.015, 1.0, 0.6),
    "TP": (0.04, 1.0, 0.05),
    "F": (0.004, 1.0, 0.4),
    "Y": (0.003, 1.0, 0.4),
    "SW": (0.003, 1.0, 0.4),
}
_COLUMNS = (
    ("manufacturer", 0.85),
    ("part_number", 0.85),
    ("tolerance", 0.6),
    ("voltage", 0.5),
    ("power", 0.3),
    ("dielectric", 0.4),
    ("fitted", 1.0),
    ("alternates", 0.15),
    ("lifecycle", 0.5),
    ("cost", 0.6),
    ("description", 0.5),
    ("Remark", 0.3),
    ("Stock code", 0.3),
    ("Shelf", 0.2),
)
_RAILS = ("+3V3", "+5V", "+1V8", "+12V", "VBAT")
_TERMINALS = {"Q": 3, "U": 8, "RN": 8, "TP": 1}
NO_NETS = ("J",)
WITHOUT_DATA = {"value": "", "fitted": "no"}


def make_board(seed: int | str, size: int) -> Sheets:
    """A design of one board with about ``size`` parts. The same seed gives the same one."""
    return _Maker(Random(f"{seed}/{size}"), size).design()


class _Maker:
    def __init__(self, rng: Random, size: int) -> None:
        self._rng = rng
        self._size = size
        self.columns = [name for name, share in _COLUMNS if rng.random() < share]
        self._main_sizes = rng.sample(stock.SIZES, 2)
        self._numbering = rng.choice(("closed", "gaps", "sheets"))
        self._options = rng.random() < 0.7
        self._layout = rng.choice((0.1, 0.3, 0.5))

    def design(self) -> Sheets:
        board = BoardSheets("main", "Main board", "A", extra={"outline": "160 x 100 mm"})
        for prefix, (share, factor, power) in _CLASSES.items():
            count = round(self._size * share)
            if not count and self._rng.random() < 0.3:
                count = 1
            if count:
                kinds = self._kinds(prefix, max(1, round(factor * count**power)))
                self._place(board, prefix, self._sequence(kinds, count))
        if self._rng.random() < (0.4 if self._size <= 5_000 else 0.25):
            self._wire(board)
        return Sheets("board", "A board", {"main": board}, [], {}, {"licence": "share alike"})

    # what parts there are

    def _kinds(self, prefix: str, wanted: int) -> list[Row]:
        found: dict[tuple[str, ...], Row] = {}
        for _ in range(wanted * 20):
            if len(found) >= wanted:
                break
            kind = self._kind(prefix)
            found.setdefault(tuple(kind.values()), kind)
        return list(found.values())

    def _kind(self, prefix: str) -> Row:
        rng = self._rng
        data = stock.piece(prefix, rng)
        if prefix in ("R", "C") and rng.random() < 0.8:
            size = rng.choice(self._main_sizes)
            data |= {"package": size, **({"power": stock.POWERS[size]} if prefix == "R" else {})}
        values = {
            **data,
            "manufacturer": rng.choice(stock.MAKERS),
            "part_number": stock.part_number(prefix, data, rng),
            "fitted": "",
            "alternates": rng.choice(("", "", "", f"ALT{rng.randrange(100, 999)}")),
            "lifecycle": rng.choice(("active", "active", "active", "not recommended")),
            "cost": f"{rng.choice((0.004, 0.01, 0.02, 0.05, 0.12, 0.35, 1.2)):g}",
            "description": f"{data['value']} {rng.choice(('filter', 'supply', 'general', 'sense', 'bus'))}",
            "Remark": rng.choice(stock.NOTES),
            "Stock code": f"{rng.randrange(10**5, 10**6)}",
            "Shelf": rng.choice("ABCDEFG") + str(rng.randrange(1, 40)),
        }
        if prefix == "TP":
            values |= {"manufacturer": "", "part_number": "", "cost": "", "alternates": ""}
        return {name: values.get(name, "") for name in ("value", "package", *self.columns)}

    # where they stand

    def _sequence(self, kinds: list[Row], count: int) -> list[Row]:
        """Runs of equal parts, circuits that are there several times, and parts as they come."""
        rng = self._rng
        weights = list(accumulate(rng.uniform(0.5, 1.5) / (index + 1) for index in range(len(kinds))))
        drawn = [*kinds[:count]]
        placed: list[Row] = []

        def draw(number: int) -> list[Row]:
            return rng.choices(kinds, cum_weights=weights, k=number)

        while len(placed) + len(drawn) < count:
            what = rng.random()
            if what < self._layout:
                placed += draw(1) * rng.randrange(2, 30)
            elif what < 2 * self._layout:
                placed += draw(rng.randrange(3, 13)) * rng.randrange(2, 17)
            else:
                placed += draw(rng.randrange(1, 20))
        placed = placed[: count - len(drawn)]
        for kind in drawn:
            placed.insert(rng.randrange(len(placed) + 1), kind)
        return placed

    def _place(self, board: BoardSheets, prefix: str, placed: list[Row]) -> None:
        rng = self._rng
        number = left = 0
        step = 100 if len(placed) < 3_000 else 1_000
        for kind in placed:
            number += 1
            if self._numbering == "gaps" and rng.random() < 0.02:
                number += rng.randrange(1, 8)
            if self._numbering == "sheets" and step < 2 * len(placed):
                if left <= 0:
                    number = (number // step + 1) * step + 1
                    left = rng.randrange(step // 5, step * 9 // 10)
                left -= 1
            board.parts.append(row(designator=f"{prefix}{number}", **self._fitted(prefix, kind)))

    def _fitted(self, prefix: str, kind: Row) -> Row:
        """Some parts are not fitted: the row says so, or says nothing else."""
        rng = self._rng
        if prefix in ("TP", "U", "J") or rng.random() > 0.04:
            return kind
        if rng.random() < 0.4:
            return {name: WITHOUT_DATA.get(name, "") for name in kind} | {"fitted": "no"}
        return {**kind, "fitted": "no"} if self._options else kind

    # nets

    def _wire(self, board: BoardSheets) -> None:
        rng = self._rng
        for index, item in enumerate(board.parts):
            prefix = item["designator"].rstrip("0123456789")
            if prefix in NO_NETS:
                continue
            nets = [self._net(item, pin, index) for pin in range(1, _TERMINALS.get(prefix, 2) + 1)]
            if prefix == "C" and rng.random() < 0.6:
                nets = [rng.choice(_RAILS), "GND"]
            board.wires[item["uid"]] = tuple(nets)

    def _net(self, item: Row, pin: int, index: int) -> str:
        """A rail, a signal that parts near by are on, or a net without a name of its own (``@`` part, terminal)."""
        what = self._rng.random()
        if what < 0.25:
            return self._rng.choice((*_RAILS, "GND", "GND", "GND"))
        if what < 0.75:
            return f"SIG{(index + self._rng.randrange(-3, 4)) // 3}"
        return f"@{item['uid']}.{pin}"
