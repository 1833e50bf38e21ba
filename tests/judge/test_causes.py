"""Which changes belong together, and which findings hang below which: as a person would tell a handful of changes."""

from __future__ import annotations

from revdiff.design import Design
from revdiff.judge import ChangeVerdict
from revdiff.judge.causes import OUTCOMES
from tests.judge.support import Row, c, changed, design, p

GND = c("GND", "ground")
FIVE = c("+5V", "supply out", "5 V")


def two(base: tuple[Row, ...], top: tuple[Row, ...], pins: tuple[Row, ...] = (), needs: tuple[Row, ...] = ()) -> Design:
    return design({"base": (GND, *base), "top": (GND, *top)}, {"base": pins}, needs=needs)


def causes(verdict: ChangeVerdict) -> list[tuple[str, int]]:
    """(kind, number of changes) of each cause, by its order."""
    return [(item.kind, len(item.changes)) for item in verdict.causes]


def heads(verdict: ChangeVerdict) -> list[str]:
    """The rules of the findings that hang below no other."""
    return [item.rule for item in verdict.findings if not item.below]


def test_a_swap_on_both_sides_of_a_joint_is_one_cause_and_the_mirrored_crossings_one_place() -> None:
    one, other = ("A", "B"), ("B", "A")

    def boards(names: tuple[str, str]) -> Design:
        base, top = (tuple(c(name, way, "3.3 V") for name in names) for way in ("out", "in"))
        return two(base, top)

    verdict = changed(boards(one), boards(other))
    assert causes(verdict) == [("contact.swapped", 2)]
    assert len(verdict.findings) == 4  # two contacts, two crossings
    assert heads(verdict) == ["joint-signal-moved"]


def test_a_rail_that_goes_to_another_voltage_everywhere_is_one_cause() -> None:
    def boards(volts: str) -> Design:
        rail = (c("+12V", "supply out", volts),) * 2
        return two(rail, tuple({**row, "Direction": "supply in"} for row in rail))

    verdict = changed(boards("12 V"), boards("24 V"))
    assert causes(verdict) == [("contact.level", 2)]
    assert verdict.causes[0].outcome == "can hurt or destroy"


def test_a_move_and_what_took_its_place_are_one_cause() -> None:
    def pins(first: str, second: str) -> tuple[Row, ...]:
        return tuple(p(name, "out", "3.3 V", active="high") if name else p("") for name in (first, second))

    needs = (p("FAN", "out", number="1"),)
    old = two((), (), pins("FAN", ""), needs)
    new = two((), (), pins("LAMP", "FAN"), needs)
    verdict = changed(old, new)
    assert causes(verdict) == [("pin.moved", 2)]
    assert heads(verdict) == ["firmware-drives-other-load"]
    assert [item.rule for item in verdict.findings if item.below] == ["firmware-pin-moved"]


def test_what_has_nothing_to_do_with_each_other_stays_apart_and_the_worst_comes_first() -> None:
    old = two((c("+5V", "supply out", "5 V"), c("A", "out", "3.3 V")), (c("+5V", "supply in", "5 V"), c("A", "in")))
    new = two((c("+5V", "supply out", "9 V"), c("B", "out", "3.3 V")), (c("+5V", "supply in", "5 V"), c("A", "in")))
    verdict = changed(old, new)
    outcomes = [OUTCOMES.index(item.outcome) for item in verdict.causes]
    assert outcomes == sorted(outcomes)
    assert len(outcomes) == 2


def test_every_finding_points_to_a_cause_that_holds_it_and_hangs_below_one_of_the_same() -> None:
    old, new = two((FIVE, c("A", "out")), (FIVE, c("A", "in"))), two((c("A", "out"), FIVE), (FIVE, c("A", "in")))
    verdict = changed(old, new)
    assert verdict.findings
    for cause in verdict.causes:
        ids = {item.id for item in cause.findings}
        assert all(item.cause == cause.id and (not item.below or item.below in ids) for item in cause.findings)


def test_a_block_that_is_renamed_is_one_cause() -> None:
    def boards(start: str) -> Design:
        names = [f"{start}_{end}" for end in ("SCK", "MOSI", "MISO")]
        rows = tuple(c(name, "out", "3.3 V") for name in names)
        needs = tuple(p(f"FLASH_{end}", "out", number=str(n)) for n, end in enumerate(("SCK", "MOSI", "MISO"), 1))
        return two(rows, (), tuple(p(name, "out", "3.3 V", port=f"PA{n}") for n, name in enumerate(names)), needs)

    verdict = changed(boards("FLASH"), boards("MEM"))
    assert [item for item in causes(verdict) if item[0] == "signal.renamed"] == [("signal.renamed", 3)]
