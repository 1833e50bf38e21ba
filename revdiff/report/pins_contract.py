"""A firmware contract to write down: its table of needs, and its section of the manifest."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable

from revdiff.design import Need
from revdiff.readers.contract_sources import rows_of
from revdiff.report.data import escaped
from revdiff.report.pins_table import harmless


def needs_table(needs: Iterable[Need]) -> str:
    """The table as CSV; nothing in it starts a spreadsheet formula."""
    page = io.StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerows([harmless(cell) for cell in row] for row in rows_of(needs))
    return page.getvalue()


def manifest_section(name: str, version: str, board: str, device: str, file: str) -> str:
    """The section of ``revdiff.toml`` for a contract, with what only a person knows left to be filled in."""
    key = name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _text(name)
    lines = [
        f"[firmware.{key}]",
        f"name = {_text(name)}",
        f"version = {_text(version)}",
        f"board = {_text(board)}",
        f"device = {_text(device)}",
        f"needs = {_text(file)}",
        '# clock = "16 MHz"',
        '# recognises = "how it tells the revision of the board"',
    ]
    return "\n".join(lines) + "\n"


def _text(text: str) -> str:
    """A TOML basic string: JSON's escapes are among those of TOML 1.0."""
    return escaped(json.dumps(text)).replace("\x7f", "\\u007f")
