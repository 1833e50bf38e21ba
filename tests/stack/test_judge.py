"""One stack to its verdict."""

from __future__ import annotations

import pytest

from revdiff.judge import Verdict, judge_stack
from tests.stack.support import BASE, MANIFEST, MID, THREE, TOP, Edit, rules_of, stack_of, three, two
from tests.support import SMALL, edit, load


def found(verdict: Verdict, rule: str) -> list[str]:
    return [item.subject for item in verdict.findings if item.rule == rule]


def test_boards_that_fit_say_how_many_checks_were_made() -> None:
    verdict = three()
    assert (verdict.answer, verdict.findings) == ("fits", ())
    assert verdict.made > 30
    assert verdict.coverage == f"{verdict.made} of {verdict.made + len(verdict.unmade)} checks made"


def test_a_break_means_that_the_stack_does_not_fit() -> None:
    verdict = two(("top/connectors.csv", "female", "male"))
    assert verdict.answer == "does not fit"
    assert rules_of(verdict) == ["joint-connector-gender"]


def test_a_caution_means_that_it_fits_with_care() -> None:
    verdict = two(("top/contacts.csv", "J1,6,,,,", "J1,6,,,,\n"), base=(("base/contacts.csv", "HEAT,out", "HEAT,in"),))
    assert verdict.answer == "cannot tell"  # the pin map says that the base drives it
    verdict = two(
        base=(
            ("base/contacts.csv", "HEAT,out", "HEAT,in"),
            ("base/pins.csv", "HEAT,GPIO,out", "HEAT,GPIO,in"),
            ("blink.csv", "HEAT,2,,out", "HEAT,2,,in"),
        )
    )
    assert (verdict.answer, rules_of(verdict)) == ("fits with care", ["stack-no-driver"])


def test_a_supply_without_a_level_means_that_nobody_can_tell() -> None:
    verdict = two(("top/contacts.csv", "supply,5 V", "supply,"))
    assert verdict.answer == "cannot tell"
    assert [item.needs for item in verdict.unmade if item.essential] == ["the column Level"]


def test_boards_without_a_joint_between_them_cannot_be_judged() -> None:
    design = load(THREE)
    verdict = judge_stack(stack_of((design, "base"), (design, "top")))
    assert verdict.answer == "cannot tell"
    assert "[[joints]]" in verdict.unmade[0].needs


def test_every_finding_carries_its_numbers_and_remedy() -> None:
    verdict = three(
        (TOP, "supply in,3.3 V,0.4 A", "supply in,5 V,4 A"),
        (TOP, "DATA,in", "DATA,out"),
        ("top/pins.csv", "0x21", "0x20"),
    )
    assert len(verdict.findings) > 3
    for item in verdict.findings:
        assert item.arithmetic
        assert item.remedy
        assert item.pairing.count(" + ") in (0, 1, 2)


def test_a_board_that_passes_a_signal_on_is_no_driver() -> None:
    assert "stack-two-drivers" not in rules_of(three())


def test_two_drivers_are_found_across_a_board_between_them() -> None:
    verdict = three((MID, "J2,5,DATA,out", "J2,5,DATA,in"), (TOP, "DATA,in", "DATA,out"))
    assert found(verdict, "stack-two-drivers") == ["base.J1.5–top.J1.5"]


def test_a_select_that_a_board_passes_on_selects_only_the_last_one() -> None:
    assert "stack-select-shared" not in rules_of(three())
    verdict = three(("mid/pins.csv", "U1,2,SDA", "U1,3,CS,nCS,SPI,in,low,none,3.3 V,\nU1,2,SDA"))
    assert found(verdict, "stack-select-shared") == ["base.J1.6–mid.J1.6–top.J1.6"]


def test_addresses_clash_over_the_whole_stack() -> None:
    verdict = three(("top/pins.csv", "0x21", "0x20"))
    assert found(verdict, "stack-bus-address") == ["I2C1 0x20"]


def test_an_eight_bit_address_is_not_judged_as_a_seven_bit_one() -> None:
    """UM10204: 7-bit 0x50 is written 0xA0 with the direction bit."""
    verdict = three(("top/pins.csv", "0x21", "0xA0"))
    assert any("7-bit" in item.needs and "0xA0" in item.subject for item in verdict.unmade)


