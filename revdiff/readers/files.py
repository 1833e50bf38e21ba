"""A file of any form to rows of cells."""

from __future__ import annotations

from revdiff.readers.beside import below_each_other, unowned
from revdiff.readers.by_signal import one_row_each, titled
from revdiff.readers.columns import PINS, TableKind
from revdiff.readers.decoding import decode
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid, Rows
from revdiff.readers.merge_marks import without_merge_marks
from revdiff.readers.spec import Form, TableSpec

_ENDINGS: dict[str, Form] = {
    **dict.fromkeys(("xlsx", "xlsm"), "xlsx"),
    **dict.fromkeys(("md", "markdown"), "markdown"),
    **dict.fromkeys(("dts", "dtsi", "overlay"), "devicetree"),
    **dict.fromkeys(("h", "hpp", "hh", "hxx", "c", "cpp", "cc", "cxx", "ino", "inc"), "source"),
}


def read_grid(data: bytes, spec: TableSpec, kind: TableKind, faults: Faults) -> Grid:
    """The rows of the table that ``spec`` names. Raises DataFault where the file can't be read."""
    grid = _read(data, spec, kind, faults)
    if spec.columns or not spec.header:
        return grid
    return one_row_each(below_each_other(grid, kind, faults), kind, faults)


def _read(data: bytes, spec: TableSpec, kind: TableKind, faults: Faults) -> Grid:
    from revdiff.readers.header import header_score

    def score(rows: Rows) -> int:
        return max((header_score(titled(unowned(cells, kind), kind), kind, spec) for _, cells in rows), default=0)

    form = spec.form or _ENDINGS.get(spec.file.rpartition(".")[2].casefold(), "")
    if form == "xlsx":
        from revdiff.readers.workbook import workbook_grid

        return workbook_grid(data, spec.file, spec.sheet, score, faults)
    text, used = decode(data, spec.file, spec.encoding, faults)
    if form == "source" and kind is PINS:
        from revdiff.readers.c_pins import source_grid

        return source_grid(without_merge_marks(text, spec.file, faults), spec.file, used, faults)
    if form == "devicetree" and kind is PINS:
        from revdiff.readers.tree_pins import devicetree_grid

        return devicetree_grid(without_merge_marks(text, spec.file, faults), spec.file, used, faults)
    from revdiff.readers.markdown import looks_like_markdown, markdown_grid

    if form == "markdown" or (not form and looks_like_markdown(text)):
        text = without_merge_marks(text, spec.file, faults)
        return markdown_grid(text, spec.file, used, spec, kind, score, faults)
    from revdiff.readers.delimited import delimited_grid

    return delimited_grid(text, spec.file, used, spec.delimiter, faults)
