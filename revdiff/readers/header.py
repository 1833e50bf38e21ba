"""Which row is the header of a table, and which column is which field."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from revdiff.design import Origin
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, fold
from revdiff.readers.columns import CONTACTS, PARTS, PINS, TableKind, match_header
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid, Rows
from revdiff.readers.guesses import counts_rows, designator_share, holds_port_names, is_running_number
from revdiff.readers.spec import TableSpec

HEADER_SEARCH = 60  # rows looked at for the header; longer preambles name header_row in the manifest
_NUMBER = pattern(r"[0-9][0-9.,]*")
_COMPLETE = 3  # points for a row that names all that a table of its kind has to have
_ENOUGH = 2  # columns named, from which a row may be a header


class Columns(Struct):
    """Cell positions from 0: of the fields, and of the columns that no field has; units of bare numbers.

    ``guessed``: the fields that were taken by what the cells hold, as the manifest would state them.
    """

    columns: dict[str, int] = {}
    extra: dict[str, int] = {}
    units: dict[str, str] = {}
    guessed: dict[str, str | int] = {}


def header_score(cells: Sequence[str], kind: TableKind, spec: TableSpec) -> int:
    """How much a row looks like the header of a table of this kind; 0 for not at all."""
    own = {fold(header) for _, header in spec.columns if isinstance(header, str)}
    texts = [text for text in map(clean, cells) if text]
    named = {match_header(text, kind)[0] for text in texts} - {""}
    score = len(named) + 2 * sum(fold(text) in own for text in texts) if own else len(named)
    complete = all(any(name in named for name in names) for names in kind.required)
    # A data row may hold a word or two that headers are made of; a header holds no bare number.
    return score + _COMPLETE if complete and not any(map(_NUMBER.fullmatch, texts)) else score


def find_header(grid: Grid, kind: TableKind, spec: TableSpec) -> int | None:
    """The position in ``grid.rows`` of the header; None where no row looks like one."""
    if spec.header_row:
        return next((index for index, (line, _) in enumerate(grid.rows) if line == spec.header_row), None)
    best, best_score = None, _ENOUGH - 1
    for index, (_, cells) in enumerate(grid.rows[:HEADER_SEARCH]):
        score = header_score(cells, kind, spec)
        if score > best_score:
            best, best_score = index, score
    return best


def match_columns(
    header: list[str], rows: Rows, kind: TableKind, spec: TableSpec, faults: Faults, origin: Origin
) -> Columns:
    """Which column is which field: by the manifest, by the header's words, and where those leave two, by content."""
    found = Columns()
    texts = [clean(cell) for cell in header]
    _stated(found, texts, kind, spec, faults, origin)
    taken = set(found.columns.values())
    candidates: dict[str, list[int]] = {}
    for position, text in enumerate(texts):
        if not text or position in taken:
            continue
        name, unit = match_header(text, kind)
        if not name or name in found.columns:
            _keep_extra(found.extra, text, position)
            continue
        name = "order_code" if name.startswith("order_code") else name
        candidates.setdefault(name, []).append(position)
        found.units.setdefault(name, unit)
    if kind in (PINS, CONTACTS):
        _read_name_beside_net(candidates, texts, rows, found, kind)
    part = _read_part_as_value(candidates, texts, found) if kind is PARTS else None
    if part is not None:
        faults.notice(
            "guessed-column",
            f"no column is named value; {texts[part]!r} was taken for it",
            Origin(origin.file, origin.line, part + 1),
            remedy=f'If it is the part number, say so in the manifest: columns = {{ part_number = "{texts[part]}" }}.',
        )
    for name, positions in candidates.items():
        if name == "item":
            _leave_out_numbers(found, texts, positions, rows, faults, origin)
            continue
        if name == "order_code":  # of several dealers, each in columns of its own
            found.columns.update(
                {name if not number else f"{name}_{number + 1}": at for number, at in enumerate(positions)}
            )
            continue
        chosen = _choose(name, positions, texts, rows, kind) if len(positions) > 1 else positions[0]
        others = [position for position in positions if position != chosen]
        if name == "designator":
            numbers = [position for position in others if _numbers_rows(rows, position)]
            _leave_out_numbers(found, texts, numbers, rows, faults, origin)
            others = [position for position in others if position not in numbers]
        if others:
            faults.notice(
                "two-columns",
                f"two columns could be the {name.replace('_', ' ')}; {texts[chosen]!r} was taken, "
                f"{', '.join(repr(texts[position]) for position in others)} is compared as text",
                Origin(origin.file, origin.line, others[0] + 1),
                remedy=f'To choose, name it in the manifest: columns = {{ {name} = "..." }}.',
            )
            for position in others:
                _keep_extra(found.extra, texts[position], position)
        found.columns[name] = chosen
        found.units[name] = match_header(texts[chosen], kind)[1]
    return found