def test_three_pull_ups_of_4k7_are_within_the_window_of_um10204() -> None:
    """3 · 4k7 = 1567 Ω; 967 Ω are needed at 3.3 V and 3 mA (UM10204 section 7.1)."""
    assert "stack-bus-pull" not in rules_of(three())


def test_pull_ups_too_strong_together_are_found_though_each_is_fine() -> None:
    """2k2 ‖ 2k2 ‖ 4k7 = 891.4 Ω < 966.7 Ω."""
    verdict = three(
        ("base/pins.csv", "I2C1_SCL,I2C1_SCL,open drain,,up 4k7", "I2C1_SCL,I2C1_SCL,open drain,,up 2k2"),
        ("mid/pins.csv", "I2C1_SCL,I2C,open drain,,up 4k7", "I2C1_SCL,I2C,open drain,,up 2k2"),
    )
    [finding] = [item for item in verdict.findings if item.rule == "stack-bus-pull"]
    assert "891.4 Ω" in finding.arithmetic
    assert finding.limit == "at least 966.7 Ω"


BUS: Edit = (
    MANIFEST,
    '[[joints]]\na = "base.J1"',
    '[buses.I2C1]\nsignals = ["I2C1_SCL", "I2C1_SDA"]\nspeed = "400 kHz"\ncapacitance = "300 pF"\n'
    '[[joints]]\na = "base.J1"',
)


def test_pull_ups_too_weak_for_speed_and_capacitance_are_found() -> None:
    """300 ns / (0.8473 · 300 pF) = 1180 Ω < 1567 Ω (UM10204 section 7.1)."""
    verdict = three(BUS)
    [first, _] = [item for item in verdict.findings if item.rule == "stack-bus-pull"]
    assert "1.18 kΩ" in first.arithmetic


def test_without_speed_the_largest_pull_up_is_not_checked_and_the_section_named() -> None:
    assert any(item.needs.startswith("buses.NAME") for item in three().unmade)


def test_one_resistor_named_on_two_boards_counts_once() -> None:
    header = ("base/pins.csv", "Level,Address", "Level,Address,Note")
    remark = ("base/pins.csv", "up 4k7,3.3 V,\nU1,2", "up 1k,3.3 V,,pull-up on mid\nU1,2")
    assert "stack-bus-pull" not in rules_of(three(header, remark))
    assert "stack-bus-pull" in rules_of(three(("base/pins.csv", "up 4k7,3.3 V,\nU1,2", "up 1k,3.3 V,\nU1,2")))


@pytest.mark.parametrize(("fitted", "rules"), [("yes", []), ("DNP", ["stack-power-on-load"])])
def test_a_pull_that_is_not_fitted_holds_nothing(fitted: str, rules: list[str]) -> None:
    verdict = two(
        base=(
            (
                "revdiff.toml",
                '[boards.base]\nrevision = "A"',
                '[boards.base]\nrevision = "A"\npulls = { HEAT = "down R1" }',
            ),
            ("base/parts.csv", "R1,1,10k,0603,RA-10K,1%,,,yes", f"R1,1,10k,0603,RA-10K,1%,,,{fitted}"),
            ("top/contacts.csv", "Level,Current", "Level,Current,Pull"),
            ("top/contacts.csv", "HEAT,in,3.3 V,", "HEAT,in,3.3 V,,no pull"),
        )
    )
    assert rules_of(verdict) == rules


def test_loads_behind_a_joint_add_up_on_its_contacts() -> None:
    loads = [
        (
            MANIFEST,
            f'[boards.{board}]\nrevision = "A"',
            f'[boards.{board}]\nrevision = "A"\nloads = {{ "+3V3" = "2 A" }}',
        )
        for board in ("mid", "top")
    ]
    [finding] = [item for item in three(*loads).findings if item.rule == "stack-contact-current"]
    assert finding.subject == "base.J1.1–mid.J1.1"
    assert "4 A / 1 = 4 A" in finding.arithmetic


def test_derating_is_a_policy_of_the_design() -> None:
    wanted = (TOP, "supply in,3.3 V,0.4 A", "supply in,3.3 V,2.5 A")
    given = (MID, "supply out,3.3 V,0.4 A", "supply out,3.3 V,2.5 A")
    assert three(wanted, given).answer == "fits"
    derated = (MANIFEST, "[design]", '[stacking]\ncontact_derating = "20 %"\n[design]')
    assert "stack-contact-current" in rules_of(three(wanted, given, derated))


