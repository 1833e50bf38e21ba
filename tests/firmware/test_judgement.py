"""Clock, addresses, parts, identity, exposure and derived quantities: told for what they are."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from revdiff.app.reading import with_firmware
from revdiff.design.derived import show_value, work_out
from revdiff.judge.rules.software import axes_after
from tests.conftest import Run
from tests.firmware.boards import MANIFEST, OLD_PINS, files, review
from tests.support import MemoryRevision, load

CONTRACT = (
    MANIFEST
    + """
[firmware.f]
name = "f"
version = "{version}"
board = "base"
needs = "needs.csv"
clock = "8 MHz"
recognises = "strap"
[firmware.f.constants]
ratio = "{ratio}"
"""
)
NEEDS = {"needs.csv": "Signal,Pin\nHEAT,2\n"}


def diagnostics(manifest: str) -> list[str]:
    revision = MemoryRevision(files(OLD_PINS, manifest))
    return [str(item) for item in with_firmware(load(revision.files), revision).diagnostics]


FAULTS = [
    (
        '[controllers.base.U1]\noutput_current = "25 mV"',
        "revdiff.toml:9: controllers.base.U1.output_current can't be read; found '25 mV'",
    ),
    ('[controllers.base.U1]\noutput_curent = "25 mA"', "controllers.base.U1.output_curent is an unknown key"),
    ('[controllers.base.U1]\nboot = "5"', "revdiff.toml:9: controllers.base.U1.boot can't be read; found '5'"),
    ("[controllers.top.U1]\nboot = []", "controllers.top can't be read: the design has no such board"),
    (
        '[software.s]\nboard = "base"\npart = "U9"',
        "revdiff.toml:10: software.s.part can't be read: base has no such part",
    ),
    ('[identity.base]\nby = "colour"', "identity.base.by can't be read; found 'colour'"),
    ('[identity.base.windows]\nA = ["2 V", "1 V"]', "identity.base.windows.A can't be read"),
    ('[derived.d]\nformula = "R1 +"', "revdiff.toml:9: derived.d.formula can't be read"),
    ('[derived.d]\nformula = "R1 + R9"\nunit = "Ω"', "no part or value is called R9 on base"),
    ('[derived.d]\nformula = "R1 + 1"\nunit = "Ω"', "Ω and a plain number can't be added"),
    ('[derived.d]\nformula = "R1"\nunit = "V"', "derived.d.formula can't be read: the result is in Ω, not in V"),
    ('[derived.d]\nformula = "R1"\nunit = "furlong"', "derived.d.unit can't be read; found 'furlong'"),
    (
        '[derived.d]\nformula = "R1"\nunit = "Ω"\nlow = "3 V"',
        "revdiff.toml:11: derived.d.low can't be read; found '3 V'",
    ),
    ('[derived.d]\nformula = "R1"\nunit = "Ω"\naccept = "much"', "derived.d.accept can't be read"),
    (
        '[derived.d]\nformula = "V1"\nunit = "V"\nvalues = { V1 = "x" }',
        "derived.d.values.V1 can't be read; found 'x'",
    ),
    ('[derived.d]\nformula = "R1"\nboard = "top"', "derived.d.board can't be read: the design has no such board"),
    (
        "[derived.d]\nformula = \"__import__('os')\"",
        "derived.d.formula can't be read: column 12: \"'\" has no place in a formula",
    ),
    ('[deriveds.x]\nformula = "1"', "revdiff.toml:8: deriveds is an unknown key; found 'deriveds'; expected derived"),
    ("derived = 3", "derived can't be read; found '3'"),
]


@pytest.mark.parametrize(("text", "message"), FAULTS)
def test_wrong_sections_are_faults_at_their_line(text: str, message: str) -> None:
    manifest = f"{text}\n{MANIFEST}" if text == "derived = 3" else f"{MANIFEST}{text}\n"
    assert any(message in item for item in diagnostics(manifest)), diagnostics(manifest)


def test_right_sections_have_no_faults() -> None:
    text = """[controllers.base.U1]
