"""Outside check, on request: pin maps and tables in packages that others published, read and compared.

Runs where REVDIFF_OPEN_PACKAGES names a folder with unpacked packages; nothing of them is kept here. Used was
``arduino-core-avr`` 1.8.7 (LGPL-2.1) of the Debian archive, whose headers name the pins of eleven boards.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from revdiff.app.review import review_revisions
from revdiff.errors import DataFault
from revdiff.readers.survey import could_be_table, survey
from revdiff.sources import open_revision
from tests.campaign.run import reproduces

_FOLDER = os.environ.get("REVDIFF_OPEN_PACKAGES", "")
_DEFINED = re.compile(
    r"^[ \t]*#define[ \t]+PIN_([A-Z]\w*)[ \t]+\(?([0-9]{1,3})(?:u8?)?\)?[ \t]*(?://.*)?$", re.MULTILINE
)

pytestmark = pytest.mark.skipif(not _FOLDER, reason="REVDIFF_OPEN_PACKAGES names no folder with unpacked packages")


def _tables(kind: str = "") -> Iterator[Path]:
    """Every file that is recognised as a table, of that kind."""
    for folder in sorted({path.parent for path in Path(_FOLDER).rglob("*") if could_be_table(path.name)}):
        try:
            found = survey(open_revision(f"folder:{folder}", repository=folder)).found
        except DataFault:
            continue
        yield from (folder / item.path for item in found if "/" not in item.path and kind in ("", item.kind))


def test_a_published_file_against_itself_has_no_event() -> None:
    files = list(_tables())
    assert files
    for path in files:
        review = review_revisions(f"file:{path}", f"file:{path}", repository=path.parent)
        assert [item.subject for item in review.changes] == [], path
        assert [item.rule for item in review.findings if item.severity == "break"] == [], path


def test_headers_are_read_as_a_plain_script_reads_them() -> None:
    checked = 0
    for path in _tables("pins"):
        defined: dict[str, set[str]] = {}
        for name, number in _DEFINED.findall(path.read_text(encoding="utf-8", errors="replace")):
            defined.setdefault(name, set()).add(str(int(number)))
        board = review_revisions(f"file:{path}", f"file:{path}", repository=path.parent).comparison.new.boards["board"]
        read: dict[str, str] = {}
        for pin in board.pins.values():
            others = dict(pin.extra).get("Other names")
            for name in (pin.signal.raw, *(others.raw.split("; ") if others is not None else ())):
                read[name] = pin.number
        single = {name: next(iter(numbers)) for name, numbers in defined.items() if len(numbers) == 1}
        assert {name: read.get(f"PIN_{name}", read.get(name)) for name in single} == single, path
        checked += len(single)
    assert checked


def test_the_changes_between_two_published_files_give_the_second_one() -> None:
    for one, two in pairwise(_tables("pins")):
        review = review_revisions(f"file:{one}", f"file:{two}", repository=one.parent)
        assert reproduces(review.comparison) or review.comparison.unclear, (one, two)
