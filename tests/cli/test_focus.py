"""``compare --summary``, ``--board`` and ``--only``: a part of what was found, never taken for the whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import Run


def shown(run: Run, demo: Path, *options: str) -> str:
    done = run("compare", "rev-b", "rev-c", "--repo", demo, *options)
    assert done.returncode == 0, done.stderr
    return " ".join(done.stdout.split())


def answer(page: str) -> str:
    return page.partition("Stacking ")[2].partition("Parts ")[0]


def test_the_summary_is_the_start_of_the_report(run: Run, demo: Path) -> None:
    whole, summary = shown(run, demo), shown(run, demo, "--summary")
    assert whole.startswith(summary)
    assert "hazard" in summary
    assert "Cause by cause" not in summary
    assert len(summary) < len(whole) / 3


@pytest.mark.parametrize("options", [("--board", "radio"), ("--only", "buying"), ("--only", "documentation")])
def test_a_part_says_how_much_it_leaves_out_and_keeps_the_answer(
    run: Run, demo: Path, options: tuple[str, str]
) -> None:
    part = shown(run, demo, *options)
    assert f"Only what concerns {options[1]}; left out:" in part
    assert "hazards among them" in part
    assert answer(part) == answer(shown(run, demo))
    assert "No change was found" not in part


def test_a_board_shows_what_concerns_it(run: Run, demo: Path) -> None:
    part = shown(run, demo, "--board", "radio", "--detail")
    assert "radio" in part
    assert "VALVE1" not in part


def test_what_follows_from_a_change_that_is_left_out_is_not_called_harmless(run: Run, demo: Path) -> None:
    part = shown(run, demo, "--only", "documentation")
    assert "HEAT_EN" not in part.partition("Everything else")[2]


def test_several_may_be_given(run: Run, demo: Path) -> None:
    part = shown(run, demo, "--board", "radio", "--board", "valves", "--only", "stacking")
    assert "Only what concerns radio, valves, stacking;" in part


def test_the_status_counts_what_is_left_out(run: Run, demo: Path) -> None:
    options = ("--only", "documentation", "--fail-on", "break")
    assert run("compare", "rev-b", "rev-c", "--repo", demo, *options).returncode == 1


WRONG = [
    (("--board", "bass"), "there is no board 'bass'; there are base, valves, radio"),
    (("--only", "stack"), "stacking"),
    (("--summary", "--format", "json"), "JSON holds all of it"),
]


@pytest.mark.parametrize(("options", "said"), WRONG)
def test_what_can_not_be_shown_is_told(run: Run, demo: Path, options: tuple[str, ...], said: str) -> None:
    done = run("compare", "rev-b", "rev-c", "--repo", demo, *options)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
