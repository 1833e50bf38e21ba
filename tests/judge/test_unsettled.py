"""What the manifest leaves open, or says of another board's parts, must not read as fitting. Figures: Ohm's law."""

from __future__ import annotations

import pytest

from revdiff.judge import judge_stack, member
from revdiff.judge.engine import Verdict
from revdiff.judge.firmware_matrix import firmware_matrix
from tests.support import SMALL, edit, load

BASE, TOP, PINS, MANIFEST = "base/contacts.csv", "top/contacts.csv", "base/pins.csv", "revdiff.toml"
EEPROM = '[software.eeprom]\nboard = "base"\npart = "U2"\n'


def stack(sections: str, *edits: tuple[str, str, str]) -> Verdict:
    text = (
        '[firmware.blink.addresses]\neeprom = "0x50"\n[firmware.blink.constants]\nshunt = "0.005"\n'
        f"{sections}\n[[joints]]"
    )
    found = load(edit(SMALL, (MANIFEST, "[[joints]]", text), *edits))
    assert [str(item) for item in found.diagnostics if item.severity == "fault"] == []
    return judge_stack([member(found, name, "r") for name in found.boards])


def board(name: str, lines: str) -> tuple[str, str, str]:
    return (MANIFEST, f'[boards.{name}]\nrevision = "A"', f'[boards.{name}]\nrevision = "A"\n{lines}')


def rules(verdict: Verdict) -> set[str]:
    return {item.rule for item in verdict.findings}


SHUNT = (
    '[derived.shunt]\nboard = "top"\nformula = "par(R1, R2)"\nunit = "Ω"\nfirmware = "blink"\n'
    'constant = "shunt"\naccept = "1 %"\n'
)


@pytest.mark.parametrize(("value", "fits"), [("0R010", True), ("0R020", False)])
def test_a_constant_of_firmware_may_rest_on_parts_of_another_board(value: str, *, fits: bool) -> None:
    two = f"R1,1,0R01,2512,RS-10M\nR2,1,{value},2512,RS-X\n"  # 10 mΩ ∥ 10 mΩ = 5 mΩ, ∥ 20 mΩ = 6.7 mΩ
    found = stack(SHUNT, ("top/parts.csv", "R1,1,10k,0603,RA-10K\n", two))
    assert ("derived-constant" not in rules(found)) == fits


@pytest.mark.parametrize(
    ("sections", "number", "answer"),
    [
        (f'{EEPROM}by_part_number = {{ "-33" = "0x50" }}', "VR-33", "fits"),
        (f'{EEPROM}by_part_number = {{ "-33" = "0x51" }}', "VR-33", "does not fit"),
        (f'{EEPROM}by_part_number = {{ "-50" = "0x50" }}', "VR-33", "cannot tell"),
        (f'{EEPROM}by_part_number = {{ "-33" = "0x50" }}', "VR-33-TR", "fits"),
        (f'{EEPROM}straps = ["R1", "R2"]\nby_strap = {{ "11" = "0x50" }}', "VR-33", "fits"),
        (f'{EEPROM}straps = ["R1", "R2"]\nby_strap = {{ "10" = "0x50" }}', "VR-33", "cannot tell"),
    ],
)
def test_an_address_that_nothing_settles_leaves_it_open(sections: str, number: str, answer: str) -> None:
    packing = (MANIFEST, 'name = "pair"', 'name = "pair"\npacking_suffixes = ["-TR"]')
    found = stack(sections, packing, ("base/parts.csv", "VR-33", number))
    assert found.answer == answer


@pytest.mark.parametrize(
    ("down", "answer"),
    [("100k", "fits"), ("23k4", "fits"), ("23k2", "does not fit"), ("1k", "does not fit")],
)
def test_an_open_drain_line_needs_more_than_a_pull_up(down: str, answer: str) -> None:
    # 10k up, R down: 3.3 V × R / (10k + R) ≥ 0.7 × 3.3 V from R = 23.3k on.
    found = stack(
        "",
        (BASE, "J1,6,,,,", "J1,6,nFAULT,open drain,3.3 V,"),
        (TOP, "J1,6,,,,", "J1,6,nFAULT,open drain,3.3 V,"),
        board("base", 'pulls = { nFAULT = "up 10k" }'),
        board("top", f'pulls = {{ nFAULT = "down {down}" }}'),
    )
    assert found.answer == answer


@pytest.mark.parametrize(("fitted", "answer"), [("yes", "fits"), ("no", "cannot tell")])
def test_a_divider_that_can_not_be_worked_out_leaves_it_open(fitted: str, answer: str) -> None:
    found = stack(
        '[derived.id]\nboard = "base"\nformula = "V33 * R2 / (R1 + R2)"\nunit = "V"\nvalues = { V33 = "3.3 V" }\n'
        '[identity.base]\nby = "divider"\nderived = "id"\nwindows = { A = ["1.0 V", "1.1 V"] }',
        ("base/parts.csv", "RA-4K7,1%,,,yes", f"RA-4K7,1%,,,{fitted}"),
    )
    assert found.answer == answer


