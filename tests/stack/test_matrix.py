"""The matrix: revisions with one face are one, each distinct pair is judged once, and plain words say what fits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from revdiff.judge import Belonging, Member, Shared, Verdict, judge_stack, member
from revdiff.judge.digest import digest
from revdiff.judge.matrix import Matrix, Variant, allowed, build_matrix, count
from revdiff.release.support import support_lines
from tests.stack.support import THREE, TOP, Edit
from tests.support import SMALL, edit, load


def matrix_of(revisions: Mapping[str, tuple[Edit, ...]], files: Mapping[str, str] = SMALL) -> Matrix:
    """The matrix of one design at several revisions, each given by its edits."""
    designs = {name: load(edit(files, *edits), name) for name, edits in revisions.items()}
    boards = dict.fromkeys(board for design in designs.values() for board in design.boards)
    return build_matrix(
        {
            board: [member(design, board, name) for name, design in designs.items() if board in design.boards]
            for board in boards
        }
    )


def answers(matrix: Matrix) -> list[list[str]]:
    [grid] = matrix.grids
    return [[cell.answer for cell in row] for row in grid.cells]


MOVED: tuple[Edit, ...] = (
    ("base/contacts.csv", "J1,1,+5V,supply,5 V,1 A", "J1,1,,,,"),
    ("base/contacts.csv", "J1,6,,,,", "J1,6,+5V,supply,5 V,1 A"),
    ("top/contacts.csv", "J1,1,+5V,supply,5 V,1 A", "J1,1,,,,"),
    ("top/contacts.csv", "J1,6,,,,", "J1,6,+5V,supply,5 V,1 A"),
)


def test_revisions_that_a_partner_cannot_tell_apart_are_put_together() -> None:
    prices = ("base/parts.csv", "0.30", "0.31")
    notation = ("base/connectors.csv", "2.54 mm", "0.1 in")
    matrix = matrix_of({"a": (), "b": (prices,), "c": (prices, notation), "d": MOVED})
    [grid] = matrix.grids
    assert [item.revisions for item in grid.rows] == [("a", "b", "c"), ("d",)]
    assert answers(matrix) == [["fits", "does not fit"], ["does not fit", "fits"]]


def test_a_face_is_what_partners_see_and_not_how_it_is_written() -> None:
    face = digest(load(SMALL), "base")
    assert face == digest(load(edit(SMALL, ("base/contacts.csv", "supply,5 V", "supply,5000 mV"))), "base")
    assert face == digest(load(edit(SMALL, ("base/parts.csv", "R1,1,10k", "R1,1,22k"))), "base")
    assert face != digest(load(edit(SMALL, ("base/contacts.csv", "supply,5 V", "supply,5.1 V"))), "base")
    assert face != digest(load(edit(SMALL, ("base/pins.csv", "high,down", "high,up"))), "base")


def test_each_distinct_pair_is_judged_once(monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[str] = []

    def counting(members: Iterable[Member], taught: Belonging, shared: Shared) -> Verdict:
        found = judge_stack(members, taught, shared)
        judged.append(found.title)
        return found

    monkeypatch.setattr("revdiff.judge.matrix.judge_stack", counting)
    many = {f"v{number}": (("base/parts.csv", "0.30", f"0.{number + 10}"),) for number in range(20)}
    matrix_of({**many, "w": MOVED})
    assert len(judged) == 4


def test_a_whole_stack_may_not_fit_though_every_pair_does() -> None:
    """2k2 ‖ 2k2 and 2k2 ‖ 4k7 are above 967 Ω, 2k2 ‖ 2k2 ‖ 4k7 = 891 Ω is not (UM10204 section 7.1)."""
    strong = tuple(
        (f"{board}/pins.csv", f"SCL,{function},open drain,,up 4k7", f"SCL,{function},open drain,,up 2k2")
        for board, function in (("base", "I2C1_SCL"), ("mid", "I2C"))
    )
    matrix = matrix_of({"a": strong}, THREE)
    assert [cell.answer for grid in matrix.grids for row in grid.cells for cell in row] == ["fits", "fits"]
    [whole] = matrix.stacks
    assert whole.verdict.answer == "does not fit"
    assert {item.rule for item in whole.verdict.findings} == {"stack-bus-pull"}


def test_whole_stacks_with_a_pair_that_does_not_fit_are_left_out() -> None:
    other = (TOP, "I2C1_SCL,open drain,3.3 V,,I2C,", "I2C1_SCL,open drain,3.3 V,,I2C,up 1k")
    matrix = matrix_of({"a": (), "b": (other,)}, THREE)
    assert [[variant.name for variant in item.variants] for item in matrix.stacks] == [["a, b", "a, b", "a"]]


SMALL_BASE = load(SMALL, "a")


def variant(board: int, number: int) -> Variant:
    name = f"r{number}"
    return Variant(f"b{board}", (name,), replace(member(SMALL_BASE, "base", name), place=f"b{board}"))


PLACES = st.tuples(st.integers(0, 3), st.integers(0, 2))  # board, variant


@given(st.lists(st.integers(1, 3), min_size=1, max_size=4), st.sets(st.tuples(PLACES, PLACES)))
def test_whole_stacks_are_counted_as_if_each_were_looked_at(
    sizes: list[int], bad: set[tuple[tuple[int, int], tuple[int, int]]]
) -> None:
    choices = [[variant(board, number) for number in range(size)] for board, size in enumerate(sizes)]
    pairs = frozenset(frozenset((f"b{a}@r{x}", f"b{b}@r{y}")) for (a, x), (b, y) in bad if a != b)
    each = [
        chosen
        for chosen in product(*choices)
        if not any(frozenset((one.label, two.label)) in pairs for one, two in combinations(chosen, 2))
    ]
    assert list(allowed(choices, pairs)) == each
    assert count(choices, pairs) == len(each)


def test_eight_boards_of_six_variants_are_counted_and_not_made() -> None:
    """6⁸ = 1,679,616 stacks, less those with the one pair that is bad: 35/36 of them are left."""
    choices = [[variant(board, number) for number in range(6)] for board in range(8)]
    assert count(choices, frozenset()) == 6**8
    assert count(choices, frozenset({frozenset(("b0@r0", "b7@r0"))})) == 6**8 * 35 // 36


def test_what_fits_is_said_in_plain_words() -> None:
    lost: Edit = ("base/contacts.csv", "J1,5,HEAT,out,3.3 V", "J1,5,,,")
    lines = support_lines(
        matrix_of({"a": (lost,), "b": (), "c": (("top/contacts.csv", "HEAT,in", "HEAT,bidirectional"),)})
    )
    assert lines[0] == (
        "top a, b, c need base b or later; base a: HEAT of top meets nothing: base carries it nowhere on J1 (top.J1.5)."
    )


def test_boards_that_go_with_everything_say_so() -> None:
    changed = ("base/contacts.csv", "HEAT,out", "HEAT,bidirectional")
    assert support_lines(matrix_of({"a": (), "b": (changed,)})) == (
        "top a, b go with every base.",
        "base a, b go with every top.",
    )
