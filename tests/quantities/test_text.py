"""Cleaning, folding and squeezing of text."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given

from revdiff.quantities.text import clean, fold, hidden, squeeze
from tests.quantities.strategies import anything, untimed


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        ("10k", "10k"),
        ("  10k\t", "10k"),
        ("10k  1%\n0603", "10k 1% 0603"),
        ("\u00a010k\u00a01%\u202f", "10k 1%"),  # no-break spaces
        ("\ufeffDesignator", "Designator"),  # byte-order mark
        ("R\u200b1", "R1"),  # zero-width space
        ("R\u202e1\u202c", "R1"),  # bidirectional override, and its end
        ("R1\x00", "R1"),
        ("R\u00ad1", "R1"),  # soft hyphen
        ("0.1 \u03bcF", "0.1 \u00b5F"),  # Greek mu to micro sign
        ("4.7 k\u2126", "4.7 k\u03a9"),  # ohm sign to Greek omega
        ("Gro\u0308\u00dfe", "Gr\u00f6\u00dfe"),  # form NFC
        ("\ud800R1", "R1"),  # half a surrogate pair
        ("", ""),
        (" \u200b ", ""),
    ],
)
def test_clean_removes_what_does_not_show_and_keeps_the_rest(raw: str, expected: str) -> None:
    assert clean(raw) == expected


def test_clean_keeps_case_and_visible_signs() -> None:
    assert clean("~{RESET} #1, µC") == "~{RESET} #1, µC"


@given(anything)
@untimed
def test_cleaning_twice_changes_nothing_more(text: str) -> None:
    cleaned = clean(text)
    assert clean(cleaned) == cleaned
    assert fold(fold(text)) == fold(text)
    assert squeeze(squeeze(text)) == squeeze(text)


@given(anything)
@untimed
def test_clean_text_hides_nothing_and_is_in_form_nfc(text: str) -> None:
    assert hidden(clean(text)) == ()
    assert unicodedata.is_normalized("NFC", clean(text))


def test_long_text_is_cleaned_like_short_text() -> None:
    assert clean("\u00a0" + "µ x  " * 500) == " ".join(["µ x"] * 500)
    assert fold("Ä" * 500) == "ä" * 500


@pytest.mark.parametrize(("one", "other"), [("R1", "r1"), ("Straße", "STRASSE"), ("0.1 ΜF", "0.1 µf")])
def test_fold_ignores_case(one: str, other: str) -> None:
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), [("R1", "R01"), ("a b", "ab"), ("SOT-23", "SOT23")])
def test_fold_keeps_what_is_more_than_case(one: str, other: str) -> None:
    assert fold(one) != fold(other)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("R1", ()),
        ("4.7 kΩ", ()),
        ("a\tb\nc", ()),  # blanks that a cell may hold
        ("R\u200b1", ("U+200B ZERO WIDTH SPACE",)),
        ("\ufeffR1", ("U+FEFF ZERO WIDTH NO-BREAK SPACE",)),
        ("\u202eR1", ("U+202E RIGHT-TO-LEFT OVERRIDE",)),
        ("R1\x00\x1b\x00", ("U+0000 NULL", "U+001B ESCAPE")),
    ],
)
def test_hidden_names_each_invisible_character_once(text: str, names: tuple[str, ...]) -> None:
    # Names of the Unicode Character Database; control characters have none there.
    assert hidden(text) == names


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Part number", "partnumber"),
        ("PART_NUMBER", "partnumber"),
        ("Part-No.", "partno"),
        ("5V tolerant?", "5vtolerant"),
        ("Größe (mm)", "grössemm"),
        ("値", "値"),
        ("***", ""),
    ],
)
def test_squeeze_keeps_letters_and_digits_of_any_script(text: str, expected: str) -> None:
    assert squeeze(text) == expected
