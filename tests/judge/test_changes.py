"""Two revisions: what is new is told, with the crossing that shows it; what was there before isn't a break."""

from __future__ import annotations

from revdiff.design import Design
from tests.judge.support import Row, c, changed, design, hazards, p, rules, stacked

GND = c("GND", "ground")
OLD = design(
    {
        "base": (GND, c("HEAT_EN", "out", "3.3 V", active="high"), c("LED", "out", "3.3 V")),
        "top": (
            GND,
            c("HEAT_EN", "in", "3.3 V", active="high", pull="down 10k", switches="heater"),
            c("LED", "in", "3.3 V"),
        ),
    }
)


def test_the_same_twice_is_silent() -> None:
    verdict = changed(OLD, OLD)
    assert (verdict.findings, verdict.answer) == ((), "fits")


def test_a_gate_turned_on_one_board_is_a_hazard_in_both_crossings_that_mix() -> None:
    new = design(
        {
            "base": (GND, c("HEAT_EN", "out", "3.3 V", active="low", pull="up 1k"), c("LED", "out", "3.3 V")),
            "top": (GND, c("HEAT_EN", "in", "3.3 V", active="low", switches="heater"), c("LED", "in", "3.3 V")),
        }
    )
    verdict = changed(OLD, new)
    crossings = {item.crossing for item in verdict.findings if item.hazard}
    assert any("new base" in text and "old top" in text for text in crossings)
    assert not any("new base" in text and "new top" in text for text in crossings)


def test_what_was_wrong_before_is_still_so_and_what_got_better_is_told_as_that() -> None:
    def boards(volts: str) -> dict[str, tuple[Row, ...]]:
        return {
            "base": (GND, c("BATT", "supply out", volts, current="1 A")),
            "top": (GND, c("BATT", "supply in", "12 V", current="0.1 A")),
        }

    old, worse, better = (design(boards(volts)) for volts in ("14 V", "15 V", "13 V"))
    assert [item.state for item in changed(old, worse).judged] == ["worse"]
    assert {item.state for item in changed(old, better).judged} == {"better, still over"}
    assert hazards(changed(old, better)) == []
    assert hazards(changed(old, worse)) == ["joint-supply-voltage"]


def test_what_was_wrong_before_and_is_untouched_is_still_so() -> None:
    def boards(signal: str) -> Design:
        return design(
            {
                "base": (GND, c("BATT", "supply out", "14 V"), c(signal, "out", "3.3 V")),
                "top": (GND, c("BATT", "supply in", "12 V"), c(signal, "in", "3.3 V")),
            }
        )

    found = [item for item in changed(boards("A"), boards("B")).judged if item.rule.name == "joint-supply-voltage"]
    assert {item.state for item in found} == {"still so"}


def test_a_swap_is_one_cause() -> None:
    old = design(
        {
            "base": (GND, c("A", "out", "3.3 V"), c("B", "out", "3.3 V")),
            "top": (GND, c("A", "in", "3.3 V"), c("B", "in", "3.3 V")),
        }
    )
    new = design(
        {
            "base": (GND, c("B", "out", "3.3 V"), c("A", "out", "3.3 V")),
            "top": (GND, c("A", "in", "3.3 V"), c("B", "in", "3.3 V")),
        }
    )
    verdict = changed(old, new)
    assert "joint-signal-moved" in rules(verdict)
    assert len(verdict.causes) == 1


def test_both_sides_turned_the_same_way_are_silent_together() -> None:
    old = design({"base": (GND, c("A", "out", "3.3 V")), "top": (GND, c("A", "in", "3.3 V"))})
    new = design({"base": (GND, c("CTRL", "out", "3.3 V")), "top": (GND, c("CTRL", "in", "3.3 V"))})
    assert rules(changed(old, new)) == []


PINS = (
    p("HEAT", "out", "3.3 V", active="high", pull="down 10k", switches="heater"),
    p("LED", "out", "3.3 V", active="high"),
    p("KEY", "in", "3.3 V", pull="up 10k"),
)
NEEDS = (p("HEAT", "out", active="high"), p("LED", "out", active="high"), p("KEY", "in"))


def board(*pins: Row, needs: tuple[Row, ...] = NEEDS) -> Design:
    return design({"base": (GND,)}, {"base": pins}, needs=needs)


def test_the_old_firmware_drives_another_load() -> None:
    new = board(
        p("LED", "out", "3.3 V", active="high"),
        p("HEAT", "out", "3.3 V", active="high", pull="down 10k", switches="heater"),
        PINS[2],
        needs=(p("LED", "out", active="high"), p("HEAT", "out", active="high"), p("KEY", "in")),
    )
    verdict = changed(board(*PINS), new)
    assert "firmware-drives-other-load" in hazards(verdict)


