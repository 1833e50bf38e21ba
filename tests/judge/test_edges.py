"""Edges that no other test stands at: each was found by breaking the code there by hand."""

from __future__ import annotations

import pytest

from revdiff.design import Design
from revdiff.judge import judge_stack, member
from revdiff.judge.matrix import Matrix, build_matrix
from tests.judge.support import Row, c, changed, design, p, rules, stacked

GND = c("GND", "ground")
OUT = c("D", "out", "3.3 V", family="LVTTL")
IN = c("D", "in", "5 V", family="HCT", maximum="5.5 V")


def noisy(margin: str, *boards: Row) -> Design:
    """Boards on one connector, with the noise margin that the design asks for."""
    names = ("base", "mid", "top")
    more = f'[stacking]\nnoise_margin = "{margin}"\n'
    return design({name: (GND, row) for name, row in zip(names, boards, strict=False)}, more=more)


def matrix(**designs: Design) -> Matrix:
    names = dict.fromkeys(name for one in designs.values() for name in one.boards)
    return build_matrix({name: [member(one, name, tag) for tag, one in designs.items()] for name in names})


def test_series_resistors_of_both_outputs_add() -> None:
    """3.3 V / (100 Ω + 100 Ω) = 16.5 mA is within 25 mA; over 100 Ω alone it would be 33 mA."""
    pins = (p("D", "out", "3.3 V", series_resistance="100"),)
    limits = "".join(f'[controllers.{name}.U1]\noutput_current = "25 mA"\n' for name in ("base", "top"))
    rows = (GND, c("D", "out", "3.3 V"))
    verdict = stacked(design({"base": rows, "top": rows}, {"base": pins, "top": pins}, more=limits))
    assert [(item.rule, item.severity, item.hazard) for item in verdict.findings] == [
        ("stack-two-drivers", "caution", False)
    ]


def test_of_two_designs_the_stricter_noise_margin_counts() -> None:
    """LVTTL into HCT leaves 2.4 − 2.0 = 0.4 V (JESD8C.01 and 74HCT data sheets)."""
    for one, two, fits in (("0.3 V", "0.3 V", True), ("0.5 V", "0.3 V", False), ("0.3 V", "0.5 V", False)):
        pair = member(noisy(one, OUT, IN), "base", "a"), member(noisy(two, OUT, IN), "mid", "b")
        assert ("stack-logic-level" not in rules(judge_stack(pair))) is fits


def test_what_a_matrix_works_out_once_rests_on_the_limits_of_the_whole_stack() -> None:
    """Base and second board leave 0.4 V; a third whose design asks for 0.5 V makes that too little."""
    blank = c("")
    found = matrix(a=noisy("0.3 V", OUT, IN, blank), b=noisy("0.5 V", OUT, IN, blank))
    for whole in found.stacks:
        alone = judge_stack([item.member for item in whole.variants])
        assert rules(alone) == rules(whole.verdict), whole.verdict.title
    mixed = {tuple(item.name for item in whole.variants): rules(whole.verdict) for whole in found.stacks}
    assert mixed["a", "a", "a"] == []
    assert mixed["a", "a", "b"] == ["stack-logic-level"]


def test_what_only_a_third_board_could_tell_is_told_once_it_is_there() -> None:
    passing, reading = (GND, c("D", "", "3.3 V")), (p("D", "in", "3.3 V"),)
    rows = {"base": passing, "mid": passing, "top": (GND, c(""))}
    found = matrix(a=design(rows, {"base": reading, "mid": reading}))
    [whole] = found.stacks
    assert "stack-no-driver" in rules(whole.verdict)
    assert all("stack-no-driver" not in rules(cell) for grid in found.grids for row in grid.cells for cell in row)


@pytest.mark.parametrize(("volts", "fires"), [("3.5 V", False), ("3.7 V", True)])
def test_a_slip_harms_above_the_drop_of_a_diode(volts: str, fires: bool) -> None:
    """Turned round the supply meets an input of 3.3 V, which stands 0.3 V more (common practice, no source)."""

    def boards(supply: str) -> Design:
        last = c("VX", "supply out", supply) if supply else c("")
        taken = c("VX", "supply in", supply) if supply else c("")
        return design(
            {"base": (c("A", "in", "3.3 V"), GND, last), "top": (c("A", "out", "3.3 V"), GND, taken)},
        )

    told = changed(boards(""), boards(volts)).findings
    assert any(item.rule == "stack-misplug" and "turned round" in item.subject for item in told) is fires


