"""What holds for every design of the table: one verdict, however asked for and spelled; less said, no less warning."""

from __future__ import annotations

from itertools import permutations

import pytest

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.design.diagnostic import FaultyDesign
from revdiff.judge import ChangeVerdict, Verdict, judge, judge_change, member
from revdiff.judge.arrangement import Arrangement
from tests.judge.designs.case import Answer, Case
from tests.judge.designs.notation import files
from tests.judge.designs.reduce import joints_turned, rows_turned, with_headers, without_columns, without_lines
from tests.judge.designs.run import changed, design_of, design_of_files, result_of, stacked
from tests.judge.designs.table import ALL

_UNFIT = (Answer.BREAK, Answer.UNFIT, Answer.HAZARD)
STACKS = [pytest.param(case, id=case.name) for _, case in ALL if not case.change and not case.ask]
CHANGES = [pytest.param(case, id=case.name) for _, case in ALL if case.change and not case.ask]
DANGEROUS = [
    pytest.param(case, id=case.name)
    for _, case in ALL
    if not case.change and not case.ask and case.answer in _UNFIT and "= file" not in case.text
]
# Columns that are themselves what makes a design unfit: without them nobody knows of the strap, the reserve, the start.
STATEMENTS = frozenset({"Strap", "Purpose", "State", "Power-on", "Fitted", "Switches", "Family", "Active"})
pytestmark = pytest.mark.slow

# Without these nobody may call a design a fit, whether or not they are named.
DECIDING = frozenset({"Level", "Maximum"})


# Lines of the manifest that are themselves what makes a design unfit, as those columns are: a limit, a strap, needs.
STATED_LIMITS = frozenset({"noise_margin", "contact_derating", "boot"})


def _heard(verdict: Verdict | ChangeVerdict) -> tuple[object, ...]:
    """The answer, and which rules speak how loudly."""
    return verdict.answer, sorted((item.rule, item.severity, item.hazard) for item in verdict.findings)


@pytest.mark.parametrize("case", STACKS)
def test_the_order_of_boards_has_no_effect(case: Case) -> None:
    design = design_of(case.text)
    found = [stacked(design, *names) for names in permutations(design.boards)]
    assert all(item == found[0] for item in found)


@pytest.mark.parametrize("case", STACKS)
def test_the_order_of_rows_has_no_effect(case: Case) -> None:
    assert _heard(stacked(design_of_files(rows_turned(files(case.text))))) == _heard(stacked(design_of(case.text)))


@pytest.mark.parametrize("case", STACKS)
def test_a_joint_is_the_same_from_both_ends(case: Case) -> None:
    assert _heard(stacked(design_of_files(joints_turned(files(case.text))))) == _heard(stacked(design_of(case.text)))


@pytest.mark.parametrize(
    "spelled", [str.upper, str.lower, lambda name: name.replace(" ", "_"), lambda name: f" {name} "]
)
@pytest.mark.parametrize("case", STACKS)
def test_the_spelling_of_headers_has_no_effect(case: Case, spelled: object) -> None:
    other = design_of_files(with_headers(files(case.text), spelled))  # type: ignore[arg-type]
    assert _heard(stacked(other)) == _heard(stacked(design_of(case.text)))


@pytest.mark.parametrize("case", CHANGES)
def test_the_names_of_tags_have_no_effect(case: Case) -> None:
    found = compare_designs(design_of(case.text), design_of(case.second))
    assert _heard(judge_change(found, "a", "z")) == _heard(judge_change(found, "z", "a"))


@pytest.mark.parametrize("case", CHANGES)
def test_a_change_of_nothing_brings_nothing(case: Case) -> None:
    for text in (case.text, case.second):
        assert changed(design_of(text), design_of(text)).findings == ()


def _stack(old: Design, new: Design, crossing: Verdict) -> str:
    """What the boards of a crossing are by themselves; empty where firmware of another revision runs on them."""
    members = []
    for label in crossing.title.split(" + "):
        name, _, revision = label.rpartition("@")
        design = old if revision == "old" else new
        if name not in design.boards:
            return ""
        members.append(member(design, name, revision))
    return judge(Arrangement.of(members)).answer


@pytest.mark.parametrize("case", CHANGES)
def test_comparing_and_stacking_are_of_one_mind(case: Case) -> None:
    """What is called a fit by the one is not called unfit by the other, where the old boards fit."""
    old, new = design_of(case.text), design_of(case.second)
    if old.contracts or any(board.pins for board in old.boards.values()) or stacked(old).answer != "fits":
        return
    for crossing in changed(old, new).crossings:
        alone = _stack(old, new, crossing)
        assert not (crossing.answer == "fits" and alone == "does not fit"), crossing.title
        assert not (crossing.answer == "does not fit" and alone == "fits" and _lasting(crossing)), crossing.title


def _lasting(crossing: Verdict) -> bool:
    """Whether a break of it is of a rule with a limit of its own: the others know only what worked before."""
    breaks = (item.rule for item in crossing.judged if item.danger in ("hazard", "break"))
    return any(getattr(rule, "worse", None) is None for rule in breaks)


@pytest.mark.parametrize("case", DANGEROUS)
def test_more_data_never_gives_less_warning(case: Case) -> None:
    """A dangerous design with a column less is not called a fit, or what is missing is named."""
    wrong = []
    for name, where, found in without_columns(files(case.text)):
        try:
            result = result_of(stacked(design_of_files(found)))
        except FaultyDesign:
            continue  # the reader asks for the column
        if where.startswith("f.csv") and name == "Direction":
            continue  # what a contract doesn't say, the pin map that it ships with does
        named = name.casefold() in result.asked.casefold()
        fits = result.answer in ("fits", "fits with care") and not any(
            item.severity == "caution" for item in result.found
        )
        if fits and name not in STATEMENTS and (name in DECIDING or not named):
            wrong.append(f"without {name} of {where}: {result.answer}; asked for: {result.asked}")
    assert wrong == []


@pytest.mark.parametrize("case", DANGEROUS)
def test_without_a_table_or_a_line_of_the_manifest_no_dangerous_design_is_a_silent_fit(case: Case) -> None:
    """What is missing is named, by its key or its section."""
    wrong = []
    for section, key, found in without_lines(files(case.text)):
        try:
            result = result_of(stacked(design_of_files(found)))
        except (FaultyDesign, AssertionError):
            continue  # the reader says so
        loud = any(item.severity == "caution" for item in result.found)
        named = any(word in result.asked for word in (key, section))
        if result.answer in ("fits", "fits with care") and not loud and not named and key not in STATED_LIMITS:
            wrong.append(f"without {key} of {section}: {result.answer}; asked for: {result.asked}")
    assert wrong == []