def test_a_load_that_the_new_firmware_leaves_alone_on_the_old_board() -> None:
    moved = (
        p("KEY", "in", "3.3 V", pull="up 10k"),
        PINS[1],
        p("HEAT", "out", "3.3 V", active="high", pull="down 10k", switches="heater"),
    )
    old = board(p("HEAT", "out", "3.3 V", active="high", pull="up 10k", switches="heater"), PINS[1], PINS[2])
    new = board(*moved, needs=(p("KEY", "in"), p("LED", "out", active="high"), p("HEAT", "out", active="high")))
    assert "firmware-load-left-on" in hazards(changed(old, new))


def test_an_inverted_lamp_is_a_break_and_an_inverted_heater_a_hazard() -> None:
    lamp = board(PINS[0], p("LED", "out", "3.3 V", active="low"), PINS[2])
    heater = board(p("HEAT", "out", "3.3 V", active="low", pull="up 10k", switches="heater"), *PINS[1:])
    assert (rules(changed(board(*PINS), lamp)), hazards(changed(board(*PINS), lamp))) == (["firmware-active-level"], [])
    assert "firmware-active-level" in hazards(changed(board(*PINS), heater))


def test_a_load_whose_pull_is_no_longer_fitted() -> None:
    new = board(p("HEAT", "out", "3.3 V", active="high", pull="no", switches="heater"), *PINS[1:])
    assert "stack-power-on-load" in hazards(changed(board(*PINS), new))


def test_a_contact_that_leaves_the_board_and_becomes_a_supply() -> None:
    """No partner is declared: every cable that fits is concerned."""

    def board(row: Row) -> Design:
        return design({"base": (GND, row)})

    signal = board(c("LINE", "in", "3.3 V"))
    assert hazards(changed(signal, board(c("+12V", "supply out", "12 V")))) == ["connector-supply-changed"]
    assert hazards(changed(board(c("+5V", "supply out", "5 V")), board(c("+5V", "supply out", "12 V"))))
    assert hazards(changed(board(c("+5V", "supply out", "5 V")), board(GND)))
    assert rules(changed(board(c("+5V", "supply out", "5 V")), board(c("VCC", "supply out", "5.05 V")))) == []
    assert rules(changed(signal, board(c("LINE_2", "in", "3.3 V")))) == []


def test_a_contract_without_directions_is_not_judged_where_no_pin_map_gives_them() -> None:
    bare = (p("HEAT"), p("LED"))
    old = design({"base": (GND,)}, {"base": (p("HEAT"), p("LED"))}, needs=bare)
    new = design({"base": (GND,)}, {"base": (p("LED"), p("HEAT"))}, needs=bare)
    assert any("Direction" in item.needs for item in changed(old, new).not_checked)


def test_a_driver_that_is_firmware_is_named_and_not_laid_on_the_boards() -> None:
    """The old release drives what is an input on the new board; the new boards with their own firmware fit."""

    ways = {"LAMP": "out", "SYNC": "in"}

    def boards(*signals: str) -> Design:
        lines = {"base": (GND, c("SYNC", "in", "3.3 V")), "top": (GND, c("SYNC", "out", "3.3 V"))}
        pins = [p(name, ways[name], "3.3 V") for name in signals]
        return design(lines, {"base": pins}, needs=[p(name, ways[name]) for name in signals])

    old, new = boards("LAMP", "SYNC"), boards("SYNC", "LAMP")
    assert rules(stacked(new)) == []
    told = [item for item in changed(old, new).findings if item.rule == "stack-two-drivers"]
    assert {item.roles for item in told} == {"old f 1 + new base + top", "new f 1 + old base + top"}
    assert all("driven by f 1" in item.message for item in told)


def test_what_an_old_board_loses_names_the_new_one_that_takes_it() -> None:
    """The strap of the old base was pulled on the old top; by itself the old base is as it was."""

    def boards(top: tuple[Row, ...], base: str = "") -> Design:
        strap = p("BOOT", "in", "3.3 V", purpose="boot strap", pull="no")
        return design(
            {"base": (GND, c("BOOT", "in", "3.3 V", pull="no"), c(base)), "top": (GND, *top)}, {"base": (strap,)}
        )

    pulled, open_ = c("BOOT", "in", "3.3 V", pull="down 10k"), c("")
    told = changed(boards((pulled, c(""))), boards((open_, c("")), "X")).findings
    assert {item.roles for item in told if item.rule == "stack-boot-strap"} == {"new base", "old base + new top"}
