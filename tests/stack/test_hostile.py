"""Whatever stands in the cells, a stack is judged or a fault is told: never a traceback."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from revdiff.errors import RevdiffError
from revdiff.judge import judge_stack, member
from tests.stack.support import THREE
from tests.support import load

WORDS = (
    ",in,out,open drain,supply in,supply out,ground,5 V,3.3 V,0 V,-5 V,1 A,up 4k7,down 10k,up 0,no pull,GND,+3V3,NC,"
    "I2C1_SCL,nCS,0xFF,999,1000000,zig-zag"
)
CELLS = st.sampled_from(WORDS.split(","))
TABLES = st.sampled_from([name for name in THREE if name.endswith(".csv")])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(TABLES, st.integers(1, 12), st.integers(0, 9), CELLS), max_size=5))
def test_a_stack_of_any_tables_is_judged(edits: list[tuple[str, int, int, str]]) -> None:
    files = {name: text.split("\n") for name, text in THREE.items()}
    for name, line, column, cell in edits:
        if line < len(files[name]) - 1:
            row = files[name][line].split(",")
            row[column % len(row)] = cell
            files[name][line] = ",".join(row)
    try:
        design = load({name: "\n".join(lines) for name, lines in files.items()})
    except RevdiffError:
        return
    verdict = judge_stack(member(design, board, "r") for board in design.boards)
    assert verdict.answer
    assert len({item.id for item in verdict.findings}) == len(verdict.findings)


def test_a_count_that_is_a_slip_of_the_pen_costs_nothing() -> None:
    files = {**THREE, "base/connectors.csv": THREE["base/connectors.csv"].replace("joint,6,1", "joint,1000000,1")}
    design = load(files)
    assert judge_stack(member(design, board, "r") for board in design.boards).answer == "does not fit"
