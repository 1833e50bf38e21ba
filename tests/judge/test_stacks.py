"""One arrangement by itself: sound and unsound stacks, with figures worked out here by other means."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

import pytest

from revdiff.design import Design
from tests.judge.support import Row, c, design, hazards, p, rules, stacked

GND = c("GND", "ground")


class Case(NamedTuple):
    """Contacts of both sides from 2 up (1 is ground), and what must come out."""

    name: str
    base: tuple[Row, ...]
    top: tuple[Row, ...]
    answer: str
    rule: str = ""
    hazard: bool = False
    says: str = ""
    pins: tuple[Row, ...] = ()
    board: str = ""
    top_board: str = ""
    more: str = ""


def rest(*pulls: tuple[str, str]) -> Decimal:
    """The node voltage by Millman's theorem, (ohms, volts) each: any handbook of circuits."""
    amps = sum((Decimal(volts) / Decimal(ohms) for ohms, volts in pulls), Decimal(0))
    return amps / sum((1 / Decimal(ohms) for ohms, _ in pulls), Decimal(0))


CASES = (
    # sound
    Case(
        "one name for a supply with and without plus",
        (c("+3V3", "supply out", "3.3 V", current="1 A"),),
        (c("3V3", "supply in", "3.3 V", current="0.2 A"),),
        "fits",
    ),
    Case(
        "a supply of 5 V feeds VCC of 5 V",
        (c("+5V", "supply out", "5 V", current="1 A"),),
        (c("VCC", "supply in", "5 V", current="0.2 A"),),
        "fits",
    ),
    Case(
        "5 V within 5 V ±5 %",
        (c("+5V", "supply out", "5.1 V", current="1 A"),),
        (c("+5V", "supply in", "5 V ±5 %", current="0.2 A"),),
        "fits",
    ),
    Case(
        "24 V within 9 to 36 V",
        (c("VIN", "supply out", "24 V", current="1 A"),),
        (c("VIN", "supply in", "9-36 V", current="0.2 A"),),
        "fits",
    ),
    Case(
        "transmit to receive, named from both sides",
        (c("UART0_RXD", "in", "3.3 V"),),
        (c("GPS_TXD", "out", "3.3 V"),),
        "fits",
    ),
    Case(
        "3.3 V into 5 V tolerant",
        (c("D", "out", "5 V", family="HCT"),),
        (c("D", "in", "3.3 V", **{"5v_tolerant": "yes", "family": "LVTTL"}),),
        "fits",
    ),
    Case(
        "a sensor called MOTOR_ENC",
        (c("MOTOR_ENC", "in", "3.3 V", pull="up 10k"),),
        (c("MOTOR_ENC", "out", "3.3 V"),),
        "fits",
    ),
    Case(
        "a strap pulled both ways to a sound low level",
        (c("BOOT", "in", "3.3 V", pull="down 1k"),),
        (c("BOOT", "out", "3.3 V", pull="up 100k", drive="tri-state"),),
        "fits",
    ),
    Case(
        "a heater held off",
        (c("HEAT_EN", "out", "3.3 V", active="high"),),
        (c("HEAT_EN", "in", "3.3 V", active="high", pull="down 10k", switches="heater"),),
        "fits",
    ),
    # supplies
    Case(
        "14.4 V into 12.6 V",
        (c("BATT", "supply out", "14.4 V", current="1 A"),),
        (c("BATT", "supply in", "12.6 V", current="1 A"),),
        "does not fit",
        "joint-supply-voltage",
        True,
        "1.8 V",
    ),
    Case(
        "12.6 V into 14.4 V is too little, not too much",
        (c("BATT", "supply out", "12.6 V", current="1 A"),),
        (c("BATT", "supply in", "14.4 V", current="1 A"),),
        "does not fit",
        "joint-supply-voltage",
        False,
        "1.8 V",
    ),
    Case(
        "48 V above 9 to 36 V",
        (c("VIN", "supply out", "48 V", current="1 A"),),
        (c("VIN", "supply in", "9-36 V", current="0.2 A"),),
        "does not fit",
        "joint-supply-voltage",
        True,
        "12 V",
    ),
    Case(
        "7 V below 9 to 36 V",
        (c("VIN", "supply out", "7 V", current="1 A"),),
        (c("VIN", "supply in", "9-36 V", current="0.2 A"),),
        "does not fit",
        "joint-supply-voltage",
        False,
        "2 V",
    ),
    Case(
        "a supply without a voltage",
        (c("VIN", "supply out", "", current="1 A"),),
        (c("VIN", "supply in", "9-36 V", current="0.2 A"),),
        "cannot tell",
    ),
    Case(
        "a supply on a signal",
        (c("+5V", "supply out", "5 V"),),
        (c("D", "in", "3.3 V"),),
        "does not fit",
        "joint-supply-clash",
        True,
    ),
    Case(
        "a supply on ground",
        (c("+5V", "supply out", "5 V"),),
        (c("GND", "ground"),),
        "does not fit",
        "joint-supply-clash",
        True,
    ),
    Case(
        "isolated ground on system ground",
        (c("GND_ISO", "ground"),),
        (c("GND", "ground"),),
        "does not fit",
        "joint-supply-clash",
        False,
    ),
    # drive
    Case(
        "two push-pull drivers with nothing between",
        (c("D", "out", "3.3 V"),),
        (c("D", "out", "3.3 V"),),
        "does not fit",
        "stack-two-drivers",
        True,
    ),
    Case(
        "two drivers within the pin's limit are an undefined level",
        (c("D", "out", "3.3 V"),),
        (c("D", "out", "3.3 V"),),
        "fits with care",
        "stack-two-drivers",
        False,
        "3.3 mA",
        pins=(p("D", "out", "3.3 V", series_resistance="1k"),),
    ),
    Case(
        "a controller's stated limit counts",
        (c("D", "out", "3.3 V"),),
        (c("D", "out", "3.3 V"),),
        "does not fit",
        "stack-two-drivers",
        True,
        "3.3 mA",
        pins=(p("D", "out", "3.3 V", series_resistance="1k"),),
        more='[controllers.base.U1]\noutput_current = "2 mA"\n',
    ),
    Case("a driver that lets go", (c("D", "out", "3.3 V"),), (c("D", "out", "3.3 V", drive="tri-state"),), "fits"),
    Case(
        "receive on receive",
        (c("RXD", "in", "3.3 V"),),
        (c("RXD", "in", "3.3 V"),),
        "fits with care",
        "stack-no-driver",
    ),
    Case(
        "open drain without a pull-up",
        (c("IRQ", "open drain", "3.3 V", pull="none"),),
        (c("IRQ", "in", "3.3 V", pull="no"),),
        "does not fit",
        "stack-open-drain-pull",
    ),
    # levels
    Case(
        "3.3 V LVTTL into 5 V HC",
        (c("D", "out", "3.3 V", family="LVTTL"),),
        (c("D", "in", "5 V", family="HC"),),
        "does not fit",
        "stack-logic-level",
        False,
        "2.4 V − 3.5 V",
    ),
    Case(
        "3.3 V LVTTL into 5 V HCT",
        (c("D", "out", "3.3 V", family="LVTTL"),),
        (c("D", "in", "5 V", family="HCT"),),
        "fits",
    ),
    Case(
        "HC at 3.3 V gives less than HC at 4.5 V",
        (c("D", "out", "3.3 V", family="HC"),),
        (c("D", "in", "5 V", family="HC"),),
        "does not fit",
        "stack-logic-level",
    ),
    Case(
        "5 V into an input that is stated to stand 3.6 V",
        (c("D", "out", "5 V", family="HCT"),),
        (c("D", "in", "3.3 V", family="LVTTL", maximum="3.6 V"),),
        "does not fit",
        "stack-overvoltage",
        True,
        "1.4 V",
    ),
    Case(
        "5 V into an input that isn't tolerant",
        (c("D", "out", "5 V", family="HCT"),),
        (c("D", "in", "3.3 V", family="LVTTL", **{"5v_tolerant": "no"}),),
        "does not fit",
        "stack-overvoltage",
        True,
    ),
    Case(
        "5 V into 3.3 V of which nothing is stated",
        (c("D", "out", "5 V", family="HCT"),),
        (c("D", "in", "3.3 V", family="LVTTL"),),
        "cannot tell",
    ),
    Case(
        "5 V through a pull-up in the manifest",
        (c("SDA", "open drain", "3.3 V"), c("+5V", "supply out", "5 V", current="1 A")),
        (c("SDA", "open drain", "3.3 V", maximum="3.6 V"), c("+5V", "supply in", "5 V", current="0.1 A")),
        "does not fit",
        "stack-overvoltage",
        True,
        board='pulls = { SDA = "up 4k7 to +5V" }\n',
    ),
    Case(
        "5 V from a bidirectional side",
        (c("D", "bidirectional", "5 V"),),
        (c("D", "bidirectional", "3.3 V", maximum="3.6 V"),),
        "does not fit",
        "stack-overvoltage",
        True,
    ),
    Case(
        "5 V from an analog output",
        (c("A", "analog out", "5 V"),),
        (c("A", "analog in", "3.3 V", maximum="3.6 V"),),
        "does not fit",
        "stack-overvoltage",
        True,
    ),
    Case(
        "3.3 V into a 1.8 V part",
        (c("D", "out", "3.3 V"),),
        (c("D", "in", "1.8 V", maximum="2.1 V"),),
        "does not fit",
        "stack-overvoltage",
        True,
    ),
    # at rest
    Case(
        "a weak pull-down loses",
        (c("HEAT_EN", "out", "3.3 V", active="high", pull="up 4k7"),),
        (c("HEAT_EN", "in", "3.3 V", active="high", pull="down 100k", switches="heater"),),
        "does not fit",
        "stack-power-on-load",
        True,
        f"{rest(('4700', '3.3'), ('100000', '0')):.3g}",
    ),
    Case(
        "a heater that floats",
        (c("HEAT_EN", "out", "3.3 V", active="high", pull="no"),),
        (c("HEAT_EN", "in", "3.3 V", active="high", pull="no", switches="heater"),),
        "does not fit",
        "stack-power-on-load",
        True,
    ),
    Case(
        "an inverted heater pulled up",
        (c("HEAT_EN", "out", "3.3 V", active="low", pull="up 10k"),),
        (c("HEAT_EN", "in", "3.3 V", active="low", pull="no", switches="heater"),),
        "fits",
    ),
    Case(
        "polarity across a joint",
        (c("HEAT_EN", "out", "3.3 V", active="low", pull="up 10k"),),
        (c("HEAT_EN", "in", "3.3 V", active="high", pull="no", switches="heater"),),
        "does not fit",
        "stack-active-level",
        True,
    ),
    Case(
        "a lamp with the other polarity is no hazard",
        (c("LED", "out", "3.3 V", active="low"),),
        (c("LED", "in", "3.3 V", active="high"),),
        "does not fit",
        "stack-active-level",
        False,
    ),
    # names
    Case(
        "a signal on another contact",
        (c("A", "out", "3.3 V"), c("B", "out", "3.3 V")),
        (c("B", "in", "3.3 V"), c("A", "in", "3.3 V")),
        "does not fit",
        "joint-signal-moved",
    ),
    Case(
        "other names that nobody explained",
        (c("CTRL", "out", "3.3 V"),),
        (c("DRIVE", "in", "3.3 V"),),
        "cannot tell",
        "joint-names-differ",
    ),
    Case(
        "other names that are stated",
        (c("CTRL", "out", "3.3 V"),),
        (c("DRIVE", "in", "3.3 V"),),
        "fits",
        more='[[known_good]]\nsignals = { "base.CTRL" = "top.DRIVE" }\n',
    ),
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_stack(case: Case) -> None:
    found = design(
        {"base": (GND, *case.base), "top": (GND, *case.top)},
        {"base": case.pins},
        board={"base": case.board, "top": case.top_board},
        more=case.more,
    )
    verdict = stacked(found)
    shown = [(item.rule, item.severity, item.message, item.arithmetic) for item in verdict.findings]
    assert verdict.answer == case.answer, (shown, verdict.not_checked)
    if case.rule:
        assert case.rule in rules(verdict), shown
        assert (case.rule in hazards(verdict)) is case.hazard, shown
        if case.says:
            assert any(case.says in item.arithmetic for item in verdict.findings if item.rule == case.rule), shown
    else:
        assert not rules(verdict), shown
    assert stacked(found, "top", "base") == verdict


def test_a_hazard_that_rests_on_an_assumed_limit_is_a_doubt() -> None:
    """3.3 V / 100 Ω = 33 mA, above the 25 mA of another part; nothing states the limit of this one."""
    driver = c("D", "out", "3.3 V")
    found = design(
        {"base": (GND, driver), "top": (GND, driver)}, {"base": (p("D", "out", "3.3 V", series_resistance="100"),)}
    )
    verdict = stacked(found)
    assert (verdict.answer, hazards(verdict)) == ("cannot tell", [])
    [item] = verdict.findings
    assert "assumed" in item.message
    assert "33 mA" in item.arithmetic


def test_a_board_above_that_feeds_the_one_below_is_told_the_right_way_round() -> None:
    def boards(below: str, above: str) -> Design:
        return design({"base": (GND, c("BATT", "supply in", below)), "top": (GND, c("BATT", "supply out", above))})

    assert hazards(stacked(boards("12.6 V", "14.4 V"))) == ["joint-supply-voltage"]
    assert hazards(stacked(boards("14.4 V", "12.6 V"))) == []
    assert rules(stacked(boards("14.4 V", "12.6 V"))) == ["joint-supply-voltage"]


def test_a_board_without_anything_is_not_judged() -> None:
    assert stacked(design({"base": (c(""),)})).answer == "not judged"


def test_nothing_to_judge_is_not_a_fit() -> None:
    assert stacked(design({"base": (c(""),), "top": (c(""),)})).answer in ("not judged", "cannot tell")


def test_a_pull_of_the_controllers_own_is_not_there_before_firmware_runs() -> None:
    def boards(pull: str) -> Design:
        return design(
            {"base": (GND,)},
            {"base": (p("HEAT_EN", "out", "3.3 V", active="high", pull=pull, switches="heater"),)},
        )

    assert stacked(boards("down")).answer == "cannot tell"
    assert stacked(boards("down 10k internal")).answer != "fits"
    assert stacked(boards("down 10k")).answer == "fits"
    assert stacked(boards("up")).answer == "does not fit"
