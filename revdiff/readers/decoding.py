"""Bytes to text: which encoding a table is in, and what is no table at all."""

from __future__ import annotations

import codecs
import re
from collections.abc import Mapping

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern
from revdiff.readers.faults import Faults

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# Encodings of texts that tables are saved in, by their names without signs. Others are refused: some are no
# encodings of texts at all, some take quadratic time, and one of any name could be registered.
_ENCODINGS: Mapping[str, str] = {
    **{re.sub("[^a-z0-9]", "", name): name for name in ("ascii", "us-ascii", "utf-8", "utf-8-sig")},
    **{f"utf{size}{order}": f"utf-{size}-{order}".rstrip("-") for size in (16, 32) for order in ("", "le", "be")},
    **{
        f"{word}{page}": f"cp{page}"
        for word in ("cp", "windows")
        for page in (*range(1250, 1259), 874, 932, 936, 949, 950)
    },
    **{f"{word}{page}": f"cp{page}" for word in ("cp", "ibm") for page in (437, 850, 852, 855, 858, 866)},
    **{f"{word}8859{part}": f"iso8859-{part}" for word in ("iso",) for part in range(1, 17) if part != 12},
    **{f"latin{part}": f"latin{part}" for part in range(1, 11)},
    **{name.replace("_", ""): name for name in ("shift_jis", "euc_jp", "euc_kr", "gbk", "gb2312", "gb18030", "big5")},
    **{name.replace("_", ""): name for name in ("koi8_r", "koi8_u", "mac_roman", "sjis")},
}
_CONTROLS = bytes(set(range(32)) - {9, 10, 12, 13, 26, 27})
_UTF8_SIGN = pattern(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")
_HIGH = pattern(rb"[\x80-\xff]")


def decode(data: bytes, file: str, encoding: str, faults: Faults) -> tuple[str, str]:
    """The text of a table and the encoding it was read in.

    In order: a byte-order mark, what the manifest says, UTF-16 by its zero bytes, strict UTF-8, Windows-1252
    (with a notice). Statistical guessing is left out on purpose: a wrong guess changes ``µ`` and ``±`` without
    a word. Raises DataFault for a binary file, and for bytes that the encoding doesn't have.
    """
    _refuse_archives(data, file)
    for mark, name in _MARKS:
        if data.startswith(mark):
            return _strict(data[len(mark) :], name, file), name
    if encoding:
        return _strict(data, encoding, file), encoding
    wide = _zero_bytes(data[:4096])
    if wide:
        return _strict(data, wide, file), wide
    _refuse_binary(data, file)
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError as error:
        return _not_utf8(data, file, error, faults), "cp1252"


def _refuse_archives(data: bytes, file: str) -> None:
    if data.startswith(b"PK\x03\x04"):
        raise DataFault(
            f"{file}: found a zip archive (an XLSX workbook?), expected a text table. "
            'Give the file the ending .xlsx, say form = "xlsx" in the manifest, or save it as CSV.'
        )
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise DataFault(
            f"{file}: found an old binary workbook (XLS), expected a text table or XLSX. Save it as XLSX or CSV."
        )


def _refuse_binary(data: bytes, file: str) -> None:
    head = data[:65536]
    stray = len(head) - len(head.translate(None, _CONTROLS))
    if 0 in data or stray > len(head) // 100:
        zero = data.find(0)
        at = zero if zero >= 0 else next(at for at, byte in enumerate(head) if byte in _CONTROLS)
        what = "a zero byte" if zero >= 0 else f"the control character 0x{data[at]:02x}"
        raise DataFault(
            f"{file}: found binary data ({what} in line {data.count(10, 0, at) + 1}), "
            "expected a text table (CSV or TSV). Check that the file is what its name says, "
            "and save the table as CSV or XLSX."
        )


def _zero_bytes(head: bytes) -> str:
    """UTF-16 without a mark: Latin text has a zero in every second byte."""
    half = len(head) // 2
    if half < 2:
        return ""
    even, odd = head[0::2].count(0), head[1::2].count(0)
    if odd > half * 0.6 and even < half * 0.1:
        return "utf-16-le"
    if even > half * 0.6 and odd < half * 0.1:
        return "utf-16-be"
    return ""


def _not_utf8(data: bytes, file: str, error: UnicodeDecodeError, faults: Faults) -> str:
    """Windows-1252, unless most of what is not ASCII is UTF-8: then a few bytes of it are spoilt."""
    signs = len(_UTF8_SIGN.findall(data))
    strays = len(_HIGH.findall(_UTF8_SIGN.sub(b"", data)))
    line = data.count(b"\n", 0, error.start) + 1
    if signs >= strays:
        raise DataFault(
            f"{file}:{line}: found the byte 0x{data[error.start]:02x}, which is no UTF-8, "
            f"in a file that holds UTF-8 elsewhere ({signs} characters). Save the whole file as UTF-8."
        )
    text = _strict(data, "cp1252", file)
    start = data.rfind(b"\n", 0, error.start) + 1
    shown = data[max(start, error.start - 12) : error.start + 12].split(b"\n")[0].decode("cp1252", "replace")
    faults.notice(
        "assumed-encoding",
        "this file is no UTF-8; it was read as Windows-1252",
        Origin(file, line),
        found=shown.strip(),
        remedy='If this shows other letters than you wrote, name the encoding in the manifest: encoding = "...".',
    )
    return text


def _strict(data: bytes, encoding: str, file: str) -> str:
    known = _ENCODINGS.get(re.sub("[^a-z0-9]", "", encoding[:40].lower()))
    try:
        text = data.decode("" if known is None else known)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise DataFault(
            f"{file}:{line}: found the byte 0x{data[error.start]:02x}, which {encoding} doesn't have. "
            'Save the file as UTF-8, or name its encoding in the manifest: encoding = "...".'
        ) from None
    except (LookupError, ValueError):
        raise DataFault(
            f"{file}: the manifest names the encoding {encoding[:40]!r}, which is none that a text can be read in. "
            'Use one such as "utf-8", "utf-16" or "cp1252".'
        ) from None
    zero = text.find("\0")
    if zero >= 0:
        raise DataFault(
            f"{file}:{text.count(chr(10), 0, zero) + 1}: found a zero character, expected text. "
            "Check the file and its encoding, and save it as UTF-8."
        )
    return text
