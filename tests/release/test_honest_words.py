"""No sentence of fitness, safety or sameness where its input is missing; else counts of what was compared."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pytest

from revdiff.judge import judge_change
from revdiff.release.pin_notice import pin_notice
from revdiff.release.review import Review
from revdiff.release.scope import documents_agree, nothing_changed
from revdiff.release.verdicts import verdicts
from tests.judge.pairs import PAIRS
from tests.release.support import notes_text
from tests.support import SMALL, Files, MemoryRevision, compare, edit, load

# What promises that things fit, are safe or are the same.
PROMISE = re.compile(
    r"none was found|no combination|goes with|nothing changed|no (?:firmware|board)[^,]* hazard|same parts|None of"
)


def design(*tables: str, joints: bool = False, contract: bool = False) -> dict[str, str]:
    """The small design with only these tables of its two boards."""
    wanted = {f"{item}.csv" for item in tables}
    files = {path: text for path, text in SMALL.items() if path.rpartition("/")[2] in wanted}
    names = {board: [path for path in files if path.startswith(f"{board}/")] for board in ("base", "top")}
    text = '[design]\nname = "d"\n'
    for board, paths in names.items():
        if paths:
            lines = [f'{path.partition("/")[2].removesuffix(".csv")} = "{path}"' for path in paths]
            text += "\n".join([f"[boards.{board}]", *lines, ""])
    text += '[[joints]]\na = "base.J1"\nb = "top.J1"\n' if joints else ""
    if contract:
        text += '[firmware.blink]\nversion = "1.0"\nboard = "base"\nneeds = "blink.csv"\n'
        files["blink.csv"] = SMALL["blink.csv"]
    return {**files, "revdiff.toml": text}


def review(old: Files, new: Files) -> Review:
    comparison = compare(old, new)
    identities = MemoryRevision(old, "v1").identity, MemoryRevision(new, "v2").identity
    return Review(*identities, comparison, judge_change(comparison, "v1", "v2"))


def said(found: Review) -> dict[str, str]:
    """What each reader is told, and the sentences where nothing was found."""
    notes = notes_text(found)
    parts = {item.reader: item.sentence for item in verdicts(found)}
    parts["safety"] = re.findall(r"^## Safety .*\n(.*)", notes, re.MULTILINE)[0]
    fits = notes.partition("## What to use together")[2].splitlines()
    parts["boards"] = next(line for line in fits if line.startswith("- Boards on each other"))
    parts["firmware"] = next(line for line in fits if line.startswith("- Firmware on boards"))
    parts["set"] = fits[1]
    parts["pins"] = pin_notice(found).clear
    return parts


PARTS, PINS, CONTACTS = ("parts",), ("pins",), ("connectors", "contacts")
STACK = ("Stacking", "boards")
RUN = ("Firmware", "firmware", "pins")
BUILD = ("Parts",)

# design -> who can't be promised anything
CASES: Mapping[str, tuple[dict[str, str], tuple[str, ...]]] = {
    "parts lists alone": (design(*PARTS), (*STACK, *RUN, "safety", "set")),
    "a pin map alone": (design(*PINS), (*STACK, *BUILD)),
    "contacts without joints": (design(*CONTACTS), (*STACK, *RUN, *BUILD, "safety", "set")),
    "contacts with joints": (design(*CONTACTS, joints=True), (*RUN, *BUILD)),
    "joints of connectors without contacts": (
        design("connectors", "parts", joints=True),
        (*STACK, *RUN, "safety", "set"),
    ),
    "all of it": (dict(SMALL), ()),
}


@pytest.mark.parametrize("name", list(CASES))
def test_nobody_is_promised_what_was_not_judged(name: str) -> None:
    files, without = CASES[name]
    told = said(review(files, files))
    for reader in without:
        assert "ot judged" in told[reader], told[reader]
        assert not PROMISE.search(told[reader]), told[reader]
    for reader in told.keys() - set(without):
        assert re.search(r"\d|nobody can tell", told[reader]), f"{reader}: {told[reader]}"


@pytest.mark.parametrize("name", list(CASES))
def test_no_page_says_that_all_goes_with_all(name: str) -> None:
    notes = notes_text(review(CASES[name][0], CASES[name][0]))
    assert "goes with every" not in notes
    assert "nothing changed" not in notes.casefold().replace("nothing changed that stacked boards can see", "")


def test_half_of_a_safety_sentence_says_which_half_is_missing() -> None:
    files = CASES["a pin map alone"][0]
    told = said(review(files, files))["safety"]
    assert told.startswith("No combination of old and new firmware and boards was found to be hazardous, in 8 pins.")
    assert told.endswith("Not judged: there is one board, and no joint to another.")


def test_what_only_one_revision_has_is_told_where_nothing_changed() -> None:
    with_pins, without = design("parts", "pins"), design("parts")
    comparison = compare(without, with_pins)
    assert "the pin map of base, which only the new revision has" in nothing_changed(comparison)
    assert nothing_changed(compare(with_pins, with_pins)) == "No change was found in 8 parts, 8 pins."


def test_designs_without_a_common_table_are_not_called_the_same() -> None:
    assert nothing_changed(compare(design("parts"), design("pins"))).startswith("Nothing was compared")


def test_one_revision_without_a_pin_map_is_judged_by_neither() -> None:
    told = said(review(design("parts"), design("parts", "pins")))
    for reader in RUN:
        assert "ot judged" in told[reader] or "Nobody can tell" in told[reader]
        assert not PROMISE.search(told[reader])


def test_pins_that_changed_without_a_contract_are_no_all_clear() -> None:
    old = design("pins")
    new = edit(old, ("base/pins.csv", "PA0,LED,GPIO,out,high", "PA0,LED,GPIO,out,low"))
    told = {item.reader: item for item in verdicts(review(old, new))}["Firmware"]
    assert told.answer != "yes"


def test_a_load_that_only_its_name_proposes_is_called_safe_by_no_document() -> None:
    """A heater's pin became a lamp's, and no column says what either switches."""
    rows = "Pin,Name,Net,Dir\n1,PA0,{},out\n2,PA1,{},out\n"
    old, new = (
        {**design("pins"), "base/pins.csv": rows.format(*order)} for order in (("LED", "HEATER"), ("HEATER", "LED"))
    )
    told = said(review(old, new))
    assert "nobody can tell" in told["pins"]
    assert "nobody can tell" in told["safety"]
    assert not PROMISE.search(told["safety"])


@pytest.mark.parametrize(
    ("files", "said"),
    [
        (design("parts"), "Not judged: no two documents of a board"),
        (design("contacts", "connectors"), "Not judged: no two documents of a board"),
        (design("parts", "pins"), "No contradiction was found, in 1 pair of documents"),
        (dict(SMALL), "No contradiction was found, in 4 pairs of documents"),
    ],
)
def test_documents_agree_only_where_two_could_be_held_against_each_other(files: dict[str, str], said: str) -> None:
    assert documents_agree(load(files)).startswith(said)


def test_what_a_fault_hides_is_not_called_the_same() -> None:
    """The second row of a part is left out, in both revisions alike; what it says changed."""
    old = edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R1,1,4k7"))
    new = edit(old, ("base/parts.csv", "R1,1,4k7", "R1,1,47k"))
    found = review(old, new)
    assert found.brings_faults
    assert "Not compared: what 1 fault in the data left out" in nothing_changed(found.comparison)
    parts = next(item.sentence for item in verdicts(found) if item.reader == "Parts")
    assert parts.endswith("but for what 1 fault in the data left out.")
    assert "left out" not in str([item.sentence for item in verdicts(review(SMALL, SMALL))])


@pytest.mark.parametrize(
    ("edits", "reader", "why"),
    [
        (  # a cell whose word nobody knows
            [("base/contacts.csv", "J1,2,GND,ground", "J1,2,GND,xground")],
            "Stacking",
            r": boards\.base\.contacts\.direction of J1\.2: it was ground, and is no longer stated\.$",
        ),
        (  # a fault of a table, of which it isn't known what stood there
            [("blink.csv", "HEAT,2,", "HEAT,2,\nHEAT,3,")],
            "Firmware",
            r": .*blink\.csv:\d+.* \(.*\): faults in the data",
        ),
        (  # two reasons
            [("base/contacts.csv", "GND,ground", "GND,xground"), ("top/contacts.csv", "J1,1,+5V,supply", "J1,1,+5V,")],
            "Stacking",
            r"it was .*, and is no longer stated; and 1 more\.$",
        ),
        (  # a finding that is a doubt
            [("base/pins.csv", "U1,1,PA0,", "U1,1,PB0,")],
            "Firmware",
            r": base\.U1: \w.*\.$",
        ),
    ],
)
def test_where_nobody_can_tell_the_first_reason_is_told(
    edits: list[tuple[str, str, str]], reader: str, why: str
) -> None:
    told = {item.reader: item for item in verdicts(review(SMALL, edit(SMALL, *edits)))}
    assert told[reader].answer == "unknown"
    assert re.search(why, told[reader].sentence)


def test_a_list_that_says_no_more_what_is_placed_is_no_list_of_the_same_parts() -> None:
    renamed = edit(
        SMALL, ("base/parts.csv", "Fitted", "Variante"), ("base/parts.csv", "RA-10K,1%,,,yes", "RA-10K,1%,,,nein")
    )
    found = {item.reader: item for item in verdicts(review(SMALL, renamed))}["Parts"]
    assert found.answer == "unknown"
    assert "boards.base.parts.fitted" in found.sentence


def test_notes_tell_of_a_pin_what_their_table_of_pins_has_no_column_for() -> None:
    pair = PAIRS["firmware-start-pin-reused"]
    notes = notes_text(review(pair.old, pair.fired))
    section = notes.partition("## What else will not work")[2].partition("\n## ")[0]
    assert "the boot-strap pin 6 (BOOT0)" in section
