"""How part changes are told: one replaced part is one entry, and no text stands twice. Tables as people keep them."""

from __future__ import annotations

import pytest

from revdiff.compare.apply import apply_changes
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Design
from tests.support import judged, load

_TOML = '[design]\nname = "d"\n[boards.main]\nparts = { file = "parts.csv", package_code = "inch" }\n'
HEAD = "Designator,Value,Package,Manufacturer,MPN,Voltage,Description"


def files(rows: str, head: str = HEAD) -> dict[str, str]:
    return {"revdiff.toml": _TOML, "parts.csv": f"{head}\n{rows}"}


def compared(old: str, new: str, head: str = HEAD) -> Comparison:
    return compare_designs(_read(old, head), _read(new, head))


def _read(rows: str, head: str) -> Design:
    return load(files(rows, head))


def lines(comparison: Comparison) -> list[str]:
    return [f"{item.kind} {item.subject}: {item.before} → {item.after}" for item in comparison.changes]


def gives_the_second(comparison: Comparison) -> bool:
    result = apply_changes(comparison.changes, comparison.old)
    return {ref: part.data for ref, part in result.boards["main"].parts.items()} == {
        ref: part.data for ref, part in comparison.new.boards["main"].parts.items()
    }


OLD = "C1,1u,0805,Alba,AL-1U-25,25 V,bulk\nR1,10k,0603,Alba,AL-10K,,divider\nU1,QX7,SO-8,Brio,QX7-S,,amplifier\n"


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        (
            "C1,1u,0805,Alba,AL-1U-25,25 V,bulk",
            "C1,2u2,0603,Brio,BR-2U2,16 V,bulk",
            "part.value C1: 1u 0805 Alba AL-1U-25 25 V → 2u2 0603 Brio BR-2U2 16 V",
        ),
        (
            "R1,10k,0603,Alba,AL-10K,,divider",
            "R1,10k,0402,Alba,AL-10K-S,,divider",
            "part.package R1: 10k 0603 Alba AL-10K → 10k 0402 Alba AL-10K-S",
        ),
        (
            "U1,QX7,SO-8,Brio,QX7-S,,amplifier",
            "U1,QX7,SO-8,Caro,QX7-C,,amplifier",
            "part.substituted U1: QX7 SO-8 Brio QX7-S → QX7 SO-8 Caro QX7-C",
        ),
        (
            "C1,1u,0805,Alba,AL-1U-25,25 V,bulk",
            "C1,1u,0805,Brio,BR-1U,16 V,bulk",
            "part.rating C1: 1u 0805 Alba AL-1U-25 25 V → 1u 0805 Brio BR-1U 16 V",
        ),
        ("R1,10k,0603,Alba,AL-10K,,divider", "R1,12k,0603,Alba,AL-10K,,divider", "part.value R1: 10k → 12k"),
        ("C1,1u,0805,Alba,AL-1U-25,25 V,bulk", "C1,1u,0805,Alba,AL-1U-25,16 V,bulk", "part.rating C1: 25 V → 16 V"),
        ("R1,10k,0603,Alba,AL-10K,,divider", "R1,10k,0603,Alba,AL-10K,,gain", "part.field R1: divider → gain"),
    ],
    ids=[
        "everything",
        "package and number",
        "maker and number",
        "rating, maker",
        "value alone",
        "rating alone",
        "text",
    ],
)
def test_a_replaced_part_is_one_entry_with_all_that_names_it(before: str, after: str, told: str) -> None:
    comparison = compared(OLD, OLD.replace(before, after))
    assert lines(comparison) == [told]
    assert gives_the_second(comparison)


def test_a_part_that_is_also_left_out_and_dearer_tells_that_besides() -> None:
    head = "Designator,Value,MPN,Fitted,Price"
    comparison = compared("R1,10k,A-10K,yes,0.10\n", "R1,12k,A-12K,no,0.20\n", head)
    assert [item.kind for item in comparison.changes] == ["part.value", "part.fitted", "part.cost"]


ROW = "".join(f"R{number},10k,0603,Alba,AL-10K,,{'divider' if number % 2 else 'pull'}\n" for number in range(1, 301))


def test_rows_that_read_the_same_on_the_page_are_one_entry_though_their_descriptions_differ() -> None:
    new = ROW.replace("10k,0603,Alba,AL-10K,,divider", "12k,0603,Alba,AL-12K,,upper")
    new = new.replace("10k,0603,Alba,AL-10K,,pull", "12k,0603,Alba,AL-12K,,lower")
    comparison = compared(ROW, new)
    assert lines(comparison) == ["part.value R1–R300: 10k 0603 Alba AL-10K → 12k 0603 Alba AL-12K"]
    assert gives_the_second(comparison)


def test_rows_that_read_differently_are_told_apart() -> None:
    new = ROW.replace("R7,10k", "R7,12k").replace("R8,10k", "R8,15k")
    assert lines(compared(ROW, new)) == ["part.value R7: 10k → 12k", "part.value R8: 10k → 15k"]


