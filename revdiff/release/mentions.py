"""Which changes the messages of the commits name: what isn't named there, nobody told the maintainer.

A message names a change by any name of its subject, whole and in capitals or not: a signal, a connector, a part number,
a firmware release, a board that came or went. Designators, pins and contacts are names within a board, so that the same
message has to name the board as well, unless the design has but one. A name of up to three letters must be written as
the design writes it: a signal ``IN`` isn't the word "in". ``R1-R4`` names all four.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress

from revdiff.compare.change import Change
from revdiff.quantities.designator import DesignatorFault, expand, parse_designator
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import fold
from revdiff.sources import Message

_APART = pattern(r"[\s,;()\[\]{}\"'`]+")
_WITHIN = pattern(r"[.:/–→=]+")
_EDGES = ".:!?*_<>-"
_SHORT = 3
_LONGEST = 100  # characters of a word in a message that could be a name
_MOST = 1_000  # designators that one range in a message may stand for
# Fields whose text names the thing itself.
_NAMING = frozenset({"signal", "part_number", "name", "version"})


class Messages:
    """The messages of some commits, ready to be asked for names."""

    def __init__(self, commits: Sequence[Message], boards: Iterable[str]) -> None:
        self._commits = [(commit, frozenset(_words(commit.text))) for commit in commits]
        self._boards = tuple(boards)

    def mention(self, change: Change) -> str:
        """The commit and the name by which its message names the change; empty where none does."""
        for commit, words in self._commits:
            for name in _names(change):
                if name not in words and (_is_short(name) or fold(name) not in words):
                    continue
                named = len(self._boards) < 2 or any(fold(item) in words for item in change.boards)
                if _local(change, name) and not named:
                    continue
                return f"{commit.commit[:10]} names {name}"
        return ""


def _words(message: str) -> Iterator[str]:
    """Every word as written and folded, with the parts of ``base.R12`` and what ``R1-R4`` stands for."""
    for token in _APART.split(message):
        if not token or len(token) > _LONGEST:
            continue
        for word in dict.fromkeys((token.strip(_EDGES), *(part.strip(_EDGES) for part in _WITHIN.split(token)))):
            if not word:
                continue
            yield word
            yield fold(word)
            try:
                yield from map(fold, expand(word, _MOST))
            except DesignatorFault:
                continue


def _names(change: Change) -> Iterator[str]:
    texts = [change.subject, *(name for pair in change.pairs for name in pair)]
    for item in change.fields:
        if item.name in _NAMING:
            texts += [item.before.raw, item.after.raw]
    for text in dict.fromkeys(texts):
        for part in text.split(", "):
            name = part.strip()
            if not name:
                continue
            yield name
            with suppress(DesignatorFault):
                yield from expand(name, _MOST)
            if "." in name:
                yield name.rpartition(".")[0]


def _is_short(name: str) -> bool:
    return len(name) <= _SHORT and name.isalpha()


def _local(change: Change, name: str) -> bool:
    """Whether a name means something only within a board."""
    if not change.board or change.kind.startswith(("board.", "contract.")):
        return False
    head = name.partition(".")[0]
    designator = parse_designator(head)
    return designator is not None and designator.number is not None
