"""Parts: who is who after designators changed, and what really changed besides."""

from __future__ import annotations

import pytest

from tests.compare.boards import changes, design, told
from tests.support import SMALL, compare, load

_TEN = "R1 10k 0603, R2 22k 0603, R3 47k 0603, R4 1k 0603, R5 4k7 0603, R6 100k 0603, R7 330R 0603, R8 2k2 0603"


def _numbers(parts: str, *numbers: int) -> str:
    """The same parts with other numbers."""
    return ", ".join(
        f"{item[0]}{number} {item.partition(' ')[2]}" for item, number in zip(parts.split(", "), numbers, strict=True)
    )


def _without(parts: str, ref: str) -> str:
    return ", ".join(item for item in parts.split(", ") if not item.startswith(f"{ref} "))


PATTERNS = [
    (
        "a block shifted by an offset",
        _numbers(_TEN, 1, 2, 3, 4, 105, 106, 107, 108),
        ["part.renumbered R5–R8 → R105–R108 (shifted by +100)"],
    ),
    (
        "the whole class shifted",
        _numbers(_TEN, *range(11, 19)),
        ["part.renumbered R1–R8 → R11–R18 (shifted by +10)"],
    ),
    (
        "a class renumbered in another order",
        _numbers(_TEN, 6, 4, 1, 8, 3, 7, 5, 2),
        ["part.renumbered R1–R8 → R1–R8 (renumbered in another order)"],
    ),
    (
        "two designators exchanged",
        _numbers(_TEN, 1, 7, 3, 4, 5, 6, 2, 8),
        ["part.renumbered R2, R7 → R2, R7 (exchanged)"],
    ),
    (
        "numbers closed up after a removal",
        _numbers(_without(_TEN, "R3"), 1, 2, 3, 4, 5, 6, 7),
        ["part.renumbered R4–R8 → R3–R7 (shifted by -1)", "part.removed R3"],
    ),
    (
        "numbers opened for an addition",
        _numbers(_TEN, 1, 2, 4, 5, 6, 7, 8, 9) + ", R3 1M 0805",
        ["part.renumbered R3–R8 → R4–R9 (shifted by +1)", "part.added R3 (designator used again for another part)"],
    ),
    ("a stray number", _numbers(_TEN, 1, 2, 30, 4, 5, 6, 7, 8), ["part.renumbered R3 → R30"]),
]


@pytest.mark.parametrize(("after", "expected"), [item[1:] for item in PATTERNS], ids=[item[0] for item in PATTERNS])
def test_a_renumbering_is_one_change_that_names_its_pattern(after: str, expected: list[str]) -> None:
    assert told(design(_TEN), design(after)) == expected


def test_a_value_changed_inside_a_shifted_block_is_told_besides() -> None:
    after = _numbers(_TEN, *range(11, 19)).replace("4k7", "5k6")
    assert told(design(_TEN), design(after)) == [
        "part.value R15",
        "part.renumbered R1–R8 → R11–R18 (shifted by +10)",
    ]


def test_a_value_changed_in_a_class_that_was_renumbered_is_told_besides() -> None:
    after = _numbers(_TEN, 6, 4, 1, 8, 3, 7, 5, 2).replace("R3 4k7", "R3 5k6")
    found = told(design(_TEN), design(after))
    assert found == ["part.value R3", "part.renumbered R1–R8 → R1–R8 (renumbered in another order)"]


def test_parts_that_changed_in_the_same_way_make_one_change() -> None:
    before = "R1 10k 0603 A, R2 10k 0603 A, R3 10k 0805 B"
    assert told(design(before), design(before.replace("10k", "12k"))) == ["part.value R1–R3"]


def test_a_designator_used_again_for_another_part_is_told_as_such() -> None:
    before = "U1 regulator SOT-223 VR-1 supply, U2 memory SO-8 M-1 storage"
    after = "U1 transceiver SO-14 TX-9 bus, U2 memory SO-8 M-1 storage"
    assert told(design(before), design(after)) == [
        "part.added U1 (designator used again for another part)",
        "part.removed U1 (designator used again for another part)",
    ]


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("U1 regulator SOT-223 VR-1 supply", "U1 regulator SOT-89 VR-2 supply", ["part.package U1"]),
        ("R1 10k 0603 A x", "R1 22k 0805 B y", ["part.value R1"]),
    ],
    ids=["something that names the part stayed", "a passive part is named by its place"],
)
def test_a_part_that_changed_much_is_still_the_same_where(before: str, after: str, expected: list[str]) -> None:
    assert told(design(before), design(after)) == expected


