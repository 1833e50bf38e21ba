"""Waivers: one meaning in every command, told whatever becomes of them, and never a finding less."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest

from revdiff.app.check import check_change
from revdiff.app.review import review_revisions
from revdiff.release.check import Check
from tests.app.support import BREAK, RULE, SUBJECT, Project, broken, with_manifest
from tests.conftest import Run
from tests.support import SMALL, edit, load

SUPPLY = f"{RULE}/{SUBJECT}"
REASON, WHO = "the regulator on top takes 24 V", "M. Maintainer"


def waived(*lines: str, rule: str = RULE, subject: str = SUBJECT) -> dict[str, str]:
    """The small design with one waiver; further lines of it as they stand."""
    text = f'[[waivers]]\nrule = "{rule}"\nsubject = "{subject}"\nreason = "{REASON}"\nwho = "{WHO}"\n'
    return with_manifest(SMALL, ("", text + "".join(f"{line}\n" for line in lines)))


def checked(root: Path, *lines: str, today: date | None = None, subject: str = SUBJECT) -> Check:
    """The break, proposed to a base with that waiver."""
    made = Project(root, waived(*lines, subject=subject))
    made.release("rev-a")
    return made.check(edit(made.files, BREAK), today=today)


def state(check: Check) -> str:
    (use,) = check.waivers
    return use.state


def test_a_waived_break_does_not_fail_a_check_and_is_told_with_its_reason(tmp_path: Path) -> None:
    check = checked(tmp_path)
    assert broken(check) == set()
    assert not check.fails("break")
    (found,) = [
        item.finding for item in check.findings if item.finding.subject == SUBJECT and item.finding.rule == RULE
    ]
    assert found.severity == "break"
    assert f"waived by {WHO}: {REASON}" in found.told
    assert state(check) == "used"


def test_a_waived_hazard_stays_a_hazard(tmp_path: Path) -> None:
    check = checked(tmp_path)
    assert [item.finding.hazard for item in check.findings if item.finding.waiver is not None] == [True]


@pytest.mark.parametrize(
    ("subject", "lines", "covered"),
    [
        ("base.J1.1-top.J1.1", (), True),  # a plain hyphen is easier to type
        ("Base.J1.1–Top.J1.1", (), True),
        ("base.J1.2–top.J1.2", (), False),
        ("base.J1", (), False),
        ("*", (), False),
        (SUBJECT, ('between = "base + top"',), True),
        (SUBJECT, ('between = "top + base"',), True),
        (SUBJECT, ('between = "base + other"',), False),
    ],
)
def test_a_waiver_names_its_finding_exactly(tmp_path: Path, subject: str, lines: Sequence[str], covered: bool) -> None:
    check = checked(tmp_path, *lines, subject=subject)
    assert (SUPPLY not in broken(check)) is covered
    assert state(check) == ("used" if covered else "unused")


def test_another_rule_at_the_same_place_is_not_waived(tmp_path: Path) -> None:
    made = Project(tmp_path, waived(rule="joint-current"))
    check = made.check(edit(made.files, BREAK))
    assert SUPPLY in broken(check)


# the commits of these repositories are of 2024-03-02
@pytest.mark.parametrize(
    ("until", "today", "found"),
    [
        ("2024-03-02", None, "used"),
        ("2024-03-01", None, "expired"),
        ('"2024-03-01"', None, "expired"),
        ("2024-03-05", date(2024, 3, 5), "used"),
        ("2024-03-05", date(2024, 3, 6), "expired"),
        ('"rev-b"', None, "used"),  # there is no such tag yet
        ('"rev-a"', None, "expired"),  # the base is rev-a
    ],
)
def test_a_waiver_counts_to_its_last_day_or_until_its_tag_is_there(
    tmp_path: Path, until: str, today: date | None, found: str
) -> None:
    check = checked(tmp_path, f"until = {until}", today=today)
    assert state(check) == found
    assert (SUPPLY in broken(check)) is (found != "used")


def test_a_date_from_the_past_in_a_commit_of_the_change_keeps_no_waiver_alive(tmp_path: Path) -> None:
    made = Project(tmp_path, waived("until = 2024-03-01"))
    made.propose(edit(made.files, BREAK))
    old = made.shop.git("commit-tree", "change^{tree}", "-p", "main", "-m", "old")
    data = made.shop.git("cat-file", "commit", old).replace("1709400600", "1000000000")
    made.shop.git("update-ref", "refs/heads/change", made.shop.object("commit", (data + "\n").encode()))
    check = check_change("main", "change", repository=made.shop.root)
    assert check.change.date.startswith("2001")
    assert state(check) == "expired"


def test_without_any_date_a_waiver_with_an_end_does_not_count(tmp_path: Path) -> None:
    for name, files in (("old", waived("until = 2999-01-01")), ("new", edit(waived("until = 2999-01-01"), BREAK))):
        for path, text in files.items():
            (tmp_path / name / path).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / name / path).write_text(text)
    old, new = f"folder:{tmp_path / 'old'}", f"folder:{tmp_path / 'new'}"
    assert [use.state for use in review_revisions(old, new).waivers] == ["undecided"]
    assert [use.state for use in review_revisions(old, new, today=date(2024, 1, 1)).waivers] == ["used"]


@pytest.mark.parametrize(
    ("entry", "code", "line"),
    [
        ('rule = "joint-pitch"\nsubject = "a"\nwho = "b"', "wrong-section", 1),
        ('rule = "joint-pitch"\nsubject = "a"\nreason = ""\nwho = "b"', "wrong-section", 4),
        ('rule = "no-such-rule"\nsubject = "a"\nreason = "c"\nwho = "b"', "unknown-rule", 2),
        ('rule = "joint-pitch"\nsubject = "a"\nreason = "c"\nwho = "b"\nuntil = 7', "wrong-section", 6),
        ('rule = "joint-pitch"\nsubject = "a"\nreason = "c"\nwho = "b"\nuntill = "rev-d"', "unknown-key", 6),
    ],
)
def test_a_faulty_waiver_is_a_located_fault_and_does_not_count(
    tmp_path: Path, entry: str, code: str, line: int
) -> None:
    files = with_manifest(SMALL, ("", f"[[waivers]]\n{entry}\n"))
    start = SMALL["revdiff.toml"].count("\n")
    made = Project(tmp_path, files)
    check = made.check(edit(files, BREAK))
    faults = [(item.code, item.origin.line - start) for item in check.diagnostics if item.severity == "fault"]
    assert (code, line) in faults
    if code != "unknown-rule":
        assert load(files).sections.waivers == ()


@pytest.mark.parametrize(("rule", "near"), [("stack-pull-conflict", None), ("joint-pich", "joint-pitch"), ("x", "")])
def test_what_a_design_allows_itself_is_a_rule_that_there_is(tmp_path: Path, rule: str, near: str | None) -> None:
    """The first has its name of before."""
    made = Project(tmp_path, with_manifest(SMALL, ("", f'[stacking]\nallow = ["{rule}"]\n')))
    said = [item for item in made.check(edit(made.files, BREAK)).diagnostics if item.code == "unknown-rule"]
    assert [near in (item.expected or "") for item in said if near is not None] == (
        [] if near is None else [True] * len(said)
    )
    assert bool(said) is (near is not None)


# one meaning in every command


@pytest.fixture
def released(tmp_path: Path) -> Project:
    """rev-a, which waives the break, and rev-b, which brings it."""
    made = Project(tmp_path / "project", waived())
    made.release("rev-a")
    made.save(edit(made.files, BREAK))
    made.release("rev-b")
    return made


COMMANDS = (
    ("compare", "rev-a", "rev-b"),
    ("compare", "rev-a", "rev-b", "--format", "markdown"),
    ("check", "rev-a", "rev-b"),
    ("stack", "base@rev-b", "top@rev-a"),
    ("stack", "base@rev-b", "top@rev-a", "--format", "markdown"),
    ("notes", "rev-a", "rev-b"),
)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_every_command_tells_the_waived_finding_and_the_waiver(
    run: Run, released: Project, words: Sequence[str]
) -> None:
    done = run(*words, "--repo", released.shop.root)
    text = " ".join(done.stdout.replace("\\", "").split())
    assert f"waived by {WHO}: {REASON}" in text
    assert f"used: {RULE}" in text


@pytest.mark.parametrize(
    "words",
    [
        ("compare", "rev-a", "rev-b"),
        ("check", "rev-a", "rev-b"),
        ("stack", "base@rev-b", "top@rev-a"),
        ("matrix",),
    ],
    ids=" ".join,
)
def test_no_command_fails_on_it_but_where_the_waiver_has_lapsed(
    run: Run, released: Project, words: Sequence[str]
) -> None:
    assert run(*words, "--repo", released.shop.root, "--fail-on", "break").returncode == 0
    released.save({**SMALL, "revdiff.toml": SMALL["revdiff.toml"] + "# nothing is waived\n"})
    released.release("rev-c")
    where = ("--waivers", "rev-c") if words[0] != "check" else ()
    if where:
        assert run(*words, "--repo", released.shop.root, "--fail-on", "break", *where).returncode == 1


def test_a_waiver_of_the_new_revision_does_not_count_in_compare_or_stack(run: Run, tmp_path: Path) -> None:
    made = Project(tmp_path / "project")
    made.release("rev-a")
    made.save(edit(waived(), BREAK))
    made.release("rev-b")
    assert run("compare", "rev-a", "rev-b", "--repo", made.shop.root, "--fail-on", "break").returncode == 1


def test_json_holds_the_waiver(run: Run, released: Project) -> None:
    data = json.loads(run("compare", "rev-a", "rev-b", "--format", "json", "--repo", released.shop.root).stdout)
    (found,) = [item["waiver"] for item in data["findings"] if item["waiver"]]
    assert found == {"reason": REASON, "who": WHO, "until": ""}
    assert [item["state"] for item in data["waivers"]] == ["used"]
