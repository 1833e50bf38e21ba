"""The step that changes ask for, in the numbering that a design has.

Semantic Versioning 2.0.0, 6 to 8: patch, minor, major. ASME Y14.35-2014: the letters I, O, Q, S, X and Z are not used;
that AA follows Y is company practice.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from revdiff.app.review import review_revisions
from revdiff.judge import judge_change
from revdiff.release.review import Review
from revdiff.release.version_step import advice, next_label, scheme_of
from tests.support import SMALL, MemoryRevision, compare, edit

LABELS = [
    # label, scheme, after a major, a minor and a patch step
    ("1.4.1", "semantic version", "2.0.0", "1.5.0", "1.4.2"),
    ("v0.9.12", "semantic version", "v1.0.0", "v0.10.0", "v0.9.13"),
    ("B", "letter", "C", "C", "C"),
    ("H", "letter", "J", "J", "J"),
    ("N", "letter", "P", "P", "P"),
    ("W", "letter", "Y", "Y", "Y"),
    ("Y", "letter", "AA", "AA", "AA"),
    ("AY", "letter", "BA", "BA", "BA"),
    ("rev-b", "letter", "rev-c", "rev-c", "rev-c"),
    ("Rev C", "letter", "Rev D", "Rev D", "Rev D"),
    ("3", "number", "4", "4", "4"),
    ("rev9", "number", "rev10", "rev10", "rev10"),
    ("B2", "letter and number", "C1", "B3", "B3"),
    ("A.0", "letter and number", "B.0", "A.1", "A.1"),
    ("2024-06", "other", "", "", ""),
    ("gamma", "other", "", "", ""),
    ("", "other", "", "", ""),
]


@pytest.mark.parametrize(("label", "scheme", "major", "minor", "patch"), LABELS)
def test_a_label_takes_the_step_of_its_own_scheme(label: str, scheme: str, major: str, minor: str, patch: str) -> None:
    assert scheme_of(label) == scheme
    assert [next_label(label, step) for step in ("major", "minor", "patch")] == [major, minor, patch]


def review(*edits: tuple[str, str, str]) -> Review:
    new = edit(SMALL, *edits)
    comparison = compare(SMALL, new)
    one, two = MemoryRevision(SMALL, "1.0.0").identity, MemoryRevision(new, "1.0.1").identity
    identities = replace(one, kind="tag"), replace(two, kind="tag")
    return Review(*identities, comparison, judge_change(comparison, "1.0.0", "1.0.1"))


SWAP = (("base/contacts.csv", "J1,3,TX,out", "J1,3,RX,in"), ("base/contacts.csv", "J1,4,RX,in", "J1,4,TX,out"))
DETAIL = (("base/parts.csv", "active,0.04", "active,0.05"),)
LETTER = ("revdiff.toml", '[boards.base]\nrevision = "A"', '[boards.base]\nrevision = "{}"')


def labelled(letter: str) -> tuple[str, str, str]:
    return LETTER[0], LETTER[1], LETTER[2].format(letter)


def test_a_break_asks_for_a_major_step_with_its_causes_as_reasons() -> None:
    design, base, top = advice(review(*SWAP, labelled("B")))
    assert (design.step, design.next, base.step, base.next) == ("major", "2.0.0", "major", "B")
    assert design.causes == base.causes == (1,)
    assert (base.warning, top.step) == ("", "")
    assert design.warning == "1.0.1 is a smaller step than the changes ask for, which is 2.0.0"


def test_a_price_asks_for_a_patch() -> None:
    design, base, _ = advice(review(*DETAIL, labelled("B")))
    assert (design.step, design.next, design.warning, base.step) == ("patch", "1.0.1", "", "patch")


@pytest.mark.parametrize(
    ("letter", "warning"),
    [
        ("A", "it changed and still says A"),
        ("B", ""),
        ("C", ""),
        ("7", ""),
        ("I", "I: I is left out of revision letters, since it looks like a figure or a blank"),
    ],
)
def test_a_declared_letter_that_stays_or_is_not_used_is_told(letter: str, warning: str) -> None:
    assert advice(review(*SWAP, labelled(letter)))[1].warning == warning


def test_a_label_that_goes_back_is_told(demo: Path) -> None:
    told = {item.name: item.warning for item in advice(review_revisions("rev-c", "rev-b", repository=demo))}
    assert told[""] == "rev-b goes back behind rev-c"
    assert told["base"] == "B goes back behind C"


def test_nothing_asks_for_nothing(demo: Path) -> None:
    assert {item.step for item in advice(review_revisions("rev-a", "rev-a", repository=demo))} == {""}
