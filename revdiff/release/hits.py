"""The arrangements that causes hit, each once; a crossing beside its mirror image where the same comes of both."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from revdiff.judge.finding import Finding
from revdiff.release.cause_text import ToldCause, mirrored, runs, word_of
from revdiff.release.document import Tone
from revdiff.release.verdicts import is_alone


class Hit(Struct):
    """Arrangements of the same things that the same comes of.

    ``word``: the worst that comes of them. ``causes``: the numbers of those that any of them is hit by. ``alone``: one
    thing, whatever it is combined with.
    """

    word: Tone
    alone: bool
    names: list[str] = []
    causes: set[int] = set()

    @property
    def numbers(self) -> str:
        """``1–3, 5``"""
        return runs(sorted(self.causes))


def hits_of(causes: Iterable[ToldCause]) -> list[Hit]:
    """All of them, in the order in which the causes first name them."""
    found: dict[str, list[tuple[int, Finding]]] = {}
    for item in causes:
        for one in item.findings:
            if one.crossing:
                found.setdefault(one.pairing, []).append((item.number, one))
    hits: dict[tuple[Tone, frozenset[str]], Hit] = {}
    for name, told in found.items():
        word = min((word_of(one) for _, one in told), key=("hazard", "break", "caution", "info").index)
        one = told[0][1]
        hit = hits.setdefault((word, mirrored(one)), Hit(word, is_alone(one)))
        hit.names.append(name)
        hit.causes.update(number for number, _ in told)
    return list(hits.values())
