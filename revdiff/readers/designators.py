"""The designators of a row of a parts list, and what its quantity says about them."""

from __future__ import annotations

from revdiff.quantities.designator import DesignatorFault, expand, parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import read_quantity
from revdiff.quantities.text import clean
from revdiff.readers.cells import is_placeholder
from revdiff.readers.faults import Faults, counted
from revdiff.readers.grid import Rows
from revdiff.readers.table import Table

_OWN_VALUE = pattern(r"([A-Za-z]{1,4}[0-9]{1,5}[A-Za-z]?)\s*[=:]\s*([^,;\n=:]{1,60})")
_UNNUMBERED = pattern(r"[A-Za-z]{0,8}[?*#]{1,4}")
_APART = pattern(r"[\s,;]+")


def is_unnumbered(text: str) -> bool:
    """Whether a cell holds only designators that were never numbered: `R?`, `REF**`."""
    return all(map(_UNNUMBERED.fullmatch, filter(None, _APART.split(text))))


class Designators:
    """Expands the designators of the rows of one table."""

    def __init__(self, table: Table, faults: Faults) -> None:
        self._table = table
        self._faults = faults
        self._at = table.columns["designator"]
        self._quantity_at = table.columns.get("quantity", -1)
        self._value_at = table.columns.get("value", -1)

    def cell(self, row: list[str]) -> str:
        """The raw cell of a row."""
        return row[self._at] if self._at < len(row) else ""

    def quantity(self, row: list[str]) -> int | None:
        """The quantity as a whole number, None where the row has none or it can't be read."""
        at = self._quantity_at
        raw = row[at] if 0 <= at < len(row) else ""
        if raw.isascii() and raw.isdecimal() and len(raw) < 7:
            return int(raw)
        quantity = read_quantity(raw, "") if raw else None
        if quantity is None or quantity.unit or quantity.magnitude % 1 or not 0 <= quantity.magnitude <= 10**6:
            return None
        return int(quantity.magnitude)

    def own_values(self, row: list[str], refs: tuple[str, ...]) -> dict[str, str]:
        """The value of each part where the value cell lists them by designator: `R1=10k, R2=22k`."""
        text = row[self._value_at] if 0 <= self._value_at < len(row) else ""
        if "=" not in text and ":" not in text:
            return {}
        listed = {ref.upper(): value.strip() for ref, value in _OWN_VALUE.findall(text)}
        return listed if set(refs) <= set(listed) else {}

    def continued(self, rows: Rows, index: int, refs: tuple[str, ...]) -> tuple[tuple[str, ...], int]:
        """A long list of designators that runs on in rows of its own, as the quantity proves; rows it takes."""
        together, taken = list(refs), 1
        wanted = self.quantity(rows[index][1])
        if wanted is None or wanted <= len(refs):
            return refs, 1
        while index + taken < len(rows) and len(together) <= wanted:
            row = rows[index + taken][1]
            cell = self.cell(row)
            if not cell or sum(1 for other in row if other and not other.isspace()) != 1:
                break
            try:
                together += expand(cell)
            except DesignatorFault:
                break
            taken += 1
        if taken == 1 or len(together) != wanted:
            return refs, 1
        line, row = rows[index + 1]
        self._faults.notice(
            "continued-row",
            "the designators run on below their row, as its quantity says",
            self._table.origin(line, "designator"),
            found=clean(self.cell(row)),
        )
        return tuple(together), taken

    def checked(self, line: int, row: list[str], refs: tuple[str, ...]) -> tuple[tuple[str, ...], bool]:
        """The designators, compared with the quantity, which they are the truth of; whether the quantity is 0."""
        at = self._quantity_at
        raw = row[at] if 0 <= at < len(row) else ""
        if not raw or raw == str(len(refs)) or is_placeholder(clean(raw)):
            return refs, False
        quantity = self.quantity(row)
        if quantity is not None and quantity in (len(refs), len(set(refs)), 0):
            return refs, quantity == 0
        origin = self._table.origin(line, "quantity")
        if quantity is None:
            self._faults.fault(
                "unreadable-value",
                "the quantity can't be read",
                origin,
                found=clean(raw),
                expected="a whole number",
                remedy="Correct the cell, or leave it empty.",
            )
            return refs, False
        whole = _whole_parts(refs)
        if len(whole) == quantity:
            self._faults.notice(
                "units-of-one-part",
                "the units of one part were taken as that part, as the quantity says",
                self._table.origin(line, "designator"),
                found=clean(self.cell(row)),
                expected=", ".join(whole),
            )
            return whole, False
        self._faults.fault(
            "quantity-mismatch",
            f"the quantity is {clean(raw)}, but the row names {counted(len(refs), 'designator')}, which were taken",
            origin,
            found=clean(self.cell(row)),
            expected=f"{counted(quantity, 'designator')}, or the quantity {len(refs)}",
            remedy="Correct whichever is wrong.",
        )
        return refs, False


def _whole_parts(refs: tuple[str, ...]) -> tuple[str, ...]:
    """The parts whose units are named: U1 for U1A and U1B."""
    found: dict[str, None] = {}
    for ref in refs:
        parsed = parse_designator(ref)
        unit = parsed is not None and len(parsed.suffix) == 1 and parsed.suffix.isalpha()
        found[ref[:-1] if unit else ref] = None
    return tuple(found)
