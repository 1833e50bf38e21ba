"""Which step of its own numbering a design, and each board, asks for; and whether the declared one is that step."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final, Literal

from msgspec import Struct

from revdiff.judge.finding import Finding, Step
from revdiff.quantities.pattern import pattern
from revdiff.quantities.revision_label import revision_key
from revdiff.release.cause_text import ToldCause, told_causes
from revdiff.release.review import Review

Scheme = Literal["semantic version", "letter", "number", "letter and number", "other"]
_ORDER: Final[tuple[Step, ...]] = ("major", "minor", "patch")
# ASME Y14.35-2014: I, O, Q, S, X and Z are not used; after Y comes AA.
LETTERS: Final = "ABCDEFGHJKLMNPRTUVWY"
_LEAD = pattern(r"^(?:revision|rev|version|v)[-_. ]?(?=[0-9]|[A-Za-z]{1,2}(?:$|[.0-9]))", re.IGNORECASE)
_SEMANTIC = pattern(r"([0-9]{1,9})\.([0-9]{1,9})\.([0-9]{1,9})")  # Semantic Versioning 2.0.0, 2
_MIXED = pattern(r"([A-Za-z]{1,2})([.-]?)([0-9]{1,9})")


class Advice(Struct, frozen=True):
    """``step`` is the largest that is asked for; empty: nothing changed. ``causes``: the numbers of those that ask it.

    ``before`` and ``after``: the declared labels. ``next``: the label that the step leads to; empty where the scheme is
    none that is known. ``warning``: how the declared label doesn't match; empty where it does.
    """

    name: str
    step: Step | Literal[""]
    causes: tuple[int, ...]
    before: str
    after: str
    scheme: Scheme
    next: str
    warning: str


def advice(review: Review) -> tuple[Advice, ...]:
    """For the design by the names of its revisions, then for each board by its printed revision."""
    causes = told_causes(review)
    old, new = review.comparison.old, review.comparison.new
    changed = {name for item in review.changes for name in item.boards}
    # A folder, a branch or a commit has no number of its own.
    before, after = (item.name if item.kind == "tag" else "" for item in (review.old, review.new))
    found = [_advice("", before, after, causes, changed=bool(review.changes))]
    for name, board in new.boards.items():
        printed = old.boards[name].revision if name in old.boards else ""
        found.append(_advice(name, printed, board.revision, causes, changed=name in changed))
    return tuple(found)


def _advice(board: str, before: str, after: str, causes: Iterable[ToldCause], *, changed: bool) -> Advice:
    asked: dict[Step, list[int]] = {}
    for item in causes:
        steps = [one.step for one in item.findings if not board or _is_of(one, item, board)]
        if steps:
            asked.setdefault(min(steps, key=_ORDER.index), []).append(item.number)
    step: Step | Literal[""] = min(asked, key=_ORDER.index, default="patch" if changed else "")
    scheme = scheme_of(before)
    following = next_label(before, step) if step else before
    warning = _warning(before, after, step, scheme, following) if before and after else ""
    return Advice(board, step, tuple(asked.get(step, ())) if step else (), before, after, scheme, following, warning)


def _is_of(finding: Finding, cause: ToldCause, board: str) -> bool:
    """Whether a board has to do with it: it is one of the things, and the cause changed something on it."""
    told = any(party.name == board for party in finding.parties) or any(party.firmware for party in finding.parties)
    return told and any(board in item.boards for item in cause.changes)


def scheme_of(label: str) -> Scheme:
    """How a label is made."""
    text = _bare(label)
    if _SEMANTIC.fullmatch(text):
        return "semantic version"
    if text.isascii() and text.isdecimal():
        return "number"
    if text.isascii() and text.isalpha() and len(text) <= 2:
        return "letter"
    return "letter and number" if _MIXED.fullmatch(text) else "other"


def next_label(label: str, step: str) -> str:
    """The label after a step of its own scheme; empty for a scheme that isn't known. A label's first words stay."""
    text = _bare(label)
    lead = label[: len(label) - len(text)]
    if found := _SEMANTIC.fullmatch(text):
        major, minor, patch = map(int, found.groups())
        told = {
            "major": f"{major + 1}.0.0",
            "minor": f"{major}.{minor + 1}.0",
            "patch": f"{major}.{minor}.{patch + 1}",
        }
        return lead + told[step]
    scheme = scheme_of(label)
    if scheme == "number":
        return f"{lead}{int(text[:9]) + 1}" if len(text) <= 9 else ""
    if scheme == "letter":
        return lead + _next_letter(text)
    if found := _MIXED.fullmatch(text):
        letters, between, number = found.groups()
        if step == "major":
            return f"{lead}{_next_letter(letters)}{between}{'1' if number != '0' else '0'}"
        return f"{lead}{letters}{between}{int(number) + 1}"
    return ""


def _bare(label: str) -> str:
    return _LEAD.sub("", label.strip().rpartition("/")[2])


def _next_letter(text: str) -> str:
    """``B`` to ``C``, ``H`` to ``J``, ``Y`` to ``AA``, in the case that it has."""
    upper = text.upper()
    digits = [LETTERS.find(letter) for letter in upper]
    if -1 in digits:  # a letter that the standard doesn't use: the next one that it does
        return "".join(min((item for item in LETTERS if item > letter), default="A") for letter in upper[-1:])
    number = 0
    for digit in digits:
        number = number * len(LETTERS) + digit + 1
    found = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, len(LETTERS))
        found = LETTERS[digit] + found
    return found.lower() if text.islower() else found


def _warning(before: str, after: str, step: str, scheme: Scheme, following: str) -> str:
    """Several steps at once are no mistake: whoever compares may have left revisions out."""
    if not step:
        return ""
    if before == after:
        return f"it changed and still says {after}"
    if scheme_of(after) != scheme or not following:
        return ""
    if revision_key(after) < revision_key(before):
        return f"{after} goes back behind {before}"
    if scheme == "semantic version":
        two, asked = (tuple(map(int, _bare(item).split("."))) for item in (after, following))
        return f"{after} is a smaller step than the changes ask for, which is {following}" if two < asked else ""
    unused = sorted(set(_bare(after).upper()) - set(LETTERS) - set("0123456789.-"))
    if scheme in ("letter", "letter and number") and unused:
        return (
            f"{after}: {' and '.join(unused)} is left out of revision letters, since it looks like a figure or a blank"
        )
    return ""
