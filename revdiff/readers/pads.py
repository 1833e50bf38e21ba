"""Several pads of one number, as shields, mounting tabs and thermal pads have them: one pin or contact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import TypeVar

from revdiff.design import EMPTY, Contact, Pin, Reading
from revdiff.design.model import Extra
from revdiff.quantities.text import fold
from revdiff.readers.faults import Faults
from revdiff.readers.terminals import tell_twice

Row = TypeVar("Row", Pin, Contact)

# What may differ from pad to pad of one contact; both texts are kept. Anything else has to agree.
_REMARKS = ("note", "purpose")
_PADS = "Pads"  # the extra column for their count


def settle(rows: Sequence[Row], faults: Faults) -> list[Row]:
    """The pins or contacts that rows of one number make, whatever the order of the rows.

    Rows with one signal are pads of one contact, which counts them; equal rows with a plain number are one row written
    twice, and told. Pads with a name (``SH``) may be on several nets: each net is a contact of its own then. A plain
    number on several nets, and pads that contradict each other, are faults; the first row is taken.
    """
    first = rows[0]
    named = first.number.isalpha()
    if not named and all(row == first for row in rows):
        for row in rows[1:]:
            tell_twice(faults, first.name, first, row)
        return [first]
    by_signal: dict[str, list[Row]] = {}
    for row in rows:
        by_signal.setdefault(row.signal.word, []).append(row)
    if len(by_signal) > 1 and not named:
        for row in rows[1:]:
            tell_twice(faults, first.name, first, row)
        return [first]
    found: list[Row] = []
    for signal in sorted(by_signal):
        contact = _joined(by_signal[signal], faults)
        found.append(replace(contact, number=f"{contact.number} ({len(found) + 1})") if found else contact)
    if len(found) > 1:
        faults.notice(
            "pads-on-two-nets",
            f"the pads {first.name} are on {len(found)} nets; they are compared as {', '.join(r.name for r in found)}",
            first.origin,
            found=", ".join(row.signal.raw or "no net" for row in found),
        )
    return found


def _joined(rows: Sequence[Row], faults: Faults) -> Row:
    """Pads of one signal as one contact; the first row, with a fault, where they contradict each other."""
    first = rows[0]
    values: dict[str, Reading] = {}
    for item in fields(first):
        cells = [cell for row in rows if isinstance(cell := getattr(row, item.name), Reading) and cell]
        if item.name in _REMARKS:
            values[item.name] = _all_of(cells)
        elif cells:
            other = next((row for row in rows if (cell := getattr(row, item.name)) and cell != cells[0]), None)
            if other is not None:
                tell_twice(faults, first.name, first, other)
                return first
            values[item.name] = cells[0]
    return replace(first, **values, extra=_extra(rows)) if len(rows) > 1 else first  # type: ignore[arg-type]


def _extra(rows: Sequence[Row]) -> Extra:
    names = dict.fromkeys(name for row in rows for name, _ in row.extra)
    found = {name: _all_of([item for row in rows for own, item in row.extra if own == name]) for name in names}
    found.setdefault(_PADS, Reading(str(len(rows)), str(len(rows))))
    return tuple(sorted(found.items(), key=lambda item: fold(item[0])))


def _all_of(cells: Sequence[Reading]) -> Reading:
    texts = {str(cell.meaning): cell for cell in reversed(cells)}
    if len(texts) < 2:
        return next(iter(texts.values()), EMPTY)
    ordered = [texts[key] for key in sorted(texts)]
    return Reading("; ".join(cell.raw for cell in ordered), tuple(cell.meaning for cell in ordered))