def test_parts_that_come_and_read_the_same_are_one_entry() -> None:
    new = OLD + "R2,1M,0603,Alba,AL-1M,,upper\nR3,1M,0603,Alba,AL-1M,,lower\n"
    comparison = compared(OLD, new)
    assert lines(comparison) == ["part.added R2, R3:  → 1M 0603 Alba AL-1M"]
    assert gives_the_second(comparison)
    assert lines(compared(new, OLD)) == ["part.removed R2, R3: 1M 0603 Alba AL-1M → "]


def _findings(old: str, new: str, rule: str, head: str = HEAD) -> list[str]:
    return [
        f"{item.subject}: {item.message}"
        for item in judged(files(old, head), files(new, head)).findings
        if item.rule == rule
    ]


@pytest.mark.parametrize(
    ("before", "after", "subjects"),
    [
        ("R1,10k,0603,Alba,AL-10K", "R1,12k,0603,Alba,AL-10K", ["R1 value"]),
        ("R1,10k,0603,Alba,AL-10K", "R1,12k,0402,Alba,AL-10K", ["R1 package", "R1 value"]),
        ("R1,10k,0603,Alba,AL-10K", "R1,12k,0603,Alba,AL-12K", []),
        ("R1,10k,0603,Alba,AL-10K", "R1,12k,0603,Alba,", []),
        ("R1,10k,0603,Alba,", "R1,12k,0603,Alba,AL-12K", []),
        ("R1,10k,0603,Alba,", "R1,12k,0603,Alba,", []),
    ],
    ids=["kept", "kept for both", "another", "gone", "new", "none"],
)
def test_part_number_kept_reads_both_numbers(before: str, after: str, subjects: list[str]) -> None:
    found = _findings(
        before + ",,\nR2,1k,0603,Alba,AL-1K,,\n", after + ",,\nR2,1k,0603,Alba,AL-1K,,\n", "part-number-kept"
    )
    assert [item.partition(":")[0] for item in found] == subjects


def test_a_part_number_that_the_old_list_had_no_column_for_was_not_kept() -> None:
    old = {**files("R1,10k\nR2,1k\n", "Designator,Value")}
    new = {**files("R1,12k,AL-10K\nR2,1k,AL-1K\n", "Designator,Value,MPN")}
    assert [item.rule for item in judged(old, new).findings if item.rule == "part-number-kept"] == []


def test_of_parts_told_together_only_those_that_kept_their_number_are_named() -> None:
    rows = "R1,10k,AL-10K\nR2,10k,\nR3,1k,AL-1K\n"
    found = _findings(rows, rows.replace("10k", "12k"), "part-number-kept", "Designator,Value,MPN")
    assert [item.partition(":")[0] for item in found] == ["R1 value"]


@pytest.mark.parametrize(
    ("after", "told"),
    [
        ("R1,100k,0603,Alba,AL-10K,,divider", ["R1"]),
        ("R1,100k,0402,Alba,AL-10K,,divider", ["R1"]),
        ("R1,100k,0603,Alba,AL-100K,,divider", []),
        ("R1,100k,0603,Alba,AL-10K,,pull to ground", []),
    ],
    ids=["value alone", "value and package", "its number moved with it", "its description moved with it"],
)
def test_magnitude_is_silent_where_number_or_description_moved_with_the_value(after: str, told: list[str]) -> None:
    found = _findings(OLD, OLD.replace("R1,10k,0603,Alba,AL-10K,,divider", after), "part-value-magnitude")
    assert [item.partition(":")[0] for item in found] == told


def test_designator_reused_names_the_part_that_took_over() -> None:
    old = OLD.replace("U1,", "U2,QZ1,SOT-23,Caro,QZ1-T,,reference\nU1,")
    (found,) = _findings(
        OLD, OLD.replace("U1,QX7,SO-8,Brio,QX7-S,,amplifier", "U1,TR9,QFN-16,Caro,TR9-Q,,bus"), "part-designator-reused"
    )
    assert found == "U1: names another part now: it was QX7 SO-8 Brio QX7-S; it is TR9 QFN-16 Caro TR9-Q"
    (found,) = _findings(
        old,
        old.replace("U2,QZ1", "U1,QZ1").replace("U1,QX7,SO-8,Brio,QX7-S,,amplifier\n", ""),
        "part-designator-reused",
    )
    assert found == "U1: names another part now: it was QX7 SO-8 Brio QX7-S; it is QZ1 SOT-23 Caro QZ1-T, which was U2"


def test_parts_that_go_are_one_entry_though_their_rows_are_written_in_several_ways() -> None:
    old = OLD + "R2,180k,0402,Alba,AL-180K,,\nR3,180000,0402,ALBA,AL-180K,,\nR4,180 kOhm,0402,Alba,al-180k,,\n"
    assert lines(compared(old, OLD)) == ["part.removed R2–R4: 180k 0402 Alba AL-180K → "]
