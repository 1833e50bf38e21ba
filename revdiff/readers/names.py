"""Names of devices and connectors out of file names and headings."""

from __future__ import annotations

import re

from revdiff.quantities.designator import parse_designator
from revdiff.quantities.text import clean

_WORDS = re.compile(r"[^\w+]+|_")
_NUMBERED = re.compile(r"[A-Za-z]{1,4}[0-9]{1,4}[A-Za-z]?")


def connector_named(text: str) -> str:
    """The designator in a heading or a file name (``J3``, ``base-J3``, ``J3_power.csv``), upper case.

    Where no word of it is a designator with a number, or several are, the whole text is the name.
    """
    cleaned = clean(text)
    found = {word.upper() for word in _WORDS.split(cleaned) if _NUMBERED.fullmatch(word) and parse_designator(word)}
    return found.pop() if len(found) == 1 else cleaned.upper()


def stem(path: str) -> str:
    """The name of a file without its folders and its ending."""
    return path.rpartition("/")[2].rpartition(".")[0] or path.rpartition("/")[2]
