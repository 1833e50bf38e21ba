"""The parts of an XLSX archive, with limits set before anything is unpacked or parsed (ECMA-376, parts 1 and 2)."""

from __future__ import annotations

import io
import zipfile

from revdiff.budget import Budget, LimitFault
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern

# Above what a parts list of 20,000 rows takes; a file that unpacks to more is refused unread.
MAX_UNPACKED = 64 * 1024 * 1024
MAX_MEMBERS = 1_000
MAX_ELEMENTS = 2_000_000  # rows and cells of all worksheets; what takes more work than a cell counts for more
MAX_TAGS = 5_000_000
_TEXT, _OTHER = 4, 20  # what a shared text, and a style or anything else that becomes an object, takes in cells
MAX_TOKEN = 256 * 1024  # bytes of one tag or comment: old releases of expat take quadratic time for long ones
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # others may ask for any amount of memory
_CELLS = pattern(rb"<(?:\w{1,12}:)?(?:row|c)[ />\r\n\t]")
_TEXTS = pattern(rb"<(?:\w{1,12}:)?si[ />\r\n\t]")
_INNER = pattern(rb"<(?:\w{1,12}:)?(?:v|f|is|t|r)[ />\r\n\t]")
_FORMAT = pattern(rb"formatCode[^<>]{2000}")  # a spreadsheet takes 255 characters
_LONG = pattern(rb"<[^<>]{%d}" % MAX_TOKEN)
_ENCODING = pattern(rb"""\s{0,9}<\?xml[^<>]{0,200}?encoding\s{0,9}=\s{0,9}["']([^"'<>]{0,60})["']""")
_ENCODINGS = (b"utf-8", b"us-ascii", b"ascii")


def unpacked(data: bytes, file: str, budget: Budget) -> dict[str, bytes]:
    """Every part of the archive by its name, unpacked.

    Raises DataFault for what is no workbook and for one that would take too much memory or time; LimitFault.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            size = sum(item.file_size for item in members)
            if len(members) > MAX_MEMBERS or size > MAX_UNPACKED:
                raise DataFault(
                    f"{file}: found a workbook that unpacks to more than {MAX_UNPACKED // 1024 // 1024} MiB or "
                    f"{MAX_MEMBERS} files, expected less. Save only the table that is meant."
                )
            names = [item.filename for item in members]
            if "[Content_Types].xml" not in names:
                raise DataFault(f"{file}: found a zip archive that is no XLSX workbook. Save the table as XLSX or CSV.")
            if len(set(names)) < len(names) or any(item.compress_type not in _METHODS for item in members):
                raise DataFault(
                    f"{file}: found an archive with two parts of one name, or packed as no XLSX workbook is. "
                    "Open it, and save it again as XLSX or CSV."
                )
            budget.spend("bytes", size, file)
            parts = {item.filename: archive.read(item) for item in members}
    except (DataFault, LimitFault):
        raise
    except Exception as error:  # a broken archive fails in many ways: zlib, encryption, lying sizes
        raise unsound(file, error) from None
    _check_parts(parts, file, budget)
    return parts


def _check_parts(parts: dict[str, bytes], file: str, budget: Budget) -> None:
    """Whatever their names: which parts are worksheets is said by other parts, and an image holds few tags."""
    elements = tags = 0
    for name, part in parts.items():
        markup = part.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"<"
        if not markup and part[:2] not in (b"\xff\xfe", b"\xfe\xff", b"<\0", b"\0<"):
            continue
        encoding = _ENCODING.match(part.removeprefix(b"\xef\xbb\xbf"))
        if not markup or (encoding is not None and encoding[1].lower() not in _ENCODINGS):
            raise unsound(file, f"{name} is in another encoding than UTF-8")
        if b"<!DOCTYPE" in part:
            raise unsound(file, f"{name} has a document type declaration, which can hide other files")
        if _FORMAT.search(part) or _LONG.search(part) or _longest(part) > MAX_TOKEN:
            raise unsound(file, f"{name} holds a longer tag, comment or number format than any program writes")
        tags += part.count(b"<") - part.count(b"</")
        if tags <= MAX_TAGS:
            elements += _elements(part)
        if tags > MAX_TAGS or elements > MAX_ELEMENTS:
            raise DataFault(
                f"{file}: found more than {MAX_ELEMENTS} cells and rows in a workbook (a shared text counts as {_TEXT} "
                f"of them, a style or anything else as {_OTHER}), expected fewer. Save only the table that is meant."
            )
    budget.spend("elements", elements, file)


def _elements(part: bytes) -> int:
    cells, texts, inner = (len(pattern.findall(part)) for pattern in (_CELLS, _TEXTS, _INNER))
    others = part.count(b"<") - part.count(b"</") - cells - texts - inner
    return cells + _TEXT * texts + _OTHER * others


def _longest(part: bytes) -> int:
    """Bytes of the longest comment or instruction."""
    longest = 0
    for begins, ends in ((b"<!--", b"-->"), (b"<?", b"?>")):
        at = part.find(begins)
        while at >= 0:
            end = part.find(ends, at)
            end = len(part) if end < 0 else end
            longest = max(longest, end - at)
            at = part.find(begins, end)
    return longest


def unsound(file: str, error: Exception | str) -> DataFault:
    """The fault for what can't be read as a workbook, and why."""
    why = (str(error).splitlines() or [""])[0][:120] or type(error).__name__
    return DataFault(f"{file}: found no sound XLSX workbook ({why}). Open it, and save it again as XLSX or CSV.")
