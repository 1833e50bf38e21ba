"""Columns known by sight: under a header that is shifted, says something else or nothing, and without a header."""

from __future__ import annotations

from collections.abc import Sequence

from revdiff.design import Origin
from revdiff.quantities.text import clean, fold
from revdiff.readers.columns import CONTACTS, PARTS, PINS, TableKind
from revdiff.readers.content import (
    as_stated,
    described,
    first_of_parts,
    first_of_ports,
    guess_parts,
    guess_terminals,
    header_above,
    multiples,
    stated,
)
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid, Rows
from revdiff.readers.guesses import (
    counts_rows,
    designator_share,
    distinct,
    holds_port_names,
    pin_share,
    port_share,
)
from revdiff.readers.header import Columns

_FEW, _MOST = 0.3, 0.8  # shares of designators below which a column is hardly theirs, and above which it is
_HEADERLESS_WIDTH = 2
_GUESSED = ("quantity", "package", "value", "fitted", "part_number", "manufacturer", "description")
# Headers that say what a column is, though it is no field: cells that come to look like codes make it nothing else.
_OTHERS = frozenset(
    map(fold, ("remark", "remarks", "note", "notes", "comment", "shelf", "bin", "location", "stock code"))
)
_CLASSES = 2  # class letters of a list without a header, beside columns that only a parts list has


def header_by_content(grid: Grid, kind: TableKind) -> int | None:
    """The position of a header none of whose words is known, above rows that can only be of this kind."""
    first = first_of_parts(grid.rows) if kind is PARTS else first_of_ports(grid.rows) if kind is PINS else None
    return None if first is None else header_above(grid.rows, first[0])


def settle_by_content(
    found: Columns, header: Sequence[str], rows: Rows, kind: TableKind, faults: Faults, origin: Origin
) -> None:
    """Fills the fields that no word of the header names, from columns whose cells say what they are."""
    unknown = {at: text for text, at in found.extra.items() if fold(text) not in _OTHERS}
    if kind is PARTS and "designator" in found.columns:
        lacking = [name for name in _GUESSED if name not in found.columns]
        lacking = lacking if "not_fitted" not in found.columns else [name for name in lacking if name != "fitted"]
        guessed = guess_parts(rows, found.columns, unknown, lacking)
        _leave_out(found, rows, faults, origin, {**found.columns, **guessed})
    elif kind in (PINS, CONTACTS):
        places = ("pin", "port") if kind is PINS else ("contact",)
        lacking = [] if any(name in found.columns for name in places) else list(places)
        signal = any(name in found.columns for name in ("signal", *kind.stand_ins["signal"]))
        lacking += [] if signal else ["signal"]
        guessed = guess_terminals(rows, kind, unknown, lacking) if lacking else {}
    else:
        return
    if not guessed:
        return
    found.extra = {text: at for text, at in found.extra.items() if at not in guessed.values()}
    found.columns.update(guessed)
    found.guessed.update(as_stated(header, guessed))
    faults.notice(
        "guessed-column",
        f"taken by what the cells hold, since no word of the header says it: {described(header, guessed)}",
        Origin(origin.file, origin.line, min(guessed.values()) + 1),
        remedy=f"Settle it in the manifest: {stated(as_stated(header, guessed))}.",
    )


def _leave_out(found: Columns, rows: Rows, faults: Faults, origin: Origin, columns: dict[str, int]) -> None:
    """Columns that only number the rows, or multiply the quantities, would change with every row."""
    several = multiples(rows, columns["quantity"], found.extra.values()) if "quantity" in columns else []
    for text, at in list(found.extra.items()):
        numbers = counts_rows(rows, at)
        if numbers or at in several:
            del found.extra[text]
            does = "numbers the rows" if numbers else "multiplies the quantities"
            faults.notice(
                "running-number" if numbers else "multiplied-quantity",
                f"the column {text!r} only {does}; it was left out",
                Origin(origin.file, origin.line, at + 1),
            )


def look_for_ports(found: Columns, rows: Rows) -> None:
    """Port names under the header "Pin" are known by sight; so are those under "Name", beside what they are for."""
    columns = found.columns
    if holds_port_names(rows, columns.get("pin", -1)):
        columns["port"] = columns.pop("pin")
    elif ("function" in columns or "purpose" in columns) and holds_port_names(rows, columns.get("signal", -1)):
        columns["port"] = columns.pop("signal")


