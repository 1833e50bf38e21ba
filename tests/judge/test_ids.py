"""Ids of findings: what a waiver, an issue or a release note names stays the same whatever the revisions are called."""

from __future__ import annotations

from revdiff.judge import judge_change
from tests.support import SMALL, compare, edit

NEW = edit(
    SMALL,
    ("base/pins.csv", "U1,1,PA0,LED,GPIO,out,high", "U1,1,PA0,LED,GPIO,out,low"),
    ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,12 V"),
)
NO_CONTRACT = {
    path: text.partition("[firmware.blink]")[0] if path == "revdiff.toml" else text for path, text in SMALL.items()
}


def ids(old_name: str, new_name: str) -> list[str]:
    return [item.id for item in judge_change(compare(SMALL, NEW), old_name, new_name).findings]


def test_an_id_is_rule_roles_and_subject() -> None:
    assert "joint-supply-voltage/new base + top/base.J1.1–top.J1.1" in ids("rev-a", "rev-b")
    assert "firmware-active-level/old blink 1.0 + new base/base.U1: LED" in ids("rev-a", "rev-b")


def test_an_id_holds_no_name_of_a_revision() -> None:
    assert ids("rev-a", "rev-b") == ids("v1", "worktree")


def test_firmware_without_a_contract_is_named_by_its_controller() -> None:
    changed = edit(NO_CONTRACT, ("base/pins.csv", "PA0,LED,GPIO,out,high", "PA0,LED,GPIO,out,low"))
    found = [item.id for item in judge_change(compare(NO_CONTRACT, changed), "rev-a", "rev-b").findings]
    assert "firmware-active-level/old firmware for base.U1 + new base/base.U1: LED" in found
    assert not [name for name in found if "rev-" in name]


def test_two_findings_never_share_an_id() -> None:
    assert len(ids("a", "b")) == len(set(ids("a", "b")))
