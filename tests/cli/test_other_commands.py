"""``schema``, ``explain``, ``demo`` and ``notes`` as commands."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from revdiff.judge import drift
from revdiff.judge.registry import ALL
from revdiff.report.explain_text import explained, names
from tests.conftest import Run


def test_explain_lists_every_name_and_explains_each(run: Run) -> None:
    shown = run("explain").stdout
    listed = [line.split()[0] for line in shown.partition("\n\n")[0].splitlines() if not line.startswith(" ")]
    assert listed == [rule.name for rule in ALL]
    for name in names():
        assert name in shown
        told = explained(name, 88)
        assert told.startswith(f"{name}\n")
        assert max(map(len, told.splitlines())) <= 88
    for name in ("hazard", "need-pin", "table-path", "contact.swapped"):
        assert run("explain", name).stdout == explained(name, 88)


def test_every_code_that_is_told_can_be_explained() -> None:
    """Those of contradictions stand as texts in the file that finds them."""
    source = Path(drift.__file__).read_text(encoding="utf-8")
    assert set(re.findall(r'Drift\(\s*"([a-z-]+)"', source)) <= set(drift.MEANINGS)


def test_explain_tells_why_how_and_what_to_do(run: Run) -> None:
    shown = run("explain", "joint-pitch").stdout
    for heading in ("Why it matters:", "How it is worked out:", "Source:", "What to do:"):
        assert heading in shown


def test_explain_of_an_unknown_rule_names_near_ones(run: Run) -> None:
    done = run("explain", "joint-pich")
    assert done.returncode == 2
    assert "joint-pitch" in done.stderr


def test_schema_is_json_schema(run: Run) -> None:
    assert json.loads(run("schema").stdout)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_demo_has_the_same_commits_everywhere(run: Run, demo: Path, tmp_path: Path) -> None:
    done = run("demo", tmp_path / "again", TZ="Asia/Tokyo", GIT_AUTHOR_NAME="someone else")
    assert done.returncode == 0
    heads = [
        subprocess.run(["git", "-C", folder, "rev-parse", "rev-d"], capture_output=True, check=True).stdout
        for folder in (demo, tmp_path / "again")
    ]
    assert heads[0] == heads[1]


def test_demo_has_annotated_and_lightweight_tags(demo: Path) -> None:
    kinds = subprocess.run(
        ["git", "-C", demo, "for-each-ref", "--format=%(objecttype)", "refs/tags"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert set(kinds) == {"tag", "commit"}


def test_demo_does_not_touch_a_folder_in_use(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "file").write_text("keep")
    done = run("demo", tmp_path / "mine")
    assert done.returncode == 2
    assert [item.name for item in (tmp_path / "mine").iterdir()] == ["file"]


def test_notes_go_to_standard_output_alone(run: Run, demo: Path) -> None:
    done = run("notes", "rev-b", "rev-c", "--repo", demo)
    assert done.returncode == 0
    assert done.stdout.startswith("# Open greenhouse controller: rev-c <!-- draft title ")
    assert done.stderr == ""


def test_notes_never_overwrite_what_a_person_may_have_written(run: Run, demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "notes.md"
    assert run("notes", "rev-b", "rev-c", "--repo", demo, "--output", target).returncode == 0
    target.write_text("mine")
    done = run("notes", "rev-b", "rev-c", "--repo", demo, "--output", target)
    assert done.returncode == 2
    assert target.read_text() == "mine"


def test_notes_are_drafted_anew_around_what_a_person_wrote(run: Run, demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "notes.md"
    first = run("notes", "rev-b", "rev-c", "--repo", demo, "--output", target)
    assert first.stderr.endswith(" places left to fill.\n")
    text = target.read_text()
    mine = text.replace(
        "**[to be filled in: in a few sentences, what this revision is for and whom it is for]**", "Mine."
    )
    target.write_text(mine.replace("## Not checked", "## Not looked at"))
    again = run("notes", "rev-b", "rev-c", "--repo", demo, "--output", target)
    assert again.returncode == 0
    assert "not-checked: kept as it was rewritten by hand" in again.stderr
    assert target.read_text() == mine.replace("## Not checked", "## Not looked at")


def test_ready_names_the_places_that_are_left(run: Run, demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "notes.md"
    target.write_text("# Notes\n\n**[to be filled in: who]** and **[to be decided: which]**\n")
    done = run("ready", "rev-c", "--repo", demo, "--notes", target, "--fail-on", "places")
    assert done.returncode == 1
    for text in ("2 places left to fill", "to be filled in: who", "to be decided: which"):
        assert text in done.stdout
    target.write_text("# Notes\n")
    done = run("ready", "rev-c", "--repo", demo, "--notes", target, "--fail-on", "places")
    assert (done.returncode, "no place left to fill" in done.stdout) == (0, True)


def test_a_change_log_gets_an_entry_once(run: Run, demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "CHANGELOG.md"
    target.write_text("# Changelog\n\n## rev-b - 2025-06-20\n- x\n")
    assert run("notes", "rev-b", "rev-c", "--repo", demo, "--changelog", target).returncode == 0
    text = target.read_text()
    assert text.startswith("# Changelog\n\n## rev-c - 2025-11-28\n### Added\n")
    assert text.endswith("\n## rev-b - 2025-06-20\n- x\n")
    done = run("notes", "rev-b", "rev-c", "--repo", demo, "--changelog", target)
    assert (done.returncode, target.read_text()) == (2, text)
    assert "has an entry for rev-c already" in done.stderr


def test_rework_tells_what_can_be_worked_on_and_what_not(run: Run, demo: Path) -> None:
    told = run("rework", "rev-a", "rev-b", "--repo", demo).stdout
    assert "valves A → B: can be reworked, 18 parts" in told
    assert "base A → B: needs a new printed circuit board" in told
    assert "somebody licensed" in " ".join(told.split())


@pytest.mark.slow
def test_the_wheel_holds_the_demo_the_schema_and_the_type_marker(tmp_path: Path) -> None:
    root = Path(__file__).parents[2]
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(tmp_path)]
    subprocess.run(build, cwd=root, check=True, capture_output=True)
    wheel = next(tmp_path.glob("*.whl"))
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "installed")
    for name in ("py.typed", "guide/data.md", "example_revs/history.toml"):
        assert (tmp_path / "installed" / "revdiff" / name).is_file()
    code = f"import sys; sys.path.insert(0, {str(tmp_path / 'installed')!r}); from revdiff.cli.main import main; main()"
    target = tmp_path / "from-wheel"
    done = subprocess.run(
        [sys.executable, "-c", code, "demo", str(target)], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert (target / "revdiff.toml").is_file()