clock = "R1"
output_current = "20 mA"
boot = ["PB5"]
[software.s]
board = "base"
part = "U1"
address = "0x48"
[identity.base]
by = "divider"
code = "1"
[identity.base.codes]
A = "1"
[identity.base.windows]
A = ["0.2 V", "0.4 V"]
[derived.d]
formula = "Vref * (1 + R1 / R2)"
unit = "V"
values = { Vref = "0.8 V ±1 %" }
low = "2.4 V"
high = "2.6"
"""
    assert diagnostics(MANIFEST + text) == []


DERIVED = '\n[derived.volts]\nformula = "Vref * (1 + R1 / R2)"\nunit = "mV"\nvalues = {{ Vref = "0.8 V ±1 %" }}\n{}'


def test_a_derived_quantity_is_worked_out_over_the_parts_of_the_revision() -> None:
    design = load(files(OLD_PINS, MANIFEST + DERIVED.format("")))
    item = design.sections.derived["volts"]
    result = work_out(item, design.boards)
    # 0.8 · (1 + 10 / 4.7) V and its corners at 1 %, calculated by hand.
    assert show_value(result.nominal, item.unit) == "2502.13 mV"
    assert float(result.low) == pytest.approx(0.792 * (1 + 9900 / 4747), rel=1e-12)
    assert float(result.high) == pytest.approx(0.808 * (1 + 10100 / 4653), rel=1e-12)


def ratio_review(
    old_ratio: str, new_ratio: str, *, accept: str = "", parts: tuple[str, str] = ("10k", "12k")
) -> list[str]:
    section = f'[derived.divider]\nformula = "R2 / (R1 + R2)"\nconstant = "ratio"\n{accept}'
    old = files(OLD_PINS, CONTRACT.format(version="1", ratio=old_ratio) + section, **NEEDS)
    new = files(OLD_PINS, CONTRACT.format(version="2", ratio=new_ratio) + section, **NEEDS)
    new = {**new, "parts.csv": new["parts.csv"].replace(*parts)}
    return [
        f"{item.pairing}: {item.message} | {item.arithmetic}"
        for item in review(old, new).findings
        if item.rule == "derived-constant"
    ]


def test_both_crossings_of_a_changed_divider_name_the_constant_to_use() -> None:
    new_on_old, old_on_new = sorted(ratio_review("0.3197", "0.2814"), reverse=True)
    assert old_on_new.startswith("f 1 + base@v2: f 1 takes ratio to be 0.3197; the parts give 0.281437")
    assert "R2 / (R1 + R2) = 0.281437" in old_on_new
    assert new_on_old.startswith("f 2 + base@v1: f 2 takes ratio to be 0.2814")


def test_a_constant_within_the_worst_case_serves() -> None:
    """2 % of change lies within what 1 % resistors allow for the ratio."""
    assert ratio_review("0.3197", "0.3197", parts=("10k", "10.1k")) == []


def test_accept_is_tighter_than_the_worst_case() -> None:
    assert len(ratio_review("0.3197", "0.3197", accept='accept = "0.5 %"\n', parts=("10k", "10.1k"))) == 2
    assert ratio_review("0.3197", "0.3197", accept='accept = "1 %"\n', parts=("10k", "10.1k")) == []


# (angle, flipped, axes): plain geometry; each row is right-handed, x × y = z.
AXES = [
    ("0", False, "x, y, z"),
    ("90", False, "y, −x, z"),
    ("180", False, "−x, −y, z"),
    ("270", False, "−y, x, z"),
    ("-90", False, "−y, x, z"),
    ("0", True, "−x, y, −z"),
    ("90", True, "y, x, −z"),
    ("180", True, "x, −y, −z"),
]


@pytest.mark.parametrize(("angle", "flipped", "axes"), AXES)
def test_the_axes_of_a_turned_sensor(angle: str, flipped: bool, axes: str) -> None:
    assert axes_after(Decimal(angle) % 360 if Decimal(angle) >= 0 else Decimal(angle) + 360, flipped=flipped) == axes
    vectors = [{"x": (1, 0, 0), "y": (0, 1, 0), "z": (0, 0, 1)}[item[-1]] for item in axes.split(", ")]
    signs = [-1 if item.startswith("−") else 1 for item in axes.split(", ")]
    a, b, c = ([sign * n for n in vector] for sign, vector in zip(signs, vectors, strict=True))
    assert [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]] == c


def test_an_address_by_strap() -> None:
    section = '\n[software.s]\nboard = "base"\npart = "U1"\nstraps = ["R1", "R2"]\n'
    section += 'by_strap = { "11" = "0x48", "01" = "0x49" }\n'
    contract = CONTRACT.format(version="1", ratio="1") + '[firmware.f.addresses]\ns = "0x48"\n' + section
    old = files(OLD_PINS, contract, **NEEDS)
    fitted = "Designator,Value,Tolerance,Fitted\nR1,10k,1%,yes\nR2,4k7,1%,yes\nU1,controller,,yes\n"
    old = {**old, "parts.csv": fitted}
    new = {**old, "parts.csv": fitted.replace("R1,10k,1%,yes", "R1,10k,1%,DNP")}
    (item,) = (item for item in review(old, new).findings if item.rule == "firmware-address")
    assert item.message == "f 1 looks for s at 0x48; base.U1 answers at 0x49"
    assert item.changes


WINDOWS = [
    ('A = ["0.2 V", "0.4 V"]\nB = ["0.5 V", "0.7 V"]', []),
    ('A = ["0.2 V", "0.4 V"]\nB = ["0.39 V", "0.7 V"]', ["0.39 V − 0.4 V"]),
]


@pytest.mark.parametrize(("windows", "told"), WINDOWS)
def test_windows_of_a_divider_must_not_overlap(windows: str, told: list[str]) -> None:
    section = '\n[identity.base]\nby = "divider"\ncode = "1"\n[identity.base.windows]\n'
    old = files(OLD_PINS, f'{MANIFEST}{section}A = ["0.2 V", "0.4 V"]\n')
    new = files(OLD_PINS, f"{MANIFEST}{section}{windows}\n")
    found = [item for item in review(old, new).findings if item.rule == "firmware-identity-ambiguous"]
    assert [item.arithmetic for item in found] == told


def shipped_review(stated: str) -> list[tuple[str, str, str]]:
    lost = OLD_PINS.replace("U1,6,PB7,FAN,TIM3_CH1,out,high,,3.3 V,,", "U1,6,PB7,,,,,,,,")
    manifest = MANIFEST.replace('revision = "A"', f'revision = "A"\n{stated}')
    new = MANIFEST.replace('revision = "A"', 'revision = "B"')
    found = review(files(OLD_PINS, manifest), files(lost, new)).findings
    return [(item.rule, item.severity, item.message) for item in found if item.rule == "firmware-signal-lost"]


def test_severity_and_wording_follow_exposure() -> None:
    plain = "firmware for base.U1@v1 needs FAN; no pin of U1 carries it"
    assert shipped_review("") == [("firmware-signal-lost", "break", plain)]
    assert shipped_review("shipped = true") == [("firmware-signal-lost", "break", f"{plain}; base@v1 was shipped")]
    never = f"{plain}; base@v1 was never shipped"
    assert shipped_review("shipped = false") == [("firmware-signal-lost", "caution", never)]


def test_a_hazard_stays_a_break_although_nothing_was_shipped() -> None:
    manifest = MANIFEST.replace('revision = "A"', 'revision = "A"\nshipped = false')
    inverted = OLD_PINS.replace("HEAT,GPIO,out,high", "HEAT,GPIO,out,low")
    found = review(files(OLD_PINS, manifest), files(inverted, manifest)).findings
    assert {item.severity for item in found if item.rule == "firmware-active-level"} == {"break"}


def test_shipped_has_to_be_yes_or_no() -> None:
    manifest = MANIFEST.replace('revision = "A"', 'revision = "A"\nshipped = "perhaps"')
    assert any(
        "shipped can't be read; found 'perhaps'; expected true or false" in item for item in diagnostics(manifest)
    )


def test_what_a_board_is_recognised_by_stays_while_something_changed() -> None:
    old = files(OLD_PINS, CONTRACT.format(version="1", ratio="1"), **NEEDS)
    new = files(
        OLD_PINS.replace("HEAT,GPIO,out,high", "HEAT,GPIO,out,low"), CONTRACT.format(version="1", ratio="1"), **NEEDS
    )
    found = [item for item in review(old, new).findings if item.rule == "firmware-unrecognised"]
    assert [item.subject for item in found] == ["base: f"]
    told = {**new, "revdiff.toml": new["revdiff.toml"].replace('recognises = "strap"', 'recognises = "other strap"')}
    assert [item for item in review(old, told).findings if item.rule == "firmware-unrecognised"] == []


def test_without_any_word_on_recognition_it_is_listed_as_not_checked() -> None:
    manifest = CONTRACT.format(version="1", ratio="1").replace('recognises = "strap"\n', "")
    old = files(OLD_PINS, manifest, **NEEDS)
    new = files(OLD_PINS.replace("HEAT,GPIO,out,high", "HEAT,GPIO,out,low"), manifest, **NEEDS)
    assert any(item.what == "how software tells base@v2 from base@v1" for item in review(old, new).not_checked)


def test_two_controllers_of_one_design_are_judged_each_with_its_firmware() -> None:
    pins = OLD_PINS + OLD_PINS.partition("\n")[2].replace("U1,", "U2,").replace("HEAT", "COOL")
    second = '\n[firmware.g]\nname = "g"\nversion = "1"\nboard = "base"\ndevice = "U2"\nneeds = "g.csv"\n'
    needs = {**NEEDS, "g.csv": "Signal,Pin\nCOOL,2\n"}
    manifest = CONTRACT.format(version="1", ratio="1") + second
    later = pins.replace("U2,2,PA1,COOL,GPIO,out,high,down,3.3 V,,heater", "U2,2,PA1,,,,,,,,")
    found = review(files(pins, manifest, **needs), files(later, manifest, **needs)).findings
    assert [(item.pairing, item.rule) for item in found if item.severity == "break"] == [
        ("g 1 + base@v2", "firmware-signal-lost")
    ]


def test_the_command_line_tells_faults_of_the_sections_and_ends_in_three(tmp_path: Path, run: Run) -> None:
    for name, text in files(OLD_PINS, MANIFEST + '[derived.d]\nformula = "9**9**9"\n').items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    done = run("compare", f"folder:{tmp_path}", f"folder:{tmp_path}")
    assert done.returncode == 3
    assert "a power has to be a whole number from 0 to 4" in " ".join(done.stdout.split())


DIVIDER_ID = """
[identity.base]
by = "divider"
code = "1"
derived = "id"
[identity.base.windows]
A = ["1.00 V", "1.10 V"]
B = ["1.20 V", "1.30 V"]
[derived.id]
formula = "Vdd * R2 / (R1 + R2)"
unit = "V"
values = { Vdd = "3.3 V ±1 %" }
"""


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        (("4k7", "4700"), []),  # 3.3 · 4.7 / 14.7 = 1.055 V, worst case 1.030 to 1.080 V
        (("4k7", "5k1"), ["base A"]),  # 1.115 V: neither its own window nor another
        (("4k7", "5k9"), ["base A", "base A/B"]),  # 1.225 V: the window of revision B
    ],
)
def test_the_divider_has_to_lie_in_the_window_of_its_revision(parts: tuple[str, str], told: list[str]) -> None:
    old = files(OLD_PINS, MANIFEST + DIVIDER_ID)
    new = {**old, "parts.csv": old["parts.csv"].replace(*parts)}
    found = [item for item in review(old, new).findings if item.rule == "firmware-identity-ambiguous"]
    assert [item.subject for item in found] == told


def test_parts_that_the_parts_list_marks_are_software_visible() -> None:
    head = "Designator,Value,Part number,Fitted,Software,Address\n"
    old = {
        **files(OLD_PINS),
        "parts.csv": head + "U1,mcu,M-1,yes,,\nU2,sensor,S-1,yes,climate,0x44\nR1,1k,R-1,yes,no,\n",
    }
    new = {**old, "parts.csv": old["parts.csv"].replace("S-1", "S-2").replace("M-1", "M-2").replace("R-1", "R-2")}
    found = [item for item in review(old, new).findings if item.rule == "firmware-part-substituted"]
    assert [item.subject for item in found] == ["climate"]


def test_a_part_that_firmware_talks_to_is_not_fitted() -> None:
    contract = CONTRACT.format(version="1", ratio="1") + '[firmware.f.addresses]\nclimate = "0x44"\n'
    parts = "Designator,Value,Fitted,Software,Address\nU2,sensor,yes,climate,0x44\n"
    old = {**files(OLD_PINS, contract, **NEEDS), "parts.csv": parts}
    new = {**old, "parts.csv": parts.replace("yes", "DNP")}
    (item,) = (item for item in review(old, new).findings if item.rule == "firmware-address")
    assert item.message == "f 1 looks for climate at 0x44; base.U2 is not fitted"
