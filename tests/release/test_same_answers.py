"""No document calls unbroken, fitting or harmless what ``ready`` and ``stack`` say doesn't fit, or can't be told."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from revdiff.judge import judge_itself
from revdiff.release.clear import firmware_unmade
from revdiff.release.verdicts import verdicts
from tests.release.support import notes_text
from tests.release.test_honest_words import PROMISE, review, said
from tests.support import SMALL, Files, edit

HERE: dict[str, str] = dict(SMALL)
ELSEWHERE = edit(HERE, ("blink.csv", "LED,1,", "LED,6,"))  # the contract has LED on a pin that carries nothing
OTHER_NAMES = edit(HERE, ("top/contacts.csv", "J1,5,HEAT,in", "J1,5,HEATER,in"))
MOVED = edit(
    HERE,
    ("base/pins.csv", "U1,1,PA0,LED,GPIO", "U1,1,PA0,,"),
    ("base/pins.csv", "U1,6,PA5,,,,,,,", "U1,6,PA5,LED,GPIO,out,high,,3.3 V,"),
)
RENAMED = edit(HERE, ("base/contacts.csv", "J1,5,HEAT,out", "J1,5,HOT,out"), ("base/pins.csv", "PA1,HEAT", "PA1,HOT"))


def with_other_part(files: Files) -> dict[str, str]:
    return edit(files, ("base/parts.csv", "R1,1,10k", "R1,1,12k"))


# what happened -> old, new, and how the sentences for those who stack and who write firmware start
CASES: Mapping[str, tuple[Files, Files, str, str]] = {
    "nothing is wrong": (HERE, with_other_part(HERE), "Nothing changed that", "None of 8 pins changed"),
    "broken in both, nothing of it changed": (
        ELSEWHERE,
        with_other_part(ELSEWHERE),
        "Between boards nothing was found broken, but no stack works with new base",
        "Nothing was newly broken, but already broken: base + blink.",
    ),
    "broken in both, its pins changed": (
        ELSEWHERE,
        edit(ELSEWHERE, ("base/pins.csv", "U1,3,PA2,TX,UART1_TX,out,,", "U1,3,PA2,TX,UART1_TX,out,high,")),
        "Between boards nothing was found broken, but no stack works with new base",
        "Nothing was newly broken, but already broken: base + blink.",
    ),
    "newly broken through firmware": (
        HERE,
        MOVED,
        "Between boards nothing was found broken, but no stack works with new base",
        "Don't mix base + blink.",
    ),
    "cured": (
        ELSEWHERE,
        HERE,
        "Nothing changed that",
        "Nothing was newly broken; still broken where old meets new, as it was before: base + blink.",
    ),
    "nobody can tell of either": (
        OTHER_NAMES,
        with_other_part(OTHER_NAMES),
        "Whether old and new boards fit, nobody can tell, and nobody could before",
        "None of 8 pins changed",
    ),
    "explained by the old names": (
        HERE,
        RENAMED,
        "What changed between boards breaks no pairing of old and new ones",
        "By the tables of v2 alone, this doesn't fit: base + blink",
    ),
}


@pytest.mark.parametrize("name", list(CASES))
def test_what_doesnt_fit_is_called_unbroken_to_no_reader(name: str) -> None:
    old, new, stacking, firmware = CASES[name]
    told = {item.reader: item.sentence for item in verdicts(review(old, new))}
    assert told["Stacking"].startswith(stacking)
    assert told["Firmware"].startswith(firmware)


@pytest.mark.parametrize("name", list(CASES))
def test_notes_recommend_no_set_that_is_rejected_when_made_ready(name: str) -> None:
    old, new, *_ = CASES[name]
    found = review(old, new)
    own = [item.answer for item in judge_itself(found.comparison.new, "v2")]
    told = said(found)["set"].partition("1.0. ")[2]
    if "does not fit" in own:
        assert "base" in told
        assert told.startswith(("These don't fit each other: ", "Already broken before: ", "By the new tables alone"))
    elif "cannot tell" in own:
        assert told.startswith("Nobody can tell")
    else:
        assert told.startswith("Nothing was found in this set that is worse")


@pytest.mark.parametrize("name", ["broken in both, nothing of it changed", "broken in both, its pins changed"])
def test_what_was_broken_before_is_said_wherever_something_is_cleared(name: str) -> None:
    told = said(review(*CASES[name][:2]))
    for reader in ("safety", "pins", "firmware", "set"):
        assert "Already broken before: base + blink." in told[reader], reader


def test_a_hazard_that_stood_before_is_not_denied() -> None:
    """Two outputs on one contact, 3.3 V against each other, in both revisions."""
    old = edit(HERE, ("top/contacts.csv", "J1,3,TX,in", "J1,3,TX,out"))
    told = said(review(old, with_other_part(old)))
    assert "Already a hazard before: base + top." in told["safety"]
    assert "newly hazardous" in told["safety"]
    assert not PROMISE.search(told["boards"].partition("before: base + top.")[0])


def test_a_board_that_is_a_hazard_by_itself_is_told_beside_the_set() -> None:
    """A socket that the outside world plugs into carries another voltage: whatever it is stacked with."""
    text = "Connector,Role,Contacts,Rows,Pitch,Gender,Part number\n"
    old = edit(
        HERE,
        ("base/connectors.csv", text, f"{text}J9,outside,2,1,2.54 mm,female,PS-2\n"),
        ("base/contacts.csv", "J1,6,,,,\n", "J1,6,,,,\nJ9,1,VOUT,supply,5 V,1 A\nJ9,2,GND,ground,,1 A\n"),
    )
    new = edit(old, ("base/contacts.csv", "J9,1,VOUT,supply,5 V", "J9,1,VOUT,supply,24 V"))
    notes = notes_text(review(old, new))
    assert "can hurt or destroy" in notes
    told = notes.partition("## What to use together")[2].splitlines()[1]
    assert "Nothing was found in this set" not in told
    assert "told under 1" in told


def test_a_check_is_for_the_readers_of_its_rule_whatever_words_it_uses() -> None:
    """Whether a load is held off "while no firmware runs" is asked by who stacks boards."""
    bare = edit(HERE, ("base/pins.csv", "PA1,HEAT,GPIO,out,high,down", "PA1,HEAT,GPIO,out,high,"))
    found = review(HERE, bare)
    unmade = [item for item in found.not_checked if "no firmware runs" in item.what]
    assert unmade
    assert not {*unmade} & {*firmware_unmade(found)}
    assert all("firmware" in item.audiences or not item.audiences for item in firmware_unmade(found))


def test_parts_that_changed_alike_on_several_boards_are_told_once() -> None:
    new = edit(
        HERE,
        ("base/parts.csv", "R1,1,10k,0603,RA-10K", "R1,1,12k,0603,RA-12K"),
        ("top/parts.csv", "R1,1,10k,0603,RA-10K", "R1,1,12k,0603,RA-12K"),
        ("base/parts.csv", "C1,1,100n,0603,CA-100N", "C1,1,220n,0603,CA-220N"),
    )
    lines = notes_text(review(HERE, new)).partition("## What to build and buy")[2].partition("\n## ")[0].splitlines()
    told = [line for line in lines if line.startswith("- ")]
    assert [line.partition(":**")[0] for line in told] == ["- **base, exchanged", "- **base, top, exchanged"]
    assert "C1" in told[0]
    assert "R1" not in told[0]
    assert "R1 (base), R1 (top): 10k" in told[1]
