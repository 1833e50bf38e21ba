"""Pairs that the user states win, and what the data can't decide is listed beside the plain reading."""

from __future__ import annotations

import pytest

from revdiff.compare.change import OtherReading
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.judge import judge_change
from revdiff.readers.loader import Loader
from tests.compare.boards import design
from tests.readers.memory import MemoryRevision
from tests.support import load

_TOML = '[design]\nname = "d"\n[boards.main]\nparts = "parts.csv"\n'
_COMMON = ", ".join(f"R{number}" for number in range(1, 20))


def _files(rows: str, stated: str = "") -> dict[str, str]:
    section = f"[boards.main.renumbered]\n{stated}\n" if stated else ""
    return {"revdiff.toml": _TOML + section, "parts.csv": f"Designator;Value\n{rows}\n"}


def _compared(before: dict[str, str], after: dict[str, str]) -> Comparison:
    return compare_designs(load(before), load(after))


def _told(comparison: Comparison) -> list[str]:
    return [f"{item.kind} {item.before or '–'} → {item.after or '–'}" for item in comparison.changes]


OLD = _files(f'"{_COMMON}";1k\nR50;1k')
NEW = f'"{_COMMON}";1k\nR90;1k'


def test_one_of_many_is_told_as_removed_and_added_with_the_other_reading_beside_it() -> None:
    found = _compared(OLD, _files(NEW))
    assert _told(found) == ["part.added – → 1k", "part.removed 1k → –"]
    (reading,) = found.other_readings
    assert (reading.old, reading.new, reading.tie) == (("R50",), ("R90",), False)
    assert [item.other_reading for item in found.changes] == [reading, reading]


def test_a_stated_pair_is_the_same_part() -> None:
    found = _compared(OLD, _files(NEW, 'R50 = "R90"'))
    assert _told(found) == ["part.renumbered R50 → R90"]
    match = found.changes[0].match
    assert match is not None
    assert (match.level, match.confidence) == ("stated", 1.0)


def test_the_way_back_takes_the_pair_the_other_way() -> None:
    assert _told(_compared(_files(NEW, 'R50 = "R90"'), OLD)) == ["part.renumbered R90 → R50"]


def test_what_both_revisions_state_is_of_an_earlier_step() -> None:
    old = _files(f'"{_COMMON}";1k\nR50;1k', 'R50 = "R50"')
    assert "part.renumbered R50 → R90" not in _told(_compared(old, _files(NEW + "\nR50;2k", 'R50 = "R50"')))


@pytest.mark.parametrize(
    ("stated", "message"),
    [
        ('R50 = "R91"', "the parts list has no such part"),
        ('"see note" = "R90"', "its name is no designator"),
        ('R50 = "R90"\nR51 = "R90"', "R50 became R90, too"),
        ("R50 = 3.5", "the parts list has no such part"),
    ],
)
def test_a_pair_that_cannot_be_is_a_fault_at_its_line(stated: str, message: str) -> None:
    files = {name: text.encode() for name, text in _files(NEW, stated).items()}
    (fault,) = [item for item in Loader().load(MemoryRevision(files)).diagnostics if item.severity == "fault"]
    assert message in fault.message
    assert fault.origin.line == 6 + len(stated.splitlines()) - 1


_STATED = "[boards.main.renumbered]\n"


def test_a_stated_connector_is_the_same_though_its_signals_are_others() -> None:
    old = design(contacts={"J2": "A B C", "J5": "K L M"})
    new = design(contacts={"J9": "X Y Z", "J5": "K L M"}, extra=_STATED + 'J2 = "J9"\n')
    for strict, kinds in ((False, ["connector.renumbered"]), (True, ["connector.added", "connector.removed"])):
        changes = compare_designs(old, new, strict_names=strict).changes
        assert [item.kind for item in changes if item.kind.startswith("connector.")] == kinds


def test_a_connector_stated_to_be_the_same_is_none_that_took_the_name_over() -> None:
    old = design(contacts={"J2": "A B C D", "J5": "K L M"})
    new = design(contacts={"J2": "K X Y Z", "J3": "A B C D", "J5": "K L M"}, extra=_STATED + 'J2 = "J2"\n')
    kinds = [f"{item.kind} {item.subject}" for item in compare_designs(old, new).changes]
    assert "connector.added J3" in kinds


def test_a_stated_controller_is_the_same_though_its_pins_are_others() -> None:
    old = design(pins={"U1": "A B C D"})
    new = design(pins={"U5": "A X Y Z"}, extra=_STATED + 'U1 = "U5"\n')
    assert compare_designs(old, new).devices == {"main": {"U1": "U5"}}
    assert compare_designs(old, design(pins={"U5": "A X Y Z"})).devices == {"main": {}}


def test_a_stated_part_that_the_old_revision_lacks_is_told() -> None:
    for stated, told in (('R51 = "R90"', ["main: whether R90 was R51"]), ('R50 = "R90"', [])):
        missing = judge_change(_compared(OLD, _files(NEW, stated)), "old", "new").not_checked
        assert [item.what for item in missing if "whether" in item.what] == told


def test_a_tie_is_listed() -> None:
    old = _files("R1;1k\nR2;2k\nR3;3k\nR4;4k\nR8;9k\nR9;9k")
    new = _files("R1;1k\nR2;2k\nR3;3k\nR4;4k\nR30;9k")
    found = _compared(old, new)
    assert _told(found) == ["part.added – → 9k", "part.removed 9k → –"]
    (reading,) = found.other_readings
    assert reading == OtherReading("main", ("R8", "R9"), ("R30",), reading.confidence, True)
    assert reading in [item.other_reading for item in found.changes]
