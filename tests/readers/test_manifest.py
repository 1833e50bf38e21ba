"""The manifest: what it may say, and how each slip is told."""

from __future__ import annotations

import pytest

from revdiff.design.diagnostic import FaultyDesign
from revdiff.readers.faults import Faults
from revdiff.readers.manifest import Manifest, read_manifest
from tests.readers.memory import load

BOARD = '[boards.base]\nparts = "parts.csv"\n'


def read(text: str | bytes) -> Manifest:
    return read_manifest(text.encode() if isinstance(text, str) else text, Faults())


def faults(text: str | bytes) -> list[str]:
    with pytest.raises(FaultyDesign) as caught:
        read(text)
    return [str(item) for item in caught.value.diagnostics]


def test_names_title_and_own_keys_are_kept() -> None:
    found = read('[design]\nname = "demo"\ntitle = "Demo board"\nlicence = "open"\n' + BOARD)
    assert (found.name, found.title, dict(found.extra)) == ("demo", "Demo board", {"licence": "open"})


def test_a_board_names_its_tables_by_path_or_by_section() -> None:
    found = read('[boards.base]\nparts = "./a//parts.csv"\npins = { file = "pins.csv", delimiter = ";" }\n')
    tables = found.boards["base"].tables
    assert (tables["parts"].file, tables["pins"].file, tables["pins"].delimiter) == ("a/parts.csv", "pins.csv", ";")


def test_a_table_can_be_a_section_of_its_own() -> None:
    found = read('[boards.base.parts]\nfile = "p.csv"\nheader_row = 4\n')
    assert found.boards["base"].tables["parts"].header_row == 4


def test_own_keys_of_a_board_are_kept() -> None:
    assert dict(read(BOARD + 'outline = "80 x 60 mm"\n').boards["base"].extra) == {"outline": "80 x 60 mm"}


def test_a_joint_names_board_and_connector_on_both_sides() -> None:
    joint = read(BOARD + '[[joints]]\na = "base.j1"\nb = "base.J2"\ncontacts = { 1 = 2, "2" = "1" }\n').joints[0]
    assert (joint.board_a, joint.connector_a, joint.connector_b) == ("base", "J1", "J2")
    assert joint.contacts == (("1", "2"), ("2", "1"))


def test_a_board_name_may_hold_a_dot() -> None:
    joint = read('[boards."base.1"]\nparts = "p.csv"\n[[joints]]\na = "base.1.J1"\nb = "base.1.J2"\n').joints[0]
    assert (joint.board_a, joint.connector_a) == ("base.1", "J1")


def test_firmware_of_the_only_board_needs_no_board() -> None:
    entry = read(BOARD + '[firmware.pump]\nversion = "1.0"\nclock = "8 MHz"\n').firmware["pump"]
    assert (entry.name, entry.board, entry.device, entry.clock) == ("pump", "base", "U1", "8 MHz")


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("a = ", "revdiff.toml:1", "no valid TOML"),
        ("[design]\nname = 'x'\nname = 'y'\n", "revdiff.toml:3", "no valid TOML"),
        (b'[design]\nname = "\xb5"\n', "revdiff.toml:2", "0xb5 is no UTF-8"),
        ("x = " + "[" * 3000, "revdiff.toml:1", "nested too deep"),
        ("x = " + "9" * 5000, "revdiff.toml:1", "no valid TOML"),
        ("x = 0x" + "f" * 5000, "revdiff.toml:1", "64 bits"),
        ("", "revdiff.toml:1", "names no boards"),
        ("boards = 3\n", "revdiff.toml:1", "boards can't be read"),
        ("[boards.base]\n", "revdiff.toml:1", "names no table"),
        ("[boards.base]\nparts = 3\n", "revdiff.toml:2", "boards.base.parts can't be read"),
        ("[boards.base]\ntitle = []\nparts = 'p.csv'\n", "revdiff.toml:2", "title can't be read"),
        ("[design]\nformat = 2\n" + BOARD, "revdiff.toml:1", "expected format = 1"),
        ("[desing]\n" + BOARD, "revdiff.toml:1", "found 'desing'; expected design"),
        (BOARD + "[[joints]]\na = 'base'\nb = 'base.J2'\n", "revdiff.toml:4", '"BOARD.CONNECTOR"'),
        (BOARD + "[[joints]]\na = 'base.J1'\nb = 'radio.J2'\n", "revdiff.toml:5", "names the board radio"),
        (BOARD + "[[joints]]\na = 'base.J1'\nb = 'base.J2'\ncontacts = 'crossed'\n", "revdiff.toml:6", "mirrored"),
        (BOARD + "[firmware.x]\nboard = 'radio'\n", "revdiff.toml:4", "for no board of this manifest"),
        (BOARD + "[firmware.x]\nneeds = '/etc/passwd'\n", "revdiff.toml:4", "leads outside the design"),
    ],
)
def test_each_slip_is_told_at_its_line(text: str | bytes, place: str, says: str) -> None:
    message = faults(text)[0]
    assert message.startswith(place)
    assert says in message


@pytest.mark.parametrize(
    "path",
    ["../parts.csv", "/etc/passwd", "a/../../b.csv", "C:/parts.csv", r"..\\parts.csv", ".git/config", "", "a\\u0000b"],
)
def test_no_path_leads_out_of_the_design(path: str) -> None:
    assert "leads outside the design" in faults(f'[boards.base]\nparts = "{path}"\n')[0]


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ("delimiter = ';;'", 'expected one character, such as ";"'),
        ("delimiter = '\"'", "delimiter can't be read"),
        ("header_row = 0", "expected a whole number from 1"),
        ("header_row = true", "header_row can't be read"),
        ("package_code = 'imperial'", 'expected "inch" or "metric"'),
        ("decimal = ','", 'expected "point" or "comma"'),
        ("value_code = 'yes'", "expected true or false"),
        ("columns = 'Pos'", "columns can't be read"),
        ("columns = { designater = 'Pos' }", "unknown field; found 'designater'"),
        ("columns = { designator = 0 }", "or its position from 1"),
        ("header = false", "expected columns = { designator = 1, ... }"),
        ("delimeter = ';'", "unknown key; found 'delimeter'; expected delimiter"),
        ("colour = 'red'", "unknown key; found 'colour'"),
    ],
)
def test_a_wrong_key_of_a_table_is_told(keys: str, says: str) -> None:
    assert says in faults(f"[boards.base]\nparts = {{ file = 'p.csv', {keys} }}\n")[0]


def test_all_slips_are_told_in_one_go() -> None:
    told = faults("[boards.base]\nparts = '../x'\npins = 7\n[firmware.a]\nboard = 'nobody'\n")
    assert len(told) == 3


def test_a_missing_manifest_is_told() -> None:
    with pytest.raises(FaultyDesign, match=r"memory has no revdiff\.toml at the root of the design"):
        load({"parts.csv": "Designator\nR1\n"})


def test_a_byte_order_mark_before_the_manifest_is_no_fault() -> None:
    assert read(b"\xef\xbb\xbf" + BOARD.encode()).boards


def test_packing_suffixes_are_left_to_the_reader_of_sections() -> None:
    assert read('[design]\npacking_suffixes = ["-TR"]\n' + BOARD).extra["packing_suffixes"] == ["-TR"]
