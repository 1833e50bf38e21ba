"""Names of devices and connectors out of file names and headings."""

from __future__ import annotations

from revdiff.quantities.designator import parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean

_WORDS = pattern(r"[^\w+]+|_")
# Class letters of connectors (IEEE 315-1975 clause 22.4; CN and CON are common practice, no source).
_CONNECTOR = pattern(r"(?:J|P|X|CN|CON)[0-9]{1,4}[A-Z]?")
# Common practice, no source.
_CONNECTOR_WORDS = (
    *("connector", "header", "plug", "socket", "receptacle", "terminal", "harness", "cable"),
    *("stecker", "buchse", "klemme", "stiftleiste", "connecteur", "borne", "conector", "bornera", "连接器", "接插件"),
)
_NUMBERED = pattern(r"[A-Za-z]{1,4}[0-9]{1,4}[A-Za-z]?")


def connector_named(text: str) -> str:
    """The designator in a heading or a file name (``J3``, ``base-J3``, ``J3_power.csv``), upper case.

    Where no word of it is a designator with a number, or several are, the whole text is the name.
    """
    cleaned = clean(text)
    found = {word.upper() for word in _WORDS.split(cleaned) if _NUMBERED.fullmatch(word) and parse_designator(word)}
    return found.pop() if len(found) == 1 else cleaned.upper()


def connector_of(title: str, path: str) -> str:
    """The connector that a heading names, or else a file's name: a designator before any other words of theirs."""
    named = [connector_named(text) for text in (title, stem(path.partition("#")[0])) if text]
    return next((name for name in named if _NUMBERED.fullmatch(name)), named[0])


def speaks_of_connectors(text: str) -> bool:
    """Whether a heading or a file's name says that it is about a connector, by its designator or in words."""
    name = connector_named(text)
    return _CONNECTOR.fullmatch(name) is not None or any(word in text.casefold() for word in _CONNECTOR_WORDS)


def stem(path: str) -> str:
    """The name of a file without its folders and its ending."""
    return path.rpartition("/")[2].rpartition(".")[0] or path.rpartition("/")[2]