@pytest.mark.parametrize(("loads", "rule"), [("0.9 A", ""), ("1.1 A", "stack-rail-budget")])
def test_two_sources_may_not_share_what_neither_gives_alone(loads: str, rule: str) -> None:
    diode = ("top/parts.csv", "R1,1,10k,0603,RA-10K\n", "R1,1,10k,0603,RA-10K\nD1,1,schottky,SOD-123,DA-1\n")
    base = f'feeds = {{ "+5V" = "1 A" }}\nloads = {{ "+5V" = "{loads}" }}\nblocking = {{ "+5V" = "D1" }}'
    top = 'feeds = { "+5V" = "0.5 A" }\nloads = { "+5V" = "0" }\nblocking = { "+5V" = "D1" }'
    found = stack(
        "",
        diode,
        (BASE, "+5V,supply,", "+5V,supply out,"),
        (TOP, "+5V,supply,", "+5V,supply out,"),
        board("base", base),
        board("top", top),
    )
    assert rules(found) == ({rule} if rule else set())
    assert found.answer == ("fits with care" if rule else "fits")


def test_a_release_that_its_own_board_contradicts_is_not_as_released() -> None:
    sound, wrong = load(SMALL), load(edit(SMALL, ("blink.csv", "LED,1", "LED,6")))
    told = [
        {cell.answer for grid in firmware_matrix([("r", one)]).grids for cell in grid.cells.values()}
        for one in (sound, wrong)
    ]
    assert told == [{"as released"}, {"does not fit"}]


@pytest.mark.parametrize(("active", "fits"), [("high", True), ("low", False)])
def test_a_contact_and_a_pin_of_opposite_active_levels_leave_it_open(active: str, *, fits: bool) -> None:
    column = (BASE, "Level,Current", "Level,Current,Active")
    found = stack("", column, (BASE, "HEAT,out,3.3 V,", f"HEAT,out,3.3 V,,{active}"))
    assert (found.answer == "fits") == fits
    assert any("opposite active levels" in item.why for item in found.unmade) == (not fits)


@pytest.mark.parametrize(("level", "answer"), [("3.3 V", "fits"), ("3.6 V", "fits"), ("5 V", "cannot tell")])
def test_a_contact_and_a_pin_of_levels_that_do_not_meet_leave_it_open(level: str, answer: str) -> None:
    assert stack("", (PINS, "UART1_TX,out,,,3.3 V", f"UART1_TX,out,,,{level}")).answer == answer


def test_a_divider_lifts_an_input_no_higher_than_its_resistors_leave() -> None:
    # 24 V × 11k / (100k + 11k) = 2.38 V, at an input that stands 3.6 V; without the lower one all 24 V.
    limits = '[controllers.base.U1]\ninput_limit = "3.6 V"'
    rail = (BASE, "J1,6,,,,", "J1,6,+24V,supply,24 V,")
    both = board("base", 'pulls = { VBAT_SENSE = ["up 100k to +24V", "down 11k"] }')
    one = board("base", 'pulls = { VBAT_SENSE = "up 100k to +24V" }')
    assert "stack-overvoltage" not in rules(stack(limits, rail, both))
    assert "stack-overvoltage" in rules(stack(limits, rail, one))


def test_a_part_and_its_pin_map_with_two_addresses_leave_it_open() -> None:
    device = '[software.eeprom]\nboard = "base"\npart = "U1"\naddress = "0x50"\n'
    column = (PINS, "Level,Analog", "Level,Analog,Address")
    for stated, answer in (("0x50", "fits"), ("0x51", "cannot tell")):
        row = (PINS, "HEAT,GPIO,out,high,down,3.3 V,", f"HEAT,GPIO,out,high,down,3.3 V,,{stated}")
        assert stack(device, column, row).answer == answer


@pytest.mark.parametrize(("levels", "answer"), [(("-12 V", "-12 V"), "fits"), (("-12 V", "-5 V"), "cannot tell")])
def test_levels_below_zero_meet_like_those_above(levels: tuple[str, str], answer: str) -> None:
    rows = "".join(f"J1,{6 + index},-VEE,supply out,{level},\n" for index, level in enumerate(levels))
    wider = (("base/connectors.csv", "J1,joint,6", "J1,joint,7"), ("top/connectors.csv", "J1,joint,6", "J1,joint,7"))
    top = rows.replace("supply out", "supply in")
    assert stack("", *wider, (BASE, "J1,6,,,,\n", rows), (TOP, "J1,6,,,,\n", top)).answer == answer
