"""A board with long rows, as the mutations of it see it: classes in the order of their numbers, rows, free numbers."""

from __future__ import annotations

from functools import cached_property

from tests.campaign.boards import NO_NETS
from tests.campaign.mutate_parts import number_of, prefix_of
from tests.campaign.sheets import BoardSheets, Row
from tests.campaign.trial import Trial

IDENTITY = (
    "value",
    "package",
    "manufacturer",
    "part_number",
    "tolerance",
    "voltage",
    "power",
    "current",
    "dielectric",
    "fitted",
)
COMMON = 4  # from so many equal parts on, one of them is no evidence


def identity(item: Row) -> tuple[str, ...]:
    """What tells one kind of part from another; what is kept about it (cost, shelf, remark) left out."""
    return tuple(item.get(name, "") for name in IDENTITY)


class Rows:
    """What one mutation needs to know. Made anew for each, as the board changes under it."""

    def __init__(self, trial: Trial) -> None:
        self.trial = trial
        self.rng = trial.rng
        (self.board,) = trial.new.boards.values()
        self.columns = [name for name in self.board.parts[0] if name not in ("uid", "designator")]

    @property
    def before(self) -> BoardSheets:
        (board,) = self.trial.old.boards.values()
        return board

    @cached_property
    def classes(self) -> dict[str, list[Row]]:
        """The parts of each class letter, in the order of their numbers."""
        found: dict[str, list[Row]] = {}
        for item in self.board.parts:
            found.setdefault(prefix_of(item), []).append(item)
        return {prefix: sorted(items, key=number_of) for prefix, items in found.items()}

    @cached_property
    def used(self) -> dict[str, set[int]]:
        """The numbers that either revision uses, by class letter."""
        found: dict[str, set[int]] = {}
        for item in (*self.before.parts, *self.board.parts):
            found.setdefault(prefix_of(item), set()).add(number_of(item))
        return found

    @cached_property
    def alike(self) -> dict[tuple[str, tuple[str, ...]], list[Row]]:
        """The parts of one class letter and kind."""
        found: dict[tuple[str, tuple[str, ...]], list[Row]] = {}
        for prefix, items in self.classes.items():
            for item in items:
                found.setdefault((prefix, identity(item)), []).append(item)
        return found

    def same(self, item: Row) -> list[Row]:
        return self.alike[prefix_of(item), identity(item)]

    # which parts nothing happened to yet

    def has(self, what: str, item: Row) -> bool:
        return not self.trial.free((what, item["uid"]))

    def mark(self, what: str, items: list[Row]) -> None:
        self.trial.take(*((what, item["uid"]) for item in items))

    def quiet(self, item: Row) -> bool:
        """Untouched by anything that decides who it is."""
        return not any(self.has(what, item) for what in ("moved", "edited", "fitted", "fresh"))

    def editable(self, items: list[Row], *, much: bool = False) -> bool:
        """No more than a fifth of any block that moved changes on the way, and no part twice.

        Of parts in another order, none changes so ``much`` that its place was all there was to know it by.
        """
        shuffled = any(self.has("shuffled", item) for item in items)
        if much and shuffled:
            return False
        if any(self.has(what, item) for item in items for what in ("edited", "fitted", "fresh", "alone")):
            return False
        uids = {item["uid"] for item in items}
        spoilt = {uid for what, uid in self._marks() if what in ("edited", "fitted")}
        least = 20 if shuffled else 5
        return all(least * len(block & (uids | spoilt)) <= len(block) for block in self.trial.blocks if block & uids)

    def movable(self, items: list[Row]) -> bool:
        """None moved before or is told by its place alone, and no more than a tenth changed."""
        if any(self.has(what, item) for item in items for what in ("moved", "fresh", "alone")):
            return False
        spoilt = sum(self.has("edited", item) or self.has("fitted", item) for item in items)
        return 10 * spoilt <= len(items)

    def _marks(self) -> list[tuple[str, str]]:
        return [(key[0], key[1]) for key in self.trial.touched if len(key) == 2]

    # numbers

    def open_span(self, prefix: str, low: int, high: int) -> bool:
        return all(high < one or two < low for one, two in self.trial.spans.get(prefix, ()))

    def take_span(self, prefix: str, low: int, high: int) -> None:
        self.trial.spans.setdefault(prefix, []).append((low, high))

    def last(self, prefix: str) -> int:
        spans = [high for _, high in self.trial.spans.get(prefix, ())]
        return max([*self.used.get(prefix, {0}), *spans])

    def fresh(self, prefix: str, count: int) -> list[int]:
        """Numbers of neighbours that neither revision uses: in a gap, or after the last one."""
        used = self.used.get(prefix, set())
        last = self.last(prefix)
        for _ in range(5):
            start = self.rng.randrange(1, last + 1)
            wanted = range(start, start + count)
            clear = self.rng.random() < 0.5 and start + count <= last and used.isdisjoint(wanted)
            if clear and self.open_span(prefix, wanted[0], wanted[-1]):
                return list(wanted)
        start = last + self.rng.choice((1, 1, 1, 2, 10))
        return list(range(start, start + count))

    def any_class(self, least: int) -> str | None:
        """A class letter with so many parts at least; larger ones more often."""
        good = {prefix: len(items) for prefix, items in self.classes.items() if len(items) >= least}
        if not good:
            return None
        return self.rng.choices(list(good), weights=list(good.values()))[0]

    def telling(self, items: list[Row]) -> bool:
        """Enough to know a block by: several kinds, or a long run."""
        return len(items) >= 5 and (len({identity(item) for item in items}) >= 3 or len(items) >= 10)

    def renumber(self, items: list[Row], numbers: list[int], *, together: bool = True) -> None:
        """Gives the parts their numbers and tells it as one event."""
        moved = [(item, number) for item, number in zip(items, numbers, strict=True) if number_of(item) != number]
        for item, number in moved:
            item["designator"] = f"{prefix_of(item)}{number}"
        parts = [item for item, _ in moved]
        self.mark("moved", parts)
        if together:
            self.trial.blocks.append(frozenset(item["uid"] for item in parts))
        self.trial.tell("part.renumbered", self.board.name, "parts", [(item["uid"],) * 2 for item in parts])

    def remove(self, items: list[Row]) -> None:
        gone = {item["uid"] for item in items}
        self.board.parts = [item for item in self.board.parts if item["uid"] not in gone]
        self.trial.tell("part.removed", self.board.name, "parts", [(item["uid"], "") for item in items])

    def add(self, items: list[Row]) -> None:
        self.board.parts += items
        self.mark("fresh", items)
        if self.board.wires:
            # Connectors stay out of the netlist, as in the first revision: their contacts would be told as well.
            for item in (item for item in items if prefix_of(item) not in NO_NETS):
                self.board.wires[item["uid"]] = (f"NEW{item['designator']}", "GND")
        self.trial.tell("part.added", self.board.name, "parts", [("", item["uid"]) for item in items])
