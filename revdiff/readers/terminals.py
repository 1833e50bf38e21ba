"""What the tables of pins, contacts, connectors and needs have in common: who a row speaks of."""

from __future__ import annotations

from collections.abc import Sized

from revdiff.design import Connector, Contact, Need, Origin, Pin
from revdiff.quantities.text import clean
from revdiff.readers import cells
from revdiff.readers.damage import REMEDY, damage_of
from revdiff.readers.faults import Faults
from revdiff.readers.rows import RowReader
from revdiff.readers.table import Table

_LONGEST_NUMBER = 16  # characters; pin names such as VDD_IO_1 stay below, remarks don't
_REMARK_CELLS = 2  # filled cells, up to which a row may be a remark


class Keys:
    """Who a row speaks of: an owner, which counts for the rows below until the next one, and a number."""

    def __init__(self, table: Table, rows: RowReader, faults: Faults, owner: str, number: str, otherwise: str) -> None:
        self._table = table
        self._rows = rows
        self._faults = faults
        self._owner_field, self._number_field = owner, number
        self._owner = otherwise

    def of(self, line: int, row: list[str]) -> tuple[str, str] | None:
        """Owner and number, upper case; None, and told, where the row is no record."""
        number = clean(self._rows.cell(row, self._number_field))
        owner = clean(self._rows.cell(row, self._owner_field)).upper()
        origin = self._table.origin(line, self._number_field)
        if cells.is_placeholder(number) or (
            (len(number) > _LONGEST_NUMBER or " " in number) and sum(map(bool, map(str.strip, row))) <= _REMARK_CELLS
        ):
            self._left_out(row, origin, f"names no {self._number_field}")
            return None
        damage = damage_of(self._number_field, number)
        if damage is not None or len(number) > _LONGEST_NUMBER:
            self._faults.fault(
                "unreadable-value",
                damage.message if damage is not None else f"the {self._number_field} can't be read",
                origin,
                found=number,
                expected=damage.expected if damage is not None else f"at most {_LONGEST_NUMBER} characters",
                remedy=REMEDY if damage is not None else "Correct the cell.",
            )
            return None
        self._owner = owner or self._owner
        if not self._owner:
            self._left_out(row, origin, f"names no {self._owner_field}")
            return None
        return self._owner, number.upper()

    def _left_out(self, row: list[str], origin: Origin, why: str) -> None:
        self._faults.notice(
            "row-left-out",
            f"this row {why} and was left out",
            origin,
            found=clean(" ".join(filter(None, map(str.strip, row)))),
        )


def tell_twice(
    faults: Faults, name: str, first: Pin | Contact | Connector | Need, second: Pin | Contact | Connector | Need
) -> None:
    if first == second:
        faults.notice(
            "repeated-row", f"{name} is named twice with equal data, first at {first.origin}", second.origin, found=name
        )
        return
    faults.fault(
        "named-twice",
        f"{name} is named twice; the first one, at {first.origin}, was taken",
        second.origin,
        found=name,
        expected="each one once",
        remedy="Remove one of the two rows.",
    )


def tell_nothing(faults: Faults, table: Table, found: Sized, what: str) -> None:
    if not found:
        faults.fault(
            "empty-table",
            f"the table names no {what}",
            Origin(table.file, table.header_line),
            expected=f"rows with {what}",
            remedy="Fill the file, or take it out of the manifest.",
        )
