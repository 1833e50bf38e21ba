"""Signals: renamed, renamed and moved, or really another one."""

from __future__ import annotations

import pytest

from revdiff.compare.comparison import compare_designs
from tests.compare.boards import changes, design, told


def test_a_rename_everywhere_is_one_change_and_nothing_else() -> None:
    old = design(pins="A:out B:in", contacts={"J1": "A B GND"}, boards=[{"J1": "A B GND"}])
    new = design(pins="LAMP:out B:in", contacts={"J1": "LAMP B GND"}, boards=[{"J1": "LAMP B GND"}])
    (change,) = changes(old, new)
    assert (change.kind, change.before, change.after, change.board) == ("signal.renamed", "A", "LAMP", "board0, main")


def test_a_rename_on_one_board_only_names_that_board() -> None:
    old = design(pins="A:out:TIM", contacts={"J1": "A B GND"}, boards=[{"J1": "A B GND"}])
    new = design(pins="LAMP:out:TIM", contacts={"J1": "LAMP B GND"}, boards=[{"J1": "A B GND"}])
    (change,) = changes(old, new)
    assert (change.kind, change.board) == ("signal.renamed", "main")


def test_one_contact_alone_is_given_to_another_signal_where_another_board_keeps_the_name() -> None:
    old = design(contacts={"J1": "A B GND"}, boards=[{"J1": "A B GND"}])
    new = design(contacts={"J1": "LAMP B GND"}, boards=[{"J1": "A B GND"}])
    (change,) = changes(old, new)
    assert (change.kind, change.subject) == ("contact.signal", "J1.1")


def test_a_rename_with_a_move_is_both_and_no_more() -> None:
    old = design(pins="A:out:TIM B - C", contacts={"J1": "A B"})
    new = design(pins="- B LAMP:out:TIM C", contacts={"J1": "LAMP B"})
    assert told(old, new) == ["signal.renamed LAMP", "pin.moved LAMP"]


def test_a_rename_is_found_on_a_connector_that_was_numbered_anew() -> None:
    old = design(contacts={"J1": "A B C D E F G H"}, pins="C")
    new = design(contacts={"J1": "H G F E D LAMP B A"}, pins="LAMP")
    assert told(old, new) == ["contact.moved J1 (numbered from the other end)", "signal.renamed LAMP"]


def test_a_rename_that_one_board_shows_settles_it_on_another() -> None:
    # On the second board the old contact went to a new signal and the renamed one came at another place.
    old = design(contacts={"J1": "A B GND -"}, boards=[{"J1": "A B GND"}, {"J1": "A B GND"}])
    new = design(contacts={"J1": "NEW B GND LAMP"}, boards=[{"J1": "LAMP B GND"}, {"J1": "LAMP B GND"}])
    assert told(old, new) == ["contact.moved LAMP", "contact.signal J1.1", "signal.renamed LAMP"]


def test_a_true_reassignment_is_no_rename() -> None:
    # Same pin, but it does the opposite now.
    old = design(pins="A B VALVE:out:TIM3")
    new = design(pins="A B DOOR:in:GPIO")
    assert told(old, new) == ["pin.signal U1.3"]


def test_a_name_that_is_still_in_use_is_not_renamed() -> None:
    old = design(pins="A B", contacts={"J1": "A B"})
    new = design(pins="A B", contacts={"J1": "A X"})
    assert told(old, new) == ["contact.signal J1.2"]


def test_a_rename_carries_its_evidence() -> None:
    (change,) = changes(design(pins="A:out:TIM B"), design(pins="LAMP:out:TIM B"))
    assert change.match is not None
    assert change.match.evidence == "the same 1 of 1 pins and contacts, 2 of 2 stated facts about them equal"


@pytest.mark.parametrize(
    ("old", "new", "kind"),
    [
        # Direction alone is shared by half of all pins.
        ("A:out", "LAMP:out", "pin.signal"),
        ("A", "LAMP", "pin.signal"),
        ("HEAT1:out", "HEAT2:out", "pin.signal"),
        ("SENSE_A:in", "SENSE_B:in", "pin.signal"),
        ("TX:out", "RX:out", "pin.signal"),
        ("HEAT:out", "HEATER:out", "signal.renamed"),
        ("RESET", "nRESET", "signal.renamed"),
        ("A:out:TIM3", "LAMP:out:TIM3", "signal.renamed"),
        # A voltage is identity.
        ("+3V3:supply", "+5V:supply", "pin.signal"),
    ],
)
def test_one_pin_proves_no_rename(old: str, new: str, kind: str) -> None:
    assert [item.kind for item in changes(design(pins=f"{old} B"), design(pins=f"{new} B"))] == [kind]


def test_strict_names_takes_another_name_for_another_signal() -> None:
    assert told(design(pins="A B"), design(pins="LAMP B"), strict=True) == ["pin.signal U1.1"]


def test_the_renames_can_be_asked_for() -> None:
    comparison = compare_designs(
        design(pins="A B", contacts={"J1": "A"}), design(pins="LAMP B", contacts={"J1": "LAMP"})
    )
    assert (comparison.renames.of("main", "a"), comparison.renames.of("main", "b")) == ("lamp", "b")


_FIRMWARE = '[firmware.f]\nversion = "1"\nboard = "main"\nneeds = "needs.csv"\n'


def test_a_contract_that_keeps_the_old_name_did_not_change() -> None:
    from revdiff.compare.comparison import compare_designs as compare
    from tests.support import load

    files = {
        "revdiff.toml": f'[design]\nname = "d"\n[boards.main]\npins = "pins.csv"\n{_FIRMWARE}',
        "needs.csv": "Signal,Pin\nA,1\nB,2\n",
        "pins.csv": "Pin,Signal,Function\n1,A,TIM3\n2,B,TIM4\n",
    }
    renamed = {**files, "pins.csv": files["pins.csv"].replace("1,A", "1,LAMP")}
    assert [item.kind for item in compare(load(files), load(renamed)).changes] == ["signal.renamed"]


def test_a_supply_of_another_voltage_is_one_change_and_no_rename() -> None:
    old = design(pins="+3V3:supply B", contacts={"J1": "+3V3 B GND"})
    new = design(pins="+5V:supply B", contacts={"J1": "+5V B GND"})
    comparison = compare_designs(old, new)
    assert [(item.kind, item.before, item.after) for item in comparison.changes] == [("signal.voltage", "+3V3", "+5V")]
    assert comparison.renames.of("main", "+3v3") == "+3v3"


def test_a_supply_that_keeps_its_voltage_is_renamed() -> None:
    old = design(pins="+3V3:supply B", contacts={"J1": "+3V3 B GND"})
    new = design(pins="VDD_3V3:supply B", contacts={"J1": "VDD_3V3 B GND"})
    assert told(old, new) == ["signal.renamed VDD_3V3"]
