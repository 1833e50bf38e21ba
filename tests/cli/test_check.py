"""``revdiff check`` as a user calls it."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.app.check import check_change
from revdiff.release.cause_text import told_causes
from revdiff.release.check import same_result
from revdiff.release.document import Heading
from revdiff.report.check_page import check_page
from tests.cli.test_compare import write
from tests.cli.test_ready import LISTED, WRONG
from tests.conftest import Run
from tests.judge.demo import demo_files
from tests.support import SMALL, Files, edit


def test_check_tells_what_a_change_brings_and_what_it_cures(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "good", LISTED)
    write(tmp_path / "wrong", WRONG)
    brings = run("check", "folder:good", "folder:wrong", "--fail-on", "contradiction", cwd=tmp_path)
    assert brings.returncode == 1
    assert "1 new contradiction" in brings.stdout
    cures = run("check", "folder:wrong", "folder:good", "--fail-on", "contradiction", cwd=tmp_path)
    assert cures.returncode == 0
    assert "Contradictions that it cures (1)" in cures.stdout


def test_check_does_not_blame_a_change_for_what_was_so_before(run: Run, tmp_path: Path) -> None:
    write(tmp_path / "base", WRONG)
    write(tmp_path / "change", edit(WRONG, ("base/parts.csv", "R2,1,4k7", "R2,1,5k6")))
    done = run("check", "folder:base", "folder:change", "--fail-on", "contradiction", cwd=tmp_path)
    assert done.returncode == 0
    assert "0 new contradictions" in done.stdout


def test_a_break_fails_a_check_unless_that_is_switched_off(run: Run, demo: Path) -> None:
    assert run("check", "rev-a", "rev-b", "--repo", demo).returncode == 0
    assert run("check", "rev-b", "rev-c", "--repo", demo).returncode == 1
    assert run("check", "rev-b", "rev-c", "--repo", demo, "--fail-on", "never").returncode == 0


def test_a_check_that_takes_too_long_is_stopped_without_an_answer(run: Run, demo: Path) -> None:
    done = run("check", "rev-a", "rev-b", "--repo", demo, "--time-limit", "0.001")
    assert (done.returncode, done.stdout) == (3, "")
    assert "revdiff: stopped: this run took more than its limit of 0.001 seconds." in done.stderr
    assert "--time-limit" in done.stderr


def test_without_a_time_limit_a_check_says_what_it_says_within_one(run: Run, demo: Path) -> None:
    free, bound = (run("check", "rev-a", "rev-b", "--repo", demo, "--time-limit", text) for text in ("0", "600"))
    assert (free.returncode, free.stdout) == (bound.returncode, bound.stdout)


@pytest.mark.parametrize("limit", ["nan", "-1", "soon"])
def test_a_time_limit_is_a_number_of_seconds(limit: str, run: Run, demo: Path) -> None:
    done = run("check", "rev-a", "rev-b", "--repo", demo, "--time-limit", limit)
    assert (done.returncode, done.stdout) == (2, "")
    assert limit in done.stderr


# A contact whose signal nobody can tell to be the partner's; both ways.
UNSURE = edit(SMALL, ("top/contacts.csv", "J1,3,TX,in", "J1,3,?,in"))


def checked(run: Run, folder: Path, old: Files, new: Files, *options: str) -> tuple[int, str]:
    write(folder / "old", dict(old))
    write(folder / "new", dict(new))
    done = run("check", "folder:old", "folder:new", "--width", "120", *options, cwd=folder)
    assert done.stderr == ""
    return done.returncode, done.stdout


@pytest.mark.parametrize(("options", "status"), [((), 1), (("--fail-on", "caution"), 1), (("--fail-on", "break"), 0)])
def test_what_nobody_can_tell_any_more_is_no_pass(
    run: Run, tmp_path: Path, options: tuple[str, ...], status: int
) -> None:
    found, page = checked(run, tmp_path, SMALL, UNSURE, *options)
    assert found == status
    assert "0 breaks; " in page
    assert "stacking: nobody can tell any more whether things fit" in page.splitlines()[2]


def test_what_nobody_could_tell_before_either_is_said_and_is_not_by_the_change(run: Run, tmp_path: Path) -> None:
    found, page = checked(run, tmp_path, UNSURE, edit(UNSURE, ("base/parts.csv", "R1,1,10k", "R1,1,12k")))
    assert found == 0
    assert "nobody can tell any more" not in page
    assert "Stacking  Whether old and new boards fit, nobody can tell, and nobody could before" in page


def test_what_was_broken_before_is_said_and_is_not_by_the_change(run: Run, tmp_path: Path) -> None:
    broken = edit(SMALL, ("blink.csv", "LED,1,", "LED,6,"))
    found, page = checked(run, tmp_path, broken, edit(broken, ("base/parts.csv", "R1,1,10k", "R1,1,12k")))
    assert found == 0
    assert "Firmware  Nothing was newly broken, but already broken: base + blink." in page


def test_a_check_is_told_by_what_caused_it_and_in_detail_one_by_one(run: Run, demo: Path) -> None:
    """A screenful or six for the step of the demo that breaks most."""
    folded, detail = (
        run("check", "rev-b", "rev-c", "--repo", demo, "--width", "80", *options).stdout
        for options in ((), ("--detail",))
    )
    assert len(folded.splitlines()) <= 152
    assert "Cause by cause" in folded
    assert "[joint-supply-voltage]" not in folded
    assert "Cause by cause" not in detail
    assert detail.count("[joint-supply-voltage]") > 1


def test_no_finding_of_a_check_is_lost_where_it_is_folded(demo: Path) -> None:
    """What the base's own reading shows hangs on a cause; what only another reading shows is told beside them."""
    check = check_change("rev-b", "rev-c", repository=demo)
    causes = {id(one) for cause in told_causes(check.review) for one in cause.findings}
    assert {id(item) for item in check.review.findings} == causes
    of_base = {same_result(item) for item in check.review.findings}
    beside = [item for item in check.findings if same_result(item.finding) not in of_base]
    assert beside
    assert all(item.hidden or item.standing for item in beside)
    titles = [item.text for item in check_page(check) if isinstance(item, Heading)]
    hidden = sum(1 for item in check.findings if item.hidden and not item.standing)
    assert f"Seen only where the change is read or judged as the base's manifest says ({hidden})" in titles


@pytest.mark.parametrize(("limit", "status"), [("3.6 V", 1), ("5.6 V", 0)])
def test_what_does_not_fit_by_the_changes_own_tables_does_not_pass(
    run: Run, tmp_path: Path, limit: str, status: int
) -> None:
    """A change doesn't set its own limits, so that its base's count; whoever stacks it has the change's."""
    files = dict(demo_files())
    manifest = files["revdiff.toml"].replace('encoding = "cp1252"', 'encoding = "utf-8"')
    assert 'tolerant_limit = "5.5 V"' in manifest
    write(tmp_path / "old", {**files, "revdiff.toml": manifest})
    new = manifest.replace('tolerant_limit = "5.5 V"', f'tolerant_limit = "{limit}"')
    write(tmp_path / "new", {**files, "revdiff.toml": new})
    done = run("check", "folder:old", "folder:new", cwd=tmp_path)
    assert done.returncode == status
    told = "nobody can tell any more whether things fit" in " ".join(done.stdout.split())
    assert told == bool(status)
