"""The first screen of a report: the answer for each reader, and what can hurt, destroy, or keep things from working."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from revdiff.judge.causes import OUTCOMES
from revdiff.judge.registry import rule_named
from revdiff.release.cause_text import ToldCause, by_outcome, everything_else, runs, short, told_causes
from revdiff.release.document import Block, Pair, Pairs, Row, Sentence, Table, Tone
from revdiff.release.review import Focus, Review
from revdiff.release.verdicts import counted, verdicts

_ANSWERS: dict[str, Tone] = {"yes": "good", "no": "break", "unknown": "caution"}
_FIRST = OUTCOMES[:2]  # what is named here
_SHORT, _NUMBERS = 56, 6  # characters that causes, and their numbers, may take together on one line
# A screen that all terminals have: 80 columns, 24 lines; what is left of them beside the title, and beside other cells.
_LINES, _WIDTH, _CELL, _SENTENCE = 23, 80, 64, 70


def answer_blocks(review: Review, *, one_by_one: bool = True) -> Iterator[Block]:
    """``one_by_one``: also the causes that can hurt, destroy, or keep things from working; the rest counted."""
    found = verdicts(review)
    yield Pairs(tuple(Pair(item.reader, item.sentence, _ANSWERS[item.answer]) for item in found))
    yield from _left_out(review)
    if not one_by_one:
        return
    lines = first_lines(review)
    if lines:
        rows = tuple(map(_row, lines))
        yield Table(("", "No.", "What happened, and what it hits"), rows, bare=True)
    if told := _counts(review):
        yield Sentence(f"{'Also: ' if lines else ''}{told}.")


def _counts(review: Review) -> str:
    """The rest in numbers; empty where there is none."""
    grouped = by_outcome(told_causes(review))
    rest, silent = len(everything_else(review)), grouped["works wrongly in silence"]
    counts = [
        f"{len(silent)} {'works' if len(silent) == 1 else 'work'} wrongly",
        f"{len(grouped['to be checked'])} to check",
        f"{counted(rest, 'other change')}",
        f"{counted(len(review.not_checked), 'check')} not made",
    ]
    return ", ".join(text for text in counts if not text.startswith("0 "))


def named_first(review: Review) -> frozenset[int]:
    """The numbers of the causes of which this screen tells what happened."""
    lines = (line for line in first_lines(review) if _alike(line))
    return frozenset(item.number for line in lines for item in line)


def first_lines(review: Review) -> list[list[ToldCause]]:
    """The causes that are named here, line by line: one each, those of one kind that only break the same together.

    Where a screen has no room for that, those that only break the same share lines whatever they are, the largest
    groups first; a hazard always has its own.
    """
    loud = [item for item in told_causes(review) if item.cause.outcome in _FIRST]
    room = _LINES - sum(_wrapped(item.sentence, _SENTENCE) for item in verdicts(review))
    room -= _wrapped(f"Also: {_counts(review)}.", _WIDTH)
    groups: dict[object, list[ToldCause]] = {}
    for item in loud:
        groups.setdefault((item.word, item.hits, item.cause.kind), []).append(item)
    lines = {key: list(_lines(together)) for key, together in groups.items()}
    merged: dict[object, list[tuple[object, list[list[ToldCause]]]]] = {}
    for key, found in lines.items():
        if key[0] != "hazard":  # type: ignore[index]
            merged.setdefault(key[:2], []).append((key, found))  # type: ignore[index]
    largest = sorted(merged.values(), key=lambda sets: -sum(len(found) for _, found in sets))
    for sets in largest:
        if sum(map(_height, (line for found in lines.values() for line in found))) <= room:
            break
        together = sorted((item for _, found in sets for line in found for item in line), key=lambda item: item.number)
        for key, _ in sets[1:]:
            del lines[key]
        lines[sets[0][0]] = list(_lines(together))
    if len(lines) < len(groups):
        return sorted((line for found in lines.values() for line in found), key=lambda line: line[0].number)
    return [line for found in lines.values() for line in found]


def _lines(together: Sequence[ToldCause]) -> Iterator[list[ToldCause]]:
    line: list[ToldCause] = []
    for item in together:
        more = [*line, item]
        if line and (item.word == "hazard" or len(_titles(more)) > _SHORT or len(_numbers(more)) > _NUMBERS):
            yield line
            line = []
        line.append(item)
    yield line


def _height(line: Sequence[ToldCause]) -> int:
    """How many lines it takes on the narrowest terminal."""
    return _wrapped(_text(line), _CELL)


def _wrapped(text: str, width: int) -> int:
    return max(len(textwrap.wrap(text, width)), 1)


def _numbers(line: Sequence[ToldCause]) -> str:
    return runs(item.number for item in line)


def _row(line: Sequence[ToldCause]) -> Row:
    return Row((line[0].word, _numbers(line), _text(line)), line[0].word)


def _text(line: Sequence[ToldCause]) -> str:
    return f"{_titles(line)} — {line[0].hits}"


def _alike(line: Sequence[ToldCause]) -> bool:
    return len({item.cause.kind for item in line}) == 1


def _titles(line: Sequence[ToldCause]) -> str:
    if len(line) == 1:
        return line[0].title or _rule_title(line[0])
    names = ", ".join(dict.fromkeys(name for item in line for _, name in item.cause.subjects))
    return f"{names}: {short(line[0].cause.kind)}" if _alike(line) else names


def _rule_title(item: ToldCause) -> str:
    """What the worst that follows is called, where no change gives the cause its name."""
    rule = rule_named(item.findings[0].rule)
    title = rule.title if rule is not None else item.findings[0].subject
    return title[:1].lower() + title[1:]


def _left_out(review: Review) -> Iterator[Block]:
    """What the focus doesn't show, in numbers: nobody takes a part for the whole."""
    if review.focus == Focus():
        return
    whole = review.whole
    loud = _hazards(whole) - _hazards(review)
    rest = [
        counted(len(whole.changes) - len(review.changes), "change"),
        counted(len(whole.findings) - len(review.findings), "finding"),
    ]
    hazards = f", {counted(loud, 'hazard')} among them" if loud else ""
    yield Sentence(f"Only what concerns {review.focus}; left out: {' and '.join(rest)}{hazards}.")


def _hazards(review: Review) -> int:
    return sum(1 for item in review.findings if item.hazard and item.severity == "break")