def test_two_parts_that_shifted_alike_by_chance_are_no_block() -> None:
    # Two of eight values meet equal ones one number further on; telling two values is shorter than any block.
    before = "R1 10k, R2 22k, R3 10k, R4 1k, R5 4k7, R6 100k, R7 330R, R8 2k2"
    after = "R1 10k, R2 10k, R3 10k, R4 1k, R5 4k7, R6 100k, R7 330R, R8 2k2"
    assert told(design(before), design(after)) == ["part.value R2"]


def test_a_stray_with_other_data_is_a_removal_and_an_addition() -> None:
    assert told(design("R1 10k 0603, R2 1k 0603"), design("R1 10k 0603, R9 330k 1206")) == [
        "part.added R9",
        "part.removed R2",
    ]


def test_a_stray_that_changed_as_its_row_did_is_still_the_same_part() -> None:
    old = design("R1 10k 0603 A, R2 10k 0603 A, R3 10k 0603 A, R4 1k")
    new = design("R1 12k 0402 B, R2 12k 0402 B, R30 12k 0402 B, R4 1k")
    assert told(old, new) == ["part.value R1, R2, R30", "part.renumbered R3 → R30"]


def test_an_extra_column_under_a_header_in_other_case_changes_nothing() -> None:
    rows = [f"R{number},{value},x{number}\n" for number, value in enumerate(("10k", "22k", "47k", "1k", "4k7"), 1)]
    files = {
        "revdiff.toml": '[design]\nname = "d"\n[boards.main]\nparts = "parts.csv"\n',
        "parts.csv": "Designator,Value,Remark\n" + "".join(rows),
    }
    shifted = "".join(row.replace("R", "R1", 1) for row in rows)
    again = {**files, "parts.csv": "Designator,Value,REMARK\n" + shifted}
    assert told(load(files), load(again)) == ["part.renumbered R1–R5 → R11–R15 (shifted by +10)"]


def test_identical_parts_are_paired_by_number() -> None:
    row = ", ".join(f"C{number} 100n 0603" for number in range(1, 6))
    assert told(design(row), design(row.replace("C2 100n 0603, ", ""))) == ["part.removed C2"]


def test_another_value_brings_its_part_number_and_description() -> None:
    (change,) = changes(design("R1 10k 0603 A-10K divider"), design("R1 12k 0603 A-12K ratio"))
    assert (change.kind, [item.name for item in change.fields]) == (
        "part.value",
        ["value", "part_number", "description"],
    )


def test_strict_names_infers_nothing() -> None:
    after = _numbers(_TEN, 1, 2, 3, 4, 105, 106, 107, 108)
    found = told(design(_TEN), design(after), strict=True)
    assert [line.split()[0] for line in found] == ["part.added"] * 4 + ["part.removed"] * 4


def test_a_controller_takes_its_pin_map_and_its_part_with_it() -> None:
    old = design("U1 controller QFP-8, R1 10k", pins={"U1": "A B C D"})
    new = design("U4 controller QFP-8, R1 10k", pins={"U4": "A B C D"})
    assert told(old, new) == ["part.renumbered U1 → U4 (controller, with its pin map)"]


@pytest.mark.parametrize("level", ["stated", "exact", "identical", "inferred"])
def test_inferred_matches_carry_evidence_and_confidence(level: str) -> None:
    found = changes(design(_TEN), design(_numbers(_TEN, 1, 7, 3, 4, 5, 6, 2, 108).replace("330R", "360R")))
    for change in found:
        if change.match is not None and change.match.level == level:
            assert change.match.evidence
            assert 0 < change.match.confidence <= 1


def test_a_column_that_one_list_lacks_is_not_compared_instead_of_changed_for_every_part() -> None:
    without = {**SMALL, "top/parts.csv": "Designator,Quantity,Value,Package\nR1,1,10k,0603\n"}
    for old, new in ((SMALL, without), (without, SMALL)):
        comparison = compare(old, new)
        assert comparison.changes == ()
        assert [(item.board, item.field, item.no_column) for item in comparison.unclear] == [
            ("top", "part_number", True)
        ]


def test_an_emptied_cell_of_a_column_that_is_there_is_a_change() -> None:
    old = {**SMALL, "top/parts.csv": "Designator,Value,Part number\nR1,10k,RA-10K\nR2,1k,RA-1K\n"}
    new = {**SMALL, "top/parts.csv": "Designator,Value,Part number\nR1,10k,\nR2,1k,RA-1K\n"}
    assert [item.kind for item in compare(old, new).changes] == ["part.substituted"]
