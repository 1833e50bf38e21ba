"""Parts that a parts list names more than once."""

from __future__ import annotations

from dataclasses import replace

from revdiff.design import Part, PartData, Reading
from revdiff.design.model import readings_of
from revdiff.design.reading import compare_readings
from revdiff.quantities.designator import compress
from revdiff.quantities.text import fold
from revdiff.readers.faults import Faults, counted
from revdiff.readers.table import Table


class Repeats:
    """Gathers the parts named again: a fault where the rows differ, one notice for the table where they don't."""

    def __init__(self, table: Table, faults: Faults) -> None:
        self._table = table
        self._faults = faults
        self._again: dict[str, int] = {}
        self._differing: dict[tuple[int, str, str], list[Part]] = {}
        self._cells: dict[int, str] = {}
        self._unfitted: dict[str, int] = {}
        self._completed: dict[tuple[int, int], tuple[PartData, PartData, PartData]] = {}
        self._more: set[str] = set()

    def add(self, first: Part, said: PartData, line: int, cell: str) -> PartData:
        """One part that the row at ``line`` names again. Gives its data, with what only that row says."""
        differ = contradictions(first.data, said)
        if not differ and first.origin.line != line:
            self._again.setdefault(first.ref, line)
            return self._complete(first, said)
        theirs = {name: reading.raw for name, reading in (*readings_of(said).items(), *said.extra)}
        names = ", ".join(differ).replace("_", " ")
        self._differing.setdefault((line, names, ", ".join(theirs[name] for name in differ)), []).append(first)
        self._cells[line] = cell
        return doubted(first.data, said, differ)

    def _complete(self, first: Part, said: PartData) -> PartData:
        key = id(first.data), id(said)
        if key not in self._completed:
            self._completed[key] = (completed(first.data, said), first.data, said)
        full = self._completed[key][0]
        if full != first.data:
            self._more.add(first.ref)
        return full

    def unfitted(self, ref: str, line: int) -> None:
        """One part that the row at ``line`` names again to say that it isn't fitted."""
        self._unfitted.setdefault(ref, line)

    def tell(self) -> None:
        """Tells all of them."""
        if self._unfitted:
            self._faults.notice(
                "unfitted-list",
                f"{counted(len(self._unfitted), 'designator')} named again as not fitted, and taken as not fitted",
                self._table.origin(min(self._unfitted.values()), "designator"),
                found=compress(self._unfitted),
                remedy='To be sure, give the table a column "Fitted".',
            )
        for (line, differ, dropped), parts in self._differing.items():
            names, is_ = compress([part.ref for part in parts]), "are" if len(parts) > 1 else "is"
            if differ:
                message = (
                    f"{names} {is_} named twice, with another {differ}; the first one is at {parts[0].origin}, "
                    "and nobody can tell which holds"
                )
            else:
                message = f"{names} {is_} named twice in this row"
            self._faults.fault(
                "duplicate-designator",
                message,
                self._table.origin(line, "designator"),
                found=f"{self._cells[line]}: {dropped}" if differ else self._cells[line],
                expected="each designator once",
                remedy="Remove it from one of the two rows." if differ else "Remove one of them.",
            )
        if self._again:
            self._faults.notice(
                "repeated-designator",
                f"{counted(len(self._again), 'designator')} named again in other rows, which say nothing different"
                + (f"; for {len(self._more)} of them they say more, which was taken" if self._more else ""),
                self._table.origin(min(self._again.values()), "designator"),
                found=compress(self._again),
                expected="each designator once",
            )


def unfits(first: PartData, again: PartData) -> bool:
    """Whether a second row of a part says that it isn't fitted, where the first says neither and nothing differs."""
    open_ = first.fitted.meaning is not False and not first.fitted.raw
    return open_ and again.fitted.meaning is False and not contradictions(first, again)


def completed(one: PartData, other: PartData) -> PartData:
    """The first row's data, its empty cells filled from the second one."""
    theirs = readings_of(other)
    more = {name: theirs[name] for name, reading in readings_of(one).items() if not reading.raw and theirs[name].raw}
    extra = dict((*other.extra, *one.extra))
    if not more and len(extra) == len(one.extra):
        return one
    return replace(one, **more, extra=tuple(sorted(extra.items(), key=lambda item: fold(item[0]))))


def doubted(one: PartData, other: PartData, differ: list[str]) -> PartData:
    """The first row's data, unclear in what the second one contradicts: it could mean either."""

    def either(first: Reading, second: Reading) -> Reading:
        text = f"{first.raw} or {second.raw}"
        return Reading(text, fold(text), unclear=True)

    mine, theirs, more = readings_of(one), readings_of(other), dict(other.extra)
    found = {name: either(mine[name], theirs[name]) for name in differ if name in mine}
    extra = tuple((name, either(cell, more[name]) if name in differ else cell) for name, cell in one.extra)
    return replace(one, **found, extra=extra)


def contradictions(one: PartData, other: PartData) -> list[str]:
    """The fields on which two rows of one part say different things; an empty cell says nothing."""
    mine, theirs = readings_of(one), readings_of(other)
    found = [
        name
        for name, reading in mine.items()
        if reading and theirs[name] and reading.raw and theirs[name].raw
        if compare_readings(reading, theirs[name]) == "different"
    ]
    extra = dict(other.extra)
    return found + [name for name, reading in one.extra if name in extra and extra[name] != reading]
