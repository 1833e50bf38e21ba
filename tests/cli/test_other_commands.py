"""``schema``, ``explain``, ``demo`` and ``notes`` as commands."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from revdiff.judge.registry import ALL
from tests.conftest import Run


def test_explain_lists_every_rule(run: Run) -> None:
    shown = run("explain").stdout
    assert [line.split()[0] for line in shown.splitlines()] == [rule.name for rule in ALL]


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
    assert done.stdout.startswith("# Open greenhouse controller: release notes for rev-c (draft)\n")
    assert done.stderr == ""


def test_notes_never_overwrite_what_a_person_may_have_written(run: Run, demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "notes.md"
    assert run("notes", "rev-b", "rev-c", "--repo", demo, "--output", target).returncode == 0
    target.write_text("mine")
    done = run("notes", "rev-b", "rev-c", "--repo", demo, "--output", target)
    assert done.returncode == 2
    assert target.read_text() == "mine"


@pytest.mark.slow
def test_the_wheel_holds_the_demo_the_schema_and_the_type_marker(tmp_path: Path) -> None:
    root = Path(__file__).parents[2]
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(tmp_path)]
    subprocess.run(build, cwd=root, check=True, capture_output=True)
    wheel = next(tmp_path.glob("*.whl"))
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "installed")
    for name in ("py.typed", "report/schema.json", "example_revs/history.toml"):
        assert (tmp_path / "installed" / "revdiff" / name).is_file()
    code = f"import sys; sys.path.insert(0, {str(tmp_path / 'installed')!r}); from revdiff.cli.main import main; main()"
    target = tmp_path / "from-wheel"
    done = subprocess.run(
        [sys.executable, "-c", code, "demo", str(target)], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert (target / "revdiff.toml").is_file()
