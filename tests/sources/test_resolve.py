"""Which commit a name stands for."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.errors import DataFault, RevdiffError, UsageFault
from revdiff.sources import Identity, open_revision, tags
from tests.sources.workshop import Workshop


def identity(workshop: Workshop, asked: str) -> Identity:
    return open_revision(asked, repository=workshop.root).identity


def content_of(workshop: Workshop, asked: str) -> bytes:
    revision = open_revision(asked, repository=workshop.root)
    blob = revision.find("parts.csv")
    assert blob is not None
    return revision.read(blob)


@pytest.fixture
def history(workshop: Workshop) -> dict[str, str]:
    """Three commits, a branch off the first and a merge of it; 'rev-a' to 'rev-c' are tags."""
    ids = {}
    for name in ("a", "b", "c"):
        ids[name] = workshop.commit({"parts.csv": name.encode()}, f"commit {name}")
        workshop.tag(f"rev-{name}")
    workshop.git("branch", "fix/j1", ids["a"])
    workshop.git("checkout", "--quiet", "fix/j1")
    ids["fix"] = workshop.commit({"note.txt": b"fix"}, "fix")
    workshop.git("checkout", "--quiet", "main")
    workshop.git("merge", "--quiet", "--no-ff", "-m", "merge", "fix/j1")
    ids["merge"] = workshop.git("rev-parse", "HEAD")
    return ids


def test_a_lightweight_tag(workshop: Workshop, history: dict[str, str]) -> None:
    assert identity(workshop, "rev-b") == Identity(
        asked="rev-b",
        kind="tag",
        name="rev-b",
        commit=history["b"],
        date="2024-03-02T12:30:00-05:00",
        message="",
    )
    assert content_of(workshop, "rev-b") == b"b"


def test_an_annotated_tag_carries_its_message(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("tag", "-a", "v1", "-m", "Revision 1\n\nJ1 moved.", history["b"])
    told = identity(workshop, "tag:v1")
    assert (told.kind, told.name, told.commit) == ("tag", "v1", history["b"])
    assert told.message == "Revision 1\n\nJ1 moved."


def test_a_tag_of_a_tag_carries_the_outer_message(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("tag", "-a", "inner", "-m", "inner", history["a"])
    workshop.git("tag", "-a", "outer", "-m", "outer", "inner")
    assert (identity(workshop, "outer").commit, identity(workshop, "outer").message) == (
        history["a"],
        "outer",
    )


@pytest.mark.parametrize("kind", ["PGP", "SSH"])
def test_a_signature_is_no_part_of_the_message(workshop: Workshop, history: dict[str, str], kind: str) -> None:
    signed = (
        f"object {history['a']}\ntype commit\ntag signed\ntagger T <t@example.org> 1700000000 +0000\n\n"
        f"Revision 1\n-----BEGIN {kind} SIGNATURE-----\nabc\n-----END {kind} SIGNATURE-----\n"
    )
    workshop.tag("signed", workshop.object("tag", signed.encode()))
    assert identity(workshop, "signed").message == "Revision 1"


def test_a_tag_without_a_tagger_as_old_ones_are(workshop: Workshop, history: dict[str, str]) -> None:
    old = f"object {history['a']}\ntype commit\ntag old\n\nRevision 0\n"
    workshop.tag("old", workshop.object("tag", old.encode()))
    assert identity(workshop, "old").commit == history["a"]


@pytest.mark.parametrize("asked", ["fix/j1", "branch:fix/j1"])
def test_a_branch(workshop: Workshop, history: dict[str, str], asked: str) -> None:
    told = identity(workshop, asked)
    assert (told.kind, told.name, told.commit) == ("branch", "fix/j1", history["fix"])


def test_a_branch_known_only_from_another_repository(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("update-ref", "refs/remotes/origin/next", history["c"])
    told = identity(workshop, "origin/next")
    assert (told.kind, told.name, told.commit) == ("branch", "origin/next", history["c"])


@pytest.mark.parametrize("prefix", ["", "commit:"])
@pytest.mark.parametrize("digits", [7, 12, 40])
@pytest.mark.parametrize("upper", [False, True])
def test_a_commit_by_its_id(workshop: Workshop, history: dict[str, str], prefix: str, digits: int, upper: bool) -> None:
    id = history["b"][:digits]
    told = identity(workshop, prefix + (id.upper() if upper else id))
    assert (told.kind, told.name, told.commit) == ("commit", history["b"][:10], history["b"])


def test_head(workshop: Workshop, history: dict[str, str]) -> None:
    told = identity(workshop, "HEAD")
    assert (told.kind, told.name, told.commit) == ("commit", history["merge"][:10], history["merge"])


def test_a_detached_head(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("checkout", "--quiet", "--detach", history["a"])
    assert identity(workshop, "HEAD").commit == history["a"]


@pytest.mark.parametrize(
    "asked",
    [
        *("rev-c~1", "rev-c~", "rev-c^", "rev-c~2", "rev-c^^", "rev-c~0", "rev-c^0"),
        *("main^2", "main^1~1", "main^2~1", "HEAD~1", "tag:rev-c~1", "branch:main~2"),
    ],
)
def test_steps_lead_where_git_says(workshop: Workshop, history: dict[str, str], asked: str) -> None:
    expected = workshop.git("rev-parse", f"{asked.rpartition(':')[2]}^{{commit}}")
    assert identity(workshop, asked).commit == expected
    assert expected in history.values()


def test_a_step_from_an_annotated_tag_is_a_commit_without_the_tags_message(
    workshop: Workshop, history: dict[str, str]
) -> None:
    workshop.git("tag", "-a", "v1", "-m", "Revision 1", history["b"])
    told = identity(workshop, "v1~1")
    assert (told.kind, told.name, told.message) == ("commit", history["a"][:10], "")


@pytest.mark.parametrize(
    ("asked", "reason"),
    [("rev-a~1", "has no parent"), ("rev-b^2", "has 1 parent, no number 2"), ("main^3", "has 2 parents, no")],
)
@pytest.mark.usefixtures("history")
def test_a_step_to_a_parent_that_is_none_leads_nowhere(workshop: Workshop, asked: str, reason: str) -> None:
    with pytest.raises(UsageFault, match=reason):
        identity(workshop, asked)


def test_a_name_both_tag_and_branch_must_be_told_apart(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("branch", "rev-b", history["c"])
    with pytest.raises(UsageFault, match="is a tag and a branch; write 'tag:rev-b~1' or 'branch:rev-b~1'"):
        identity(workshop, "rev-b~1")
    assert identity(workshop, "tag:rev-b").commit == history["b"]
    assert identity(workshop, "branch:rev-b").commit == history["c"]


def test_a_tag_wins_over_an_abbreviated_commit_id(workshop: Workshop, history: dict[str, str]) -> None:
    name = history["a"][:7]
    workshop.tag(name, history["b"])
    assert identity(workshop, name).commit == history["b"]
    with pytest.raises(UsageFault, match="write the commit's full id"):
        identity(workshop, f"commit:{name}")
    assert identity(workshop, f"commit:{history['a']}").commit == history["a"]


def test_no_tag_can_stand_in_for_a_full_commit_id(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.tag(history["a"], history["b"])
    assert identity(workshop, history["a"]).commit == history["a"]
    assert identity(workshop, f"tag:{history['a']}").commit == history["b"]


def test_an_abbreviation_that_fits_two_objects_is_refused(workshop: Workshop, history: dict[str, str]) -> None:
    # Two texts found by trying whose ids begin with the same seven digits.
    ids = {workshop.git("hash-object", "-w", "--stdin", stdin=text) for text in (b"20738", b"37901")}
    assert {id[:7] for id in ids} == {"65ba8ca"}
    assert "65ba8ca" not in {id[:7] for id in history.values()}
    with pytest.raises(UsageFault, match="more than one id starts with 65ba8ca"):
        identity(workshop, "65ba8ca")


_ODD = [
    "-x",
    "--output=marker",
    'a"b',
    "it's",
    "ünï",
    "$(touch${IFS}marker)",
    "`touch",
    "v1;touch",
    "v1|touch",
    "%2e",
    "release/2024/rev-b",
    "HEAD/x",
    "worktree",
    "index",
]


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("name", _ODD)
def test_a_tag_of_any_legal_name_is_only_looked_up(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch, name: str, packed: bool
) -> None:
    id = workshop.commit({"parts.csv": b"a"})
    workshop.tag(name)
    if packed:
        workshop.git("pack-refs", "--all")
    monkeypatch.chdir(workshop.root)
    before = sorted(workshop.root.iterdir())
    told = open_revision(f"tag:{name}", repository=Path()).identity
    assert (told.kind, told.name, told.commit) == ("tag", name, id)
    assert name in tags(Path())
    assert sorted(workshop.root.iterdir()) == before


@pytest.mark.parametrize(
    "asked",
    [
        *_ODD[:-2],
        "two words",
        "a\nb",
        "a\0b",
        "\ud800",
        "x" * 5_000,
        "../../etc/passwd",
        "/etc/passwd",
        "refs",
        "tag:",
        "tag:-x",
        "branch:--all",
        "commit:--all",
        "commit:HEAD",
        "a.lock",
        "a//b",
        "[",
        "*",
    ],
)
@pytest.mark.usefixtures("history")
def test_a_name_that_is_none_ends_in_one_clear_message(workshop: Workshop, asked: str) -> None:
    with pytest.raises(RevdiffError) as raised:
        identity(workshop, asked)
    assert str(raised.value).isprintable()
    assert len(str(raised.value)) < 700


def test_packed_and_loose_references_are_read_alike(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("tag", "-a", "v1", "-m", "Revision 1", history["b"])
    workshop.git("pack-refs", "--all")
    workshop.git("gc", "--quiet")
    assert not (workshop.root / ".git" / "refs" / "tags" / "rev-a").exists()
    assert identity(workshop, "rev-a").commit == history["a"]
    assert identity(workshop, "v1").message == "Revision 1"
    assert identity(workshop, "fix/j1").commit == history["fix"]


def test_a_tag_that_moved_is_read_anew(workshop: Workshop, history: dict[str, str]) -> None:
    assert identity(workshop, "rev-a").commit == history["a"]
    workshop.tag("rev-a", history["c"])
    assert identity(workshop, "rev-a").commit == history["c"]


def test_a_replaced_commit_is_read_as_it_was_published(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.git("replace", history["b"], history["c"])
    assert workshop.git("show", "rev-b:parts.csv") == "c"
    assert content_of(workshop, "rev-b") == b"b"


def test_a_tag_that_names_no_commit_is_no_revision(workshop: Workshop, history: dict[str, str]) -> None:
    workshop.tag("a-folder", f"{history['a']}^{{tree}}")
    workshop.tag("a-file", f"{history['a']}:parts.csv")
    with pytest.raises(UsageFault, match="'a-folder' names a folder, not a commit"):
        identity(workshop, "a-folder")
    with pytest.raises(UsageFault, match="'a-file' names a file, not a commit"):
        identity(workshop, "a-file")


def test_tags_in_an_endless_row_are_refused(workshop: Workshop, history: dict[str, str]) -> None:
    id = history["a"]
    kind = "commit"
    for _ in range(25):
        id = workshop.object("tag", f"object {id}\ntype {kind}\ntag t\n\nt\n".encode())
        kind = "tag"
    workshop.tag("deep", id)
    with pytest.raises(DataFault, match="chain of more than 20 tags"):
        identity(workshop, "deep")


def test_a_date_past_all_calendars_is_left_out(workshop: Workshop, history: dict[str, str]) -> None:
    tree = workshop.git("rev-parse", f"{history['a']}^{{tree}}")
    person = "P <p@example.org> 99999999999999 +0000"
    made = f"tree {tree}\nauthor {person}\ncommitter {person}\n\nlate\n"
    workshop.tag("late", workshop.object("commit", made.encode()))
    assert identity(workshop, "late").date == ""


@pytest.mark.parametrize(
    ("asked", "near"),
    [("rev_b", "near it: 'rev-[abc]', 'rev-[abc]', 'rev-[abc]'"), ("REV-B", "near it: 'rev-b'")],
)
@pytest.mark.usefixtures("history")
def test_a_missing_name_suggests_the_nearest_tags(workshop: Workshop, asked: str, near: str) -> None:
    with pytest.raises(UsageFault, match=near) as raised:
        identity(workshop, asked)
    assert f"no tag, branch or commit '{asked}' in the repository" in str(raised.value)
    assert "'git tag --list' shows the tags" in str(raised.value)


@pytest.mark.usefixtures("history")
def test_a_missing_name_unlike_any_suggests_none(workshop: Workshop) -> None:
    with pytest.raises(UsageFault, match="no tag 'zzzz'") as raised:
        identity(workshop, "tag:zzzz")
    assert "near it" not in str(raised.value)


def test_a_missing_name_in_a_clone_without_tags_says_so(workshop: Workshop) -> None:
    workshop.commit({})
    with pytest.raises(UsageFault, match="it has no tags: 'git fetch --tags' gets those"):
        identity(workshop, "rev-a")


@pytest.mark.parametrize("asked", ["0" * 40, "commit:" + "0" * 40, "commit:0000000", "f" * 39])
@pytest.mark.usefixtures("history")
def test_an_id_of_no_commit_is_not_found(workshop: Workshop, asked: str) -> None:
    with pytest.raises(UsageFault, match=r"no .*commit '"):
        identity(workshop, asked)


def test_a_repository_without_commits(workshop: Workshop) -> None:
    with pytest.raises(UsageFault, match="has no commit yet"):
        identity(workshop, "HEAD")


def test_history_cut_off_by_a_shallow_clone_is_told(
    workshop: Workshop, history: dict[str, str], tmp_path: Path
) -> None:
    clone = Workshop(tmp_path / "around")
    clone.git("clone", "--quiet", "--depth", "1", "--branch", "rev-c", workshop.root.as_uri(), "clone")
    place = tmp_path / "around" / "clone"
    assert open_revision("rev-c", repository=place).identity.commit == history["c"]
    with pytest.raises(UsageFault, match="history was cut off; get the rest with 'git fetch --unshallow'"):
        open_revision("rev-c~1", repository=place)


def test_the_tags_are_listed_by_name(workshop: Workshop, history: dict[str, str]) -> None:
    assert set(history) > {"a"}
    workshop.tag("rev-10")
    workshop.tag("release/1")
    workshop.git("pack-refs", "--all")
    workshop.tag("Rev-0")
    listed = tags(workshop.root)
    assert listed == ("Rev-0", "release/1", "rev-10", "rev-a", "rev-b", "rev-c")
    assert list(listed) == workshop.git("tag", "--list").split("\n")


@pytest.mark.parametrize(
    ("pattern", "listed"),
    [("rev-[ab]", ("rev-a", "rev-b")), ("*", ("rev-a", "rev-b", "rev-c")), ("REV-*", ()), ("", ())],
)
@pytest.mark.usefixtures("history")
def test_a_pattern_chooses_tags(workshop: Workshop, pattern: str, listed: tuple[str, ...]) -> None:
    assert tags(workshop.root, pattern) == listed


def test_a_reference_being_written_is_no_tag(workshop: Workshop, history: dict[str, str]) -> None:
    (workshop.root / ".git" / "refs" / "tags" / "new.lock").write_text(history["a"])
    assert "new.lock" not in tags(workshop.root)


@pytest.mark.parametrize("text", ["", "garbage", "0" * 64, "ref: ../../../../etc/passwd"])
@pytest.mark.usefixtures("history")
def test_a_damaged_reference_ends_in_one_clear_message(workshop: Workshop, text: str) -> None:
    (workshop.root / ".git" / "refs" / "tags" / "broken").write_text(text)
    with pytest.raises(RevdiffError, match="broken"):
        identity(workshop, "broken")


def test_a_packed_name_that_is_not_utf8_is_told(workshop: Workshop, history: dict[str, str]) -> None:
    with (workshop.root / ".git" / "packed-refs").open("ab") as file:
        file.write(f"{history['a']} refs/tags/caf".encode() + b"\xe9\n")
    with pytest.raises(DataFault, match="a reference whose name isn't UTF-8"):
        identity(workshop, "no-such")


@pytest.mark.usefixtures("history")
def test_a_name_of_the_other_kind_is_told_as_what_it_is(workshop: Workshop) -> None:
    with pytest.raises(UsageFault, match=r"no branch 'rev-a' .*; there is a tag 'rev-a'") as raised:
        identity(workshop, "branch:rev-a")
    assert "near it" not in str(raised.value)
    workshop.git("branch", "side")
    with pytest.raises(UsageFault, match=r"no tag 'side' .*; there is a branch 'side'"):
        identity(workshop, "tag:side")


@pytest.mark.usefixtures("history")
def test_a_missing_branch_has_tags_near_it(workshop: Workshop) -> None:
    with pytest.raises(UsageFault, match="; tags near it: 'rev-b'"):
        identity(workshop, "branch:REV-B")