def _stated(found: Columns, texts: list[str], kind: TableKind, spec: TableSpec, faults: Faults, origin: Origin) -> None:
    folded = [fold(text) for text in texts]
    for name, header in spec.columns:
        if isinstance(header, int):
            found.columns[name] = header - 1
            continue
        wanted = fold(header)
        if wanted in folded:
            position = folded.index(wanted)
            found.columns[name] = position
            found.units[name] = match_header(texts[position], kind)[1]
        else:
            faults.fault(
                "missing-column",
                f"the manifest says that the {kind.name} has a column {header!r}",
                origin,
                found=", ".join(filter(None, texts)),
                remedy=f"Correct columns = {{ {name} = ... }} in the manifest.",
            )


def _choose(name: str, positions: list[int], texts: list[str], rows: Rows, kind: TableKind) -> int:
    """The column with the field's own name goes before one with an alias; designators are known by sight."""
    exact = [position for position in positions if fold(texts[position]) == name.replace("_", " ")]
    if kind is PARTS and name == "designator":
        return max(positions, key=lambda position: (designator_share(rows, position), position in exact, -position))
    return exact[0] if exact else positions[0]


def _read_name_beside_net(
    candidates: dict[str, list[int]], texts: list[str], rows: Rows, found: Columns, kind: TableKind
) -> None:
    """Beside a column of nets, "Name" says what the pin itself is called: its port, where no other column does.

    Alone it is the signal. Of a contact it is a column of the user's own.
    """
    signals = candidates.get("signal", [])
    names = [position for position in signals if fold(texts[position]) == "name"]
    nets = [position for position in signals if position not in names]
    if "signal" in found.columns:
        names = [position for text, position in found.extra.items() if fold(text) == "name"]
    elif not nets:
        return
    else:
        candidates["signal"] = nets
    for position in names:
        settled = "port" in candidates or "port" in found.columns
        if kind is PINS and not settled and not holds_port_names(rows, candidates.get("pin", [-1])[0]):
            candidates["port"] = [position]
            found.extra = {text: other for text, other in found.extra.items() if other != position}
        elif position not in found.extra.values():
            _keep_extra(found.extra, texts[position], position)


def _read_part_as_value(candidates: dict[str, list[int]], texts: list[str], found: Columns) -> int | None:
    """In a table without a column of values, a column "Part" holds them."""
    numbers = candidates.get("part_number", [])
    parts = [position for position in numbers if fold(texts[position]) == "part"]
    if parts and "value" not in candidates and "value" not in found.columns:
        candidates["value"] = parts
        rest = [position for position in numbers if position not in parts]
        if rest:
            candidates["part_number"] = rest
        else:
            del candidates["part_number"]
        return parts[0]
    return None


def _leave_out_numbers(
    found: Columns, texts: list[str], positions: list[int], rows: Rows, faults: Faults, origin: Origin
) -> None:
    """A column that only counts the rows says nothing of the parts, and would change with every row added."""
    for position in positions:
        if _numbers_rows(rows, position):
            faults.notice(
                "running-number",
                f"the column {texts[position]!r} only numbers the rows; it was left out",
                Origin(origin.file, origin.line, position + 1),
            )
        else:
            _keep_extra(found.extra, texts[position], position)


def _numbers_rows(rows: Rows, position: int) -> bool:
    return is_running_number(rows, position) or counts_rows(rows, position, gaps=True)


def _keep_extra(extra: dict[str, int], text: str, position: int) -> None:
    name, count = text, 1
    while name in extra:
        count += 1
        name = f"{text} ({count})"
    extra[name] = position
