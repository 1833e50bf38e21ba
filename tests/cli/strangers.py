"""Repositories as strangers have them: no manifest at any tag, files renamed between tags, workbooks, Markdown."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

import openpyxl

from tests.sources.workshop import Workshop

BOM_1 = """\
Designator,Qty,Value,Footprint,MPN
"R1, R2",2,10k,0603,RC-10K
R3,1,4k7,0603,RC-4K7
C1,1,100n,0402,CC-100N
U1,1,controller,QFP-48,MC-48
J1,1,header,PH-6,PH-6
"""
BOM_2 = BOM_1.replace("R3,1,4k7,0603,RC-4K7", "R3,1,5k6,0603,RC-5K6")
PINOUT_1 = """\
# Sensor board

What each pin of the controller does.

## U1

| Pin | Port | Signal | Direction |
| --- | --- | --- | --- |
| 1 | PA0 | LED | out |
| 2 | PA1 | HEAT | out |
| 3 | PA2 | TX | out |
| 4 | PA3 | RX | in |
"""
PINOUT_2 = PINOUT_1.replace("| LED | out |\n| 2 | PA1 | HEAT |", "| HEAT | out |\n| 2 | PA1 | LED |")


def workbook(text: str) -> bytes:
    """A workbook with a cover sheet before the list."""
    book = openpyxl.Workbook()
    cover = book.active
    assert cover is not None
    cover.title = "Cover"
    cover.append(["Sensor board"])
    sheet = book.create_sheet("BOM")
    for row in rows(text):
        sheet.append(list(row))
    page = io.BytesIO()
    book.save(page)
    return page.getvalue()


def rows(text: str) -> Sequence[Sequence[str]]:
    return list(csv.reader(io.StringIO(text)))


class Stranger(Workshop):
    """A repository whose tags hold what was committed for them, each a day after the one before."""

    def __init__(self, root: Path) -> None:
        super().__init__(root)
        self._day = 0

    def release(self, tag: str, files: Mapping[str, str | bytes]) -> None:
        """Commits exactly these files, and tags them."""
        if any(path.name != ".git" for path in self.root.iterdir()):
            self.git("rm", "-r", "-f", "-q", "--ignore-unmatch", ".")
        self._day += 1
        day = f"2024-03-{self._day:02}T12:00:00+0000"
        self.environment |= {"GIT_COMMITTER_DATE": day, "GIT_AUTHOR_DATE": day}
        self.commit({path: text if isinstance(text, bytes) else text.encode() for path, text in files.items()}, tag)
        if tag:
            self.git("tag", tag)