def look_for_designators(found: Columns, header: list[str], rows: Rows, faults: Faults, origin: Origin) -> None:
    """Mends a header that stands one column off its data, or that calls the designators something else."""
    own = found.columns.get("designator")
    if own is not None and designator_share(rows, own) >= _FEW:
        return
    if own is not None:
        for step in (1, -1):
            if _shifted(header, rows, own, step):
                for names in (found.columns, found.extra):
                    names.update({name: position + step for name, position in names.items()})
                faults.notice(
                    "shifted-header",
                    f"the header stands one column to the {'left' if step > 0 else 'right'} of its data; it was moved",
                    Origin(origin.file, origin.line, own + 1),
                    found=clean(header[own]),
                    remedy="Correct the header, or give the positions in the manifest: "
                    f"columns = {{ designator = {own + step + 1}, ... }}.",
                )
                return
    width = max((len(row) for _, row in rows), default=0)
    good = [at for at in range(width) if designator_share(rows, at) >= _MOST and distinct(rows, at)]
    if len(good) != 1:
        return
    text = clean(header[good[0]]) if good[0] < len(header) else ""
    for names in (found.columns, found.extra):
        for name in [name for name, position in names.items() if position == good[0]]:
            del names[name]
    if own is not None:
        found.extra[clean(header[own])] = own
    found.columns["designator"] = good[0]
    found.guessed.update(as_stated(header, {"designator": good[0]}))
    faults.notice(
        "guessed-column",
        f"column {good[0] + 1} ({text!r}) holds reference designators and was taken for them",
        Origin(origin.file, origin.line, good[0] + 1),
        found=text,
        remedy=f"If that is wrong, say so in the manifest: columns = {{ designator = {good[0] + 1} }}.",
    )


def _shifted(header: list[str], rows: Rows, own: int, step: int) -> bool:
    """Whether the data stand one column to the right (1) or left (-1) of the header: the column there is empty."""
    if designator_share(rows, own + step) < _MOST:
        return False
    if step < 0:
        return not header[0].strip()
    return all(not row[0].strip() for _, row in rows if row)


def guess_headerless(grid: Grid, kind: TableKind, faults: Faults) -> tuple[dict[str, int], Rows] | None:
    """The columns of a table without a header, by their cells; None where those don't tell them apart."""
    rows = tuple([item for item in grid.rows if not item[1][0].lstrip().startswith(("#", "//"))])
    columns = _parts_columns(rows) if kind is PARTS else _terminal_columns(rows, kind)
    if not columns:
        return None
    line, row = rows[0]
    faults.notice(
        "no-header",
        f"the {kind.name} has no header; taken by what the cells hold: {described((), columns)}",
        Origin(grid.file, line),
        found=", ".join(row),
        remedy=f"Say so in the manifest: header = false, {stated(as_stated((), columns))}.",
    )
    return columns, rows


def _parts_columns(rows: Rows) -> dict[str, int]:
    """Designators of several classes, beside a column that only a parts list has."""
    first = first_of_parts(rows)
    if first is None or header_above(rows, first[0]) is not None:
        return {}
    own = first[1]
    width = max(len(row) for _, row in rows)
    guessed = guess_parts(rows, {"designator": own}, {at: "" for at in range(width) if at != own}, _GUESSED)
    letters = {row[own].strip().rstrip("0123456789")[:2] for _, row in rows if own < len(row)}
    certain = {"value", "package", "quantity"} & guessed.keys()
    return {"designator": own, **guessed} if certain and len(letters) >= _CLASSES else {}


def _terminal_columns(rows: Rows, kind: TableKind) -> dict[str, int]:
    """Two columns, as firmware keeps them: name and pin, or contact and signal."""
    if kind not in (PINS, CONTACTS) or not rows or any(len(row) != _HEADERLESS_WIDTH for _, row in rows):
        return {}
    shares = [max(port_share(rows, at), pin_share(rows, at)) for at in range(_HEADERLESS_WIDTH)]
    if shares[0] == shares[1] or max(shares) < _MOST:
        return {}
    at = shares.index(max(shares))
    key = "contact" if kind is CONTACTS else "pin" if pin_share(rows, at) > port_share(rows, at) else "port"
    return {key: at, "signal": 1 - at}
