"""Small netlists by their table of cases, in both open standards and both ways."""

from __future__ import annotations

import pytest

from revdiff.compare.comparison import compare_designs
from revdiff.compare.kinds import KINDS
from revdiff.design import Design
from tests.nets.cases import CASES, Case
from tests.nets.writing import as_356, as_2581, files, parsed
from tests.support import load


def pair(case: Case, form: str) -> tuple[Design, Design]:
    new = case.old
    for before, after in case.edits:
        assert before in new, f"{before!r} is not in the nets"
        new = new.replace(before, after, 1)
    write, suffix = (as_356, "ipc") if form == "356" else (as_2581, "xml")
    both = []
    for index, text in enumerate((case.old, new)):
        parts, pins, contacts = (
            item if isinstance(item, str) else item[index] for item in (case.parts, case.pins, case.contacts)
        )
        both.append(load(files(write(parsed(text)), suffix, parts, pins, contacts)))
    return both[0], both[1]


@pytest.mark.parametrize("form", ["356", "2581"])
@pytest.mark.parametrize("case", CASES, ids=lambda item: item.name)
def test_a_case_is_told_as_a_person_would(case: Case, form: str) -> None:
    old, new = pair(case, form)
    told = [
        f"{item.kind} {item.subject}{f' ({item.pattern})' * bool(item.pattern)}"
        for item in compare_designs(old, new).changes
    ]
    assert sorted(told) == sorted(case.told)


MIRROR = {
    "net.split": "net.merged",
    "net.merged": "net.split",
    "net.left": "net.joined",
    "net.joined": "net.left",
    "pin.opened": "pin.connected",
    "pin.connected": "pin.opened",
    "net.part_added": "net.part_removed",
    "net.part_removed": "net.part_added",
    "part.added": "part.removed",
    "part.removed": "part.added",
}


@pytest.mark.parametrize("case", CASES, ids=lambda item: item.name)
def test_the_way_back_is_the_mirror_image(case: Case) -> None:
    old, new = pair(case, "356")
    there, back = compare_designs(old, new).changes, compare_designs(new, old).changes
    assert sorted(MIRROR.get(item.kind, item.kind) for item in there) == sorted(item.kind for item in back)
    nets = [
        sorted(
            tuple(sorted([(wire.net_before, wire.net_after)[:: 1 if way else -1] for wire in item.wires]))
            for item in changes
        )
        for way, changes in ((True, there), (False, back))
    ]
    assert nets[0] == nets[1]


@pytest.mark.parametrize("case", CASES, ids=lambda item: item.name)
def test_a_netlist_against_itself_has_no_change(case: Case) -> None:
    _, new = pair(case, "356")
    assert compare_designs(new, new).changes == ()


def test_every_kind_of_net_event_has_a_case() -> None:
    told = {text.partition(" ")[0] for case in CASES for text in case.told}
    assert {"pin.opened", "pin.connected", "signal.voltage"} <= told
    assert {kind for kind in KINDS if kind.startswith("net.")} <= told


def test_what_is_said_of_pads_is_told_once_for_all_parts_alike() -> None:
    nets = as_356(parsed("A: U1.1 R1.1 R2.1\nB: U1.2 R1.2 R2.2"))
    lines = nets.decode().splitlines()
    other = "\n".join(line.replace("A01", "A02") if line[20:22] in ("R1", "R2") else line for line in lines)
    old, new = (load(files(data, "ipc", "")) for data in (nets, other.encode()))
    assert [(item.kind, item.subject, item.before, item.after) for item in compare_designs(old, new).changes] == [
        ("pad.changed", "R1, R2", "access A01", "access A02")
    ]
