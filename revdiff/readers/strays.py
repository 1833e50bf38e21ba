"""Characters that deceive the eye, and the error marks of a spreadsheet, wherever in a table they stand."""

from __future__ import annotations

from msgspec.structs import replace

from revdiff.design import Origin
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, hidden
from revdiff.readers.faults import Faults
from revdiff.readers.grid import Grid
from revdiff.readers.merge_marks import MARK, tell_mark

_SHEET_ERROR = pattern(r"#(?:REF!|DIV/0!|N/A|NAME\?|VALUE!|NUM!|NULL!|SPILL!)")
# UTF-8 that was read as Windows-1252 once: µ ± ° Ω and the like in two or three letters.
_MOJIBAKE = pattern("[ÂÃÎ][\u00a0-\u00bf\u2122]|â[„€][\u00a6\u2122\u0153\u201c\u201d]|ï»¿|\ufffd")
# Within a Latin word: Cyrillic letters, and those Greek ones that look like Latin letters.
_STRANGE = (
    "\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c\u039d\u039f\u03a1\u03a4\u03a5\u03a7\u03bd\u03bf\u0400-\u052f"
)
_LOOK_ALIKE = pattern(f"[A-Za-z0-9_][{_STRANGE}]|[{_STRANGE}][A-Za-z0-9_]")


def tell_strays(grid: Grid, faults: Faults) -> None:
    """One statement for each kind of thing, at its first place, with the number of cells."""
    seen: dict[str, list[tuple[int, int, str]]] = {"hidden": [], "error": [], "mojibake": [], "alike": []}
    for line, cells in grid.rows:
        joined = " ".join(cells)
        if joined.isascii() and joined.isprintable() and "#" not in joined:
            continue
        for position, cell in enumerate(cells, 1):
            place = (line, position, cell)
            if hidden(cell):
                seen["hidden"].append(place)
            if _SHEET_ERROR.fullmatch(cell.strip()):
                seen["error"].append(place)
            if not cell.isascii():
                if _MOJIBAKE.search(cell):
                    seen["mojibake"].append(place)
                if _LOOK_ALIKE.search(clean(cell)):
                    seen["alike"].append(place)
    if seen["hidden"]:
        line, position, cell = seen["hidden"][0]
        faults.notice(
            "hidden-characters",
            f"characters that can't be seen were left out: {', '.join(hidden(cell))}{_more(seen['hidden'])}",
            Origin(grid.file, line, position),
            found=clean(cell),
            remedy="Type the cell again, so that others read what you read.",
        )
    for line, position, cell in seen["error"]:
        faults.fault(
            "spreadsheet-error",
            "this cell holds the error mark of a spreadsheet",
            Origin(grid.file, line, position),
            found=clean(cell),
            expected="a value",
            remedy="Mend the formula in the spreadsheet, or store the value itself.",
        )
    if seen["mojibake"]:
        line, position, cell = seen["mojibake"][0]
        faults.notice(
            "broken-characters",
            f"this text was written or read in another encoding before{_more(seen['mojibake'])}; "
            "it is compared as it stands",
            Origin(grid.file, line, position),
            found=clean(cell),
            remedy="Save the table again as UTF-8 from the program that shows it right.",
        )
    if seen["alike"]:
        line, position, cell = seen["alike"][0]
        strange = next(char for char in _LOOK_ALIKE.findall(clean(cell))[0] if not char.isascii())
        faults.notice(
            "look-alike",
            f"a letter of another script stands in a Latin word: U+{ord(strange):04X}{_more(seen['alike'])}; "
            "it makes another name",
            Origin(grid.file, line, position),
            found=clean(cell),
            remedy="Type the name again.",
        )


def without_conflict_marks(grid: Grid, faults: Faults) -> Grid:
    """The rows without the marks that a merge leaves where two changes met; each mark is a fault."""
    marks = [item for item in grid.rows if MARK.match(item[1][0]) and not any(map(str.strip, item[1][1:]))]
    for line, cells in marks:
        tell_mark(faults, grid.file, line, clean(cells[0]))
    return replace(grid, rows=tuple(item for item in grid.rows if item not in marks)) if marks else grid


def _more(places: list[tuple[int, int, str]]) -> str:
    return f" (in {len(places)} cells)" if len(places) > 1 else ""
