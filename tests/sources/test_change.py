"""A contributor's change against what it is meant for: where it parted, what it says, which files it touches."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from revdiff.errors import UsageFault
from revdiff.sources import ChangedPath, changed_paths, default_base, open_revision, open_submission
from revdiff.sources.history import parting
from revdiff.sources.objects import MESSAGE_LIMIT
from revdiff.sources.open import repository_at
from tests.sources.workshop import Workshop


@pytest.fixture
def ids(workshop: Workshop) -> dict[str, str]:
    """A base that went on after the change left it: a - b - later on main, and a - b - one - two on fix."""
    found = {
        "a": workshop.commit({"parts.csv": b"a"}, "first"),
        "b": workshop.commit({"parts.csv": b"b"}, "second"),
    }
    workshop.git("checkout", "--quiet", "-b", "fix")
    found["one"] = workshop.commit({"pins.csv": b"1"}, "Move J1\n\nAll contacts of J1 moved.")
    found["two"] = workshop.commit({"parts.csv": b"c", "old/x.csv": b"x"}, "Say nothing of it")
    workshop.git("checkout", "--quiet", "main")
    found["later"] = workshop.commit({"base.csv": b"later"}, "later")
    return found


@pytest.mark.parametrize(("base", "change"), [("main", "fix"), ("main...fix", ""), ("branch:main", "branch:fix")])
def test_a_change_is_held_against_where_it_parted(
    workshop: Workshop, ids: dict[str, str], base: str, change: str
) -> None:
    found = open_submission(base, change, repository=workshop.root)
    assert found.base.identity.commit == ids["b"]
    assert (found.target.name, found.target.commit) == ("main", ids["later"])
    assert found.change.identity.commit == ids["two"]
    assert not found.unchanged
    assert {item.commit: item.text for item in found.messages} == {
        ids["one"]: "Move J1\n\nAll contacts of J1 moved.",
        ids["two"]: "Say nothing of it",
    }
    assert found.changed_paths() == (
        ChangedPath("old/x.csv", "added"),
        ChangedPath("parts.csv", "changed"),
        ChangedPath("pins.csv", "added"),
    )


def test_a_base_that_the_change_has_whole_keeps_its_name(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.tag("rev-b", ids["b"])
    found = open_submission("rev-b", "fix", repository=workshop.root)
    assert (found.base.identity.kind, found.base.identity.name) == ("tag", "rev-b")


def test_without_a_change_it_is_the_work_tree(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.git("checkout", "--quiet", "fix")
    workshop.write("new.csv", b"new")
    (workshop.root / "pins.csv").unlink()
    found = open_submission("main", repository=workshop.root)
    assert found.base.identity.commit == ids["b"]
    assert found.change.identity.kind == "work tree"
    assert {item.commit for item in found.messages} == {ids["two"], ids["one"]}
    assert [(item.path, item.how) for item in found.changed_paths()] == [
        ("new.csv", "added"),
        ("old/x.csv", "added"),
        ("parts.csv", "changed"),
    ]


def test_what_is_staged_is_a_change_too(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.git("checkout", "--quiet", "fix")
    workshop.write("new.csv", b"new")
    workshop.git("add", "new.csv")
    workshop.write("new.csv", b"newer")
    found = open_submission("main", "index", repository=workshop.root)
    assert found.base.identity.commit == ids["b"]
    assert ChangedPath("new.csv", "added") in found.changed_paths()


@pytest.mark.usefixtures("ids")
def test_a_change_that_the_base_has_already_is_told(workshop: Workshop) -> None:
    assert open_submission("main", "main", repository=workshop.root).unchanged
    assert open_submission("main", "main~1", repository=workshop.root).unchanged


@pytest.mark.usefixtures("ids")
def test_a_folder_has_no_history_and_is_held_against_the_base_itself(workshop: Workshop, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "parts.csv").write_bytes(b"b")
    found = open_submission("main", f"folder:{other}", repository=workshop.root)
    assert (found.base.identity.name, found.messages) == ("main", ())
    assert found.changed_paths() == (ChangedPath("base.csv", "removed"),)


def test_the_design_may_lie_in_a_folder(workshop: Workshop) -> None:
    workshop.commit({"hw/parts.csv": b"a", "code.c": b"a"})
    workshop.tag("rev-a")
    workshop.commit({"hw/parts.csv": b"b", "code.c": b"b"})
    found = open_submission("rev-a", "main", repository=workshop.root, design="hw")
    assert found.changed_paths() == (ChangedPath("parts.csv", "changed"),)


@pytest.mark.parametrize(
    ("base", "change", "reason"),
    [
        ("main...fix", "main", "names the change already"),
        ("main..fix", "", "names a range"),
        ("...", "", "isn't a range"),
        ("main...fix...main", "", "isn't a range"),
        ("main", "no-such", "no tag, branch or commit 'no-such'"),
        ("no-such", "main", "no tag, branch or commit 'no-such'"),
        ("worktree", "main", "isn't committed"),
        ("index", "", "isn't committed"),
        ("file:parts.csv", "", "is one file"),
        ("./", "", "is no revision; if the folder is meant, write 'folder:./'"),
    ],
)
@pytest.mark.usefixtures("ids")
def test_what_is_no_change_of_a_base_is_refused(workshop: Workshop, base: str, change: str, reason: str) -> None:
    with pytest.raises(UsageFault, match=reason):
        open_submission(base, change, repository=workshop.root)


@pytest.mark.usefixtures("ids")
def test_histories_with_nothing_in_common_have_no_base(workshop: Workshop) -> None:
    workshop.git("checkout", "--quiet", "--orphan", "other")
    workshop.commit({"x": b""})
    with pytest.raises(UsageFault, match="have no history in common"):
        open_submission("main", "other", repository=workshop.root)


def test_histories_merged_crosswise_have_no_one_base(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.git("branch", "left", "main")
    workshop.git("branch", "right", "fix")
    for branch, other in (("left", ids["two"]), ("right", ids["later"])):
        workshop.git("checkout", "--quiet", branch)
        workshop.git("merge", "--quiet", "--no-ff", "-m", "crosswise", other)
    with pytest.raises(
        UsageFault, match=r"parted at several commits \([0-9a-f]{10}, [0-9a-f]{10}\); merge 'left' into"
    ):
        open_submission("left", "right", repository=workshop.root)


def test_history_cut_off_before_the_parting_is_told(workshop: Workshop, ids: dict[str, str], tmp_path: Path) -> None:
    assert ids
    around = Workshop(tmp_path / "around")
    around.git("clone", "--quiet", "--depth", "1", "--no-single-branch", workshop.root.as_uri(), "clone")
    with pytest.raises(UsageFault, match=r"history was cut off at commit .* 'git fetch --unshallow'"):
        open_submission("origin/main", "origin/fix", repository=tmp_path / "around" / "clone")


def test_a_cut_behind_the_parting_does_not_matter(workshop: Workshop, ids: dict[str, str], tmp_path: Path) -> None:
    around = Workshop(tmp_path / "around")
    around.git("clone", "--quiet", "--depth", "3", "--no-single-branch", workshop.root.as_uri(), "clone")
    found = open_submission("origin/main", "origin/fix", repository=tmp_path / "around" / "clone")
    assert found.base.identity.commit == ids["b"]


def _dated(workshop: Workshop, tree: str, parents: list[str], seconds: int) -> str:
    """Store a commit with a date of any sort."""
    who = f"A <a@example.org> {seconds} +0000"
    lines = [f"tree {tree}", *(f"parent {parent}" for parent in parents), f"author {who}", f"committer {who}"]
    return workshop.object("commit", ("\n".join(lines) + f"\n\n{len(parents)} {seconds}\n").encode())


@pytest.mark.parametrize("seed", range(12))
def test_the_parting_is_the_one_that_git_finds_whatever_the_dates(workshop: Workshop, seed: int) -> None:
    rng = random.Random(seed)
    tree = workshop.git("mktree")
    made: list[str] = []
    for number in range(30):
        parents = rng.sample(made[-6:], min(len(made[-6:]), rng.choice((1, 1, 1, 2, 3)))) if made else []
        made.append(_dated(workshop, tree, parents, rng.randrange(10**9) if seed % 2 else 10**9 + number * 60))
    for _ in range(8):
        one, other = rng.choice(made), rng.choice(made)
        found = parting(repository_at(workshop.root), one, other)
        expected = workshop.git("merge-base", "--all", one, other).split()
        assert sorted(commit.id for commit in found.ancestors) == sorted(expected)
        own = set(workshop.git("rev-list", f"{one}..{other}").split())
        told = {commit.id for commit in found.commits}
        assert told == own if not seed % 2 else told >= own


@pytest.mark.parametrize(
    ("branches", "expected"),
    [
        (["origin/main", "origin/master"], "refs/remotes/origin/main"),
        (["origin/trunk", "origin/fix"], "refs/remotes/origin/trunk"),
        (["origin/main", "upstream/master"], "refs/remotes/upstream/master"),
    ],
)
def test_the_base_is_the_default_branch_of_the_repository_it_goes_to(
    workshop: Workshop, ids: dict[str, str], branches: list[str], expected: str
) -> None:
    for name in branches:
        workshop.git("update-ref", f"refs/remotes/{name}", ids["b"])
    assert default_base(workshop.root) == expected
    assert open_submission(change="fix", repository=workshop.root).base.identity.commit == ids["b"]


def test_the_branch_checked_out_there_comes_first(workshop: Workshop, ids: dict[str, str]) -> None:
    for name in ("main", "develop"):
        workshop.git("update-ref", f"refs/remotes/origin/{name}", ids["b"])
    workshop.git("symbolic-ref", "refs/remotes/origin/HEAD", "refs/remotes/origin/develop")
    assert default_base(workshop.root) == "refs/remotes/origin/HEAD"


def test_else_the_base_is_the_newest_release_before_the_change(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.tag("rev-a", ids["a"])
    workshop.tag("rev-b", ids["b"])
    workshop.tag("rev-c", ids["later"])
    workshop.tag("a-folder", f"{ids['a']}^{{tree}}")
    assert default_base(workshop.root, "fix") == "tag:rev-b"
    assert default_base(workshop.root, "worktree") == "tag:rev-c"
    assert default_base(workshop.root, "main") == "tag:rev-b"  # a release is held against the one before it


def test_of_two_labels_of_one_release_the_higher_counts(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.tag("v1.9", ids["b"])
    workshop.tag("v1.10", ids["b"])
    assert default_base(workshop.root, "fix") == "tag:v1.10"


def test_dates_of_the_contributor_do_not_choose_the_release(workshop: Workshop, ids: dict[str, str]) -> None:
    tree = workshop.git("rev-parse", "main^{tree}")
    newer = _dated(workshop, tree, [ids["b"]], 1_800_000_000)
    workshop.tag("rev-a", ids["a"])
    workshop.tag("rev-z", newer)
    made = _dated(workshop, tree, [_dated(workshop, tree, [newer], 0), ids["a"]], 4_000_000_000)
    workshop.git("branch", "odd", made)
    assert default_base(workshop.root, "odd") == "tag:rev-z"


@pytest.mark.usefixtures("ids")
def test_without_either_the_base_must_be_named(workshop: Workshop) -> None:
    with pytest.raises(UsageFault, match="name the base"):
        default_base(workshop.root)


def test_a_message_is_read_by_no_codec_of_the_contributors_choice(workshop: Workshop, ids: dict[str, str]) -> None:
    tree = workshop.git("rev-parse", "main^{tree}")
    for encoding, text, expected in (
        (b"punycode", b"a" * 100_000, "a" * MESSAGE_LIMIT),
        (b"no-such", "ünï".encode(), "ünï"),
        (b"ISO-8859-1", b"\xfcn\xef", "ünï"),
    ):
        head = f"tree {tree}\nparent {ids['b']}\nauthor A <a> 1 +0000\ncommitter A <a> 1 +0000\n".encode()
        made = workshop.object("commit", head + b"encoding " + encoding + b"\n\n" + text)
        found = open_submission("main", made, repository=workshop.root)
        assert [item.text for item in found.messages] == [expected]


def test_links_and_submodules_that_come_in_are_changes_of_a_path(workshop: Workshop, ids: dict[str, str]) -> None:
    workshop.git("checkout", "--quiet", "fix")
    workshop.stage("120000", workshop.git("hash-object", "-w", "--stdin", stdin=b"pins.csv"), "parts.csv")
    workshop.stage("160000", ids["a"], "hw")
    old, new = (open_revision(name, repository=workshop.root) for name in ("fix", "index"))
    assert changed_paths(old, new) == (ChangedPath("hw", "added"), ChangedPath("parts.csv", "changed"))


def test_line_ends_of_a_checkout_are_no_change(workshop: Workshop) -> None:
    workshop.commit({"parts.csv": b"a\nb\n", "pins.csv": b"a\n"})
    workshop.write("parts.csv", b"a\r\nb\r\n")
    workshop.write("pins.csv", b"b\r\n")
    old, new = (open_revision(name, repository=workshop.root) for name in ("HEAD", "worktree"))
    assert changed_paths(old, new) == (ChangedPath("pins.csv", "changed"),)


@pytest.mark.parametrize(
    "asked", ["@", "@~1", "FETCH_HEAD", "refs/heads/fix", "heads/fix", "refs/tags/rev-a", "origin", "origin/main"]
)
def test_names_that_a_checkout_for_a_check_has_are_revisions(
    workshop: Workshop, ids: dict[str, str], asked: str
) -> None:
    workshop.tag("rev-a", ids["a"])
    workshop.git("update-ref", "refs/remotes/origin/main", ids["b"])
    workshop.git("symbolic-ref", "refs/remotes/origin/HEAD", "refs/remotes/origin/main")
    line = f"{ids['two']}\t\tbranch 'fix' of /elsewhere\n{ids['a']}\tnot-for-merge\tbranch 'x' of /elsewhere\n"
    workshop.write(".git/FETCH_HEAD", line.encode())
    expected = workshop.git("rev-parse", f"{asked}^{{commit}}")
    assert open_revision(asked, repository=workshop.root).identity.commit == expected


def test_a_branch_named_like_one_of_another_repository_does_not_stand_in_for_it(
    workshop: Workshop, ids: dict[str, str]
) -> None:
    workshop.git("update-ref", "refs/remotes/origin/main", ids["b"])
    workshop.git("branch", "origin/main", "fix")
    with pytest.raises(UsageFault, match="write 'refs/heads/origin/main' or 'refs/remotes/origin/main'"):
        open_revision("origin/main", repository=workshop.root)
    assert open_revision("refs/remotes/origin/main", repository=workshop.root).identity.commit == ids["b"]