def test_a_rule_that_the_policy_does_without_is_silent() -> None:
    clash: Edit = ("top/pins.csv", "0x21", "0x20")
    allowed = (MANIFEST, "[design]", '[stacking]\nallow = ["stack-bus-address"]\n[design]')
    assert three(clash, allowed).answer == "fits"


def test_a_section_that_cannot_be_read_is_one_clear_fault() -> None:
    [fault] = load(edit(THREE, (MANIFEST, "[boards.base]", '[boards.base]\nloads = { "+3V3" = "much" }'))).diagnostics
    assert (fault.severity, fault.message) == ("fault", "boards.base.loads.+3V3 can't be read")


def test_transmit_meets_receive_as_a_crossed_pair() -> None:
    small = edit(SMALL, ("top/contacts.csv", "3,TX,in", "3,RX,in"), ("top/contacts.csv", "4,RX,out", "4,TX,out"))
    design, upper = load(SMALL), load(small)
    assert judge_stack(stack_of((design, "base"), (upper, "top"))).answer == "fits"
    straight = edit(SMALL, ("top/contacts.csv", "3,TX,in", "3,RX,out"), ("top/contacts.csv", "4,RX,out", "4,TX,in"))
    assert judge_stack(stack_of((design, "base"), (load(straight), "top"))).answer == "does not fit"


OTHER_NAME: Edit = ("top/contacts.csv", "HEAT,in", "LOAD1,in")


def test_nobody_can_tell_other_names_unless_a_pairing_is_known_good() -> None:
    known = ("revdiff.toml", "[[joints]]", '[[known_good]]\nboards = ["base", "top"]\n\n[[joints]]')
    assert judge_pair(OTHER_NAME).answer == "cannot tell"
    assert rules_of(judge_pair(OTHER_NAME)) == ["joint-names-differ"]
    assert judge_pair(OTHER_NAME, known).answer == "fits"


def test_single_signals_can_be_declared_to_belong_together() -> None:
    known = ("revdiff.toml", "[[joints]]", '[[known_good]]\nsignals = { "base.HEAT" = "top.LOAD1" }\n\n[[joints]]')
    assert judge_pair(OTHER_NAME, known).answer == "fits"


def judge_pair(*edits: Edit) -> Verdict:
    design = load(edit(SMALL, *edits))
    return judge_stack(stack_of((design, "base"), (design, "top")))


def test_a_signal_renamed_on_both_boards_still_meets_itself_across_revisions() -> None:
    renamed = edit(
        SMALL,
        ("base/contacts.csv", "HEAT,out", "HEATER,out"),
        ("base/pins.csv", "HEAT", "HEATER"),
        ("blink.csv", "HEAT", "HEATER"),
        ("top/contacts.csv", "HEAT,in", "HEATER,in"),
    )
    old, new = load(SMALL), load(renamed)
    assert judge_stack(stack_of((old, "base"), (new, "top"))).answer == "fits"
    assert judge_stack(stack_of((new, "base"), (old, "top"))).answer == "fits"


def test_contacts_meet_by_place_where_the_numbering_is_known() -> None:
    """Row-wise on one side, zig-zag on the other: 2 meets 3 in a connector of two rows of three."""
    header = "Gender,Part number", "Gender,Part number,Numbering"
    base: tuple[Edit, ...] = (
        ("base/connectors.csv", *header),
        ("base/connectors.csv", "6,1,2.54 mm,male,PH-6", "6,2,2.54 mm,male,PH-6,row-wise"),
        ("top/connectors.csv", *header),
    )
    verdict = two(("top/connectors.csv", "6,1,2.54 mm,female,PS-6", "6,2,2.54 mm,female,PS-6,zig-zag"), base=base)
    assert "base.J1.2–top.J1.3" in [item.subject for item in verdict.findings]
    assert found(verdict, "stack-contact-numbering") == ["base.J1–top.J1"]


def test_base_contact_file_is_named_as_the_place_of_a_finding() -> None:
    verdict = three((TOP, "DATA,in", "DATA,out"), (MID, "J2,5,DATA,out", "J2,5,DATA,in"))
    [finding] = [item for item in verdict.findings if item.rule == "stack-two-drivers"]
    assert finding.origin_after is not None
    assert finding.origin_after.file == BASE
