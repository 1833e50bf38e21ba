"""What judges a change comes from its base; what stands alone is judged by its own word; waivers end no danger."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from revdiff.design import Design
from tests.judge.support import c, changed, design, p, rules, stacked
from tests.support import SMALL, edit, load

GND = c("GND", "ground")
NOBODY = datetime(2026, 1, 1, tzinfo=UTC)


def rail(feed: str, load: str, *, base: str = "", more: str = "") -> Design:
    """A rail of 5 V over four contacts of 3 A: what the base gives and the top takes."""
    return design(
        {
            "base": (*(c("+5V", "supply out", "5 V"),) * 4, *(GND,) * 4),
            "top": (*(c("+5V", "supply in", "5 V"),) * 4, *(GND,) * 4),
        },
        board={"base": f'feeds = {{ "+5V" = "{feed}" }}\n{base}', "top": f'loads = {{ "+5V" = "{load}" }}\n'},
        more=more,
    )


def test_a_change_does_not_raise_its_own_feed() -> None:
    old, new = rail("2 A", "2 A"), rail("4 A", "3 A")
    verdict = changed(old, new)
    [found] = [item for item in verdict.findings if item.parties[0].role == item.parties[1].role == "new"]
    assert found.severity == "caution"  # a person has to confirm the new feed
    assert "2 A − 3 A = -1 A" in found.arithmetic.replace("−1", "-1")
    assert stacked(new).answer == "fits"  # by its own word


def test_a_change_does_not_lower_its_own_load_below_what_the_base_states() -> None:
    assert changed(rail("2 A", "2 A"), rail("2 A", "1 A")).answer == "fits"
    assert "stack-rail-budget" in rules(changed(rail("2 A", "2 A"), rail("2 A", "2.1 A")))


def test_a_load_that_is_over_by_any_word_is_no_doubt() -> None:
    verdict = changed(rail("2 A", "2 A"), rail("2.5 A", "3 A"))
    assert verdict.answer == "does not fit"


def clash(direction: str, more: str = "", board: str = "") -> Design:
    """A signal that the base drives, and the top reads or drives."""
    rows = {"base": (GND, c("D", "out", "3.3 V")), "top": (GND, c("D", direction, "3.3 V"))}
    return design(rows, board={"base": board, "top": board}, more=more)


def lost(name: str, shipped: str) -> Design:
    """A signal from the base to the top; empty: neither has it any more."""
    rows = {"base": (GND, c(name, "out" if name else "")), "top": (GND, c(name, "in" if name else ""))}
    return design(rows, board={"base": shipped, "top": shipped})


@pytest.mark.parametrize(
    ("said", "answer", "told"),
    [
        ("shipped = true\n", "does not fit", "was shipped"),
        ("shipped = false\n", "fits with care", "was never shipped"),
        ("", "does not fit", ""),
    ],
)
def test_who_holds_the_old_board_weighs(said: str, answer: str, told: str) -> None:
    """A new base no longer gives what an old top needs: nobody minds where no old top left the house."""
    verdict = changed(lost("D", said), lost("", said))
    mixed = [item for item in verdict.findings if item.rule == "joint-signal-lost"]
    assert verdict.answer == answer
    assert mixed
    for item in mixed:
        assert told in item.message
        assert item.severity == ("caution" if "never" in told else "break")


def test_what_the_new_revision_breaks_within_itself_weighs_whoever_holds_the_old_one() -> None:
    rows = {"base": (GND, c("")), "top": (GND, c("D", "in"))}
    new = design(rows, board={"base": "shipped = false\n", "top": "shipped = false\n"})
    assert changed(lost("D", "shipped = false\n"), new).answer == "does not fit"


def test_a_release_that_the_new_revision_ships_unchanged_is_within_itself() -> None:
    """The signal moved, and the firmware of the new revision is still the one that looks for it on the old pin."""

    def board(*signals: str) -> Design:
        pins = [p(name, "out", "3.3 V") for name in signals]
        never = "shipped = false\n"
        return design({"base": (GND,)}, {"base": pins}, board={"base": never}, needs=[p("A", "out"), p("B", "out")])

    verdict = changed(board("A", "B"), board("B", "A"))
    assert verdict.answer == "does not fit"
    assert "firmware-pin-moved" in {item.rule for item in verdict.findings if item.severity == "break"}


def test_a_hazard_stays_one_though_nobody_holds_the_board() -> None:
    verdict = changed(clash("in", board="shipped = false\n"), clash("out", board="shipped = false\n"))
    assert any(item.hazard and item.severity == "break" for item in verdict.findings)


DIVIDER = """[derived.ratio]
board = "base"
formula = "R2 / (R1 + R2)"
low = "0.31"
high = "{high}"
"""


def divided(value: str, section: str) -> Design:
    """The small design with its divider, 4k7 to 10k: 0.3197."""
    return load(
        edit(
            SMALL,
            ("base/parts.csv", "R2,1,4k7,0603,RA-4K7", f"R2,1,{value},0603,R-{value}"),
            ("revdiff.toml", '[[joints]]\na = "base.J1"', f'{section}\n[[joints]]\na = "base.J1"'),
        )
    )


@pytest.mark.parametrize(
    ("value", "section", "severity"),
    [
        ("5k1", DIVIDER.format(high="0.33"), "break"),
        ("5k1", DIVIDER.format(high="0.35"), "caution"),  # 5.1 / 15.1 = 0.338: within what the change says only
        ("5k1", "", "break"),  # a limit that is no longer stated goes on
        ("4k75", DIVIDER.format(high="0.35"), ""),  # 4.75 / 14.75 = 0.322, at worst 0.326
    ],
)
def test_a_change_does_not_widen_the_limit_of_a_derived_quantity(value: str, section: str, severity: str) -> None:
    told = changed(divided("4k7", DIVIDER.format(high="0.33")), divided(value, section)).findings
    assert "".join(item.severity for item in told if item.rule == "derived-limit") == severity
