"""Comparing two revisions tells what they newly break, by the same judgement as a stack's own."""

from __future__ import annotations

from revdiff.judge import judge_stack
from revdiff.judge.finding import Finding
from tests.stack.support import MANIFEST, MID, THREE, TOP, Edit, stack_of
from tests.support import SMALL, edit, judged, load

CLASH: tuple[Edit, ...] = (("top/pins.csv", "0x21", "0x20"),)


def told(old: tuple[Edit, ...], new: tuple[Edit, ...], rule: str) -> list[Finding]:
    """The findings of one rule between two states of the design of three boards; ``new`` comes on top of ``old``."""
    before = edit(THREE, *old)
    return [item for item in judged(before, edit(before, *new)).findings if item.rule == rule]


def test_what_is_newly_broken_is_told_with_its_pairing_and_crossing() -> None:
    [finding] = told((), CLASH, "stack-bus-address")
    assert finding.pairing == "mid@old/new + top@new"
    assert finding.crossing == "mid with new top"
    assert finding.changes


def test_what_was_broken_before_is_not_told_again() -> None:
    other: Edit = (MID, "J1,6,nCS,in,3.3 V,", "J1,6,nCS,in,3.3 V,0.1 A")
    assert judged(edit(THREE, *CLASH), edit(THREE, *CLASH, other)).findings
    assert told(CLASH, (other,), "stack-bus-address") == []


def test_both_crossings_of_old_and_new_are_judged() -> None:
    swap: tuple[Edit, ...] = (
        ("mid/pins.csv", "0x20", "0x22"),
        ("top/pins.csv", "0x21", "0x20"),
    )
    [finding] = told((), swap, "stack-bus-address")
    assert finding.pairing == "mid@old + top@new"


def test_a_stack_that_breaks_in_comparing_does_not_fit_by_itself() -> None:
    """One judgement: the crossing that compare tells is what judging that stack says."""
    [finding] = told((), CLASH, "stack-bus-address")
    old, new = load(THREE), load(edit(THREE, *CLASH))
    verdict = judge_stack(stack_of((old, "base"), (old, "mid"), (new, "top")))
    [same] = [item for item in verdict.findings if item.rule == "stack-bus-address"]
    assert (same.subject, same.message, same.arithmetic) == (finding.subject, finding.message, finding.arithmetic)


def test_the_policy_comes_from_the_old_revision() -> None:
    """A change can't allow itself what it breaks."""
    allow: Edit = (MANIFEST, "[design]", '[stacking]\nallow = ["stack-bus-address"]\n[design]')
    assert told((), (*CLASH, allow), "stack-bus-address")
    assert told((allow,), CLASH, "stack-bus-address") == []


def test_a_change_that_no_neighbour_sees_judges_no_stack() -> None:
    notation: Edit = (TOP, "supply in,3.3 V,0.4 A", "supply in,3300 mV,400 mA")
    assert judged(THREE, edit(THREE, notation)).findings == ()


def test_checks_of_stacking_that_could_not_be_made_are_told_in_few_lines() -> None:
    judgement = judged(THREE, edit(THREE, *CLASH))
    lines = [
        item for item in judgement.not_checked if item.needs.startswith("buses.NAME") and "capacitance" in item.what
    ]
    assert len(lines) == 1


def test_contacts_of_a_joint_meet_by_place_when_comparing_too() -> None:
    header = "Gender,Part number", "Gender,Part number,Numbering"
    old = edit(
        SMALL,
        ("base/connectors.csv", *header),
        ("base/connectors.csv", "6,1,2.54 mm,male,PH-6", "6,2,2.54 mm,male,PH-6,zig-zag"),
        ("top/connectors.csv", *header),
        ("top/connectors.csv", "6,1,2.54 mm,female,PS-6", "6,2,2.54 mm,female,PS-6,zig-zag"),
    )
    new = edit(old, ("top/connectors.csv", "zig-zag", "row-wise"))
    moved = [item.subject for item in judged(old, new).findings]
    assert "base.J1.5–top.J1.3" in moved  # row-wise 3 is where zig-zag has 5