def test_one_of_two_pins_that_carry_a_signal_is_enough() -> None:
    pins = (p("D", "out", "3.3 V", function="TIM1_CH1"), p("D", "out", "3.3 V", function="TIM2_CH1"))
    needs = (p("D", "out", function="TIM1_CH1"),)
    found = design({"base": (GND,), "top": (GND,)}, {"base": pins}, needs=needs)
    assert "firmware-function" not in rules(stacked(found))


def test_firmware_that_drives_what_its_board_drives_anyway_is_not_who_collides() -> None:
    rows = (GND, c("D", "out", "3.3 V"))
    pins = (p("D", "out", "3.3 V"),)
    found = design({"base": rows, "top": rows}, {"base": pins}, needs=pins)
    assert {item.roles for item in stacked(found).findings if item.rule == "stack-two-drivers"} == {"base + top"}


def test_what_nobody_could_tell_before_is_no_news() -> None:
    def boards(other: str) -> Design:
        return design(
            {
                "base": (GND, c("D", "out", "5 V", family="HCT"), c(other, "out", "3.3 V")),
                "top": (GND, c("D", "in", "3.3 V", family="LVTTL"), c(other, "in", "3.3 V")),
            }
        )

    assert stacked(boards("A")).answer == "cannot tell"
    assert changed(boards("A"), boards("B")).answer in ("fits", "fits with care")


def test_signals_of_two_names_that_met_before_are_no_news() -> None:
    """5 V into 3.6 V was so before, though nothing but the old stack says that the two names belong together."""

    def boards(other: str) -> Design:
        return design(
            {
                "base": (GND, c("CTRL", "out", "5 V", family="HCT"), c(other, "out", "3.3 V")),
                "top": (GND, c("DRIVE", "in", "3.3 V", family="LVTTL", maximum="3.6 V"), c(other, "in", "3.3 V")),
            }
        )

    found = [item for item in changed(boards("A"), boards("B")).judged if item.rule.name == "stack-overvoltage"]
    assert {item.state for item in found} == {"still so"}


def test_a_board_that_has_not_changed_is_one_thing_under_both_names() -> None:
    def boards(name: str) -> Design:
        rows = {"base": (GND, c(name, "out", "3.3 V")), "top": (GND, c("A", "in", "3.3 V"))}
        return design(rows, {"base": (p(name, "out", "3.3 V", port="PA1", function="TIM1_CH1"),)})

    old, new = boards("A"), boards("CTRL")
    answers = {judge_stack([member(new, "base", "n"), member(one, "top", "x")]).answer for one in (old, new)}
    assert len(answers) == 1


def test_the_pull_of_who_drives_at_power_on_is_not_against_it() -> None:
    def boards(base: str, top: str) -> Design:
        driven = c("D", "out", "3.3 V", power_on="high", pull=base)
        return design({"base": (GND, driven), "top": (GND, c("D", "in", "3.3 V", pull=top))})

    assert "stack-power-on-drive" not in rules(stacked(boards("down 10k", "no")))
    assert "stack-power-on-drive" in rules(stacked(boards("no", "down 10k")))


def test_a_load_that_one_of_two_boards_does_not_state_leaves_the_current_open() -> None:
    taking = (GND, c("+5V", "supply in", "5 V"))
    rows = {"base": (GND, c("+5V", "supply out", "5 V")), "mid": taking, "top": taking}

    def asked(**board: str) -> str:
        found = stacked(design(rows, board=board))
        return " ".join(item.what for item in found.not_checked if "per contact than it is rated" in item.what)

    both = dict.fromkeys(("mid", "top"), 'loads = { "+5V" = "0.5 A" }\n')
    assert asked(**both) == ""
    assert "top" in asked(mid=both["mid"])
    assert "mid" not in asked(mid=both["mid"])
