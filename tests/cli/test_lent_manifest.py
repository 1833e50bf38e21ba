"""Tags from before there was a manifest: one is lent to them, or their tables are recognised; all of it is told."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.cli.strangers import BOM_1, BOM_2, PINOUT_1, PINOUT_2, Stranger, workbook
from tests.conftest import Run
from tests.support import SMALL, edit

TRUE = {("part.value", "R3"), ("pin.swapped", "LED ↔ HEAT")}


@pytest.fixture
def stranger(tmp_path: Path) -> Stranger:
    """Workbooks that are named after the release, and a Markdown pinout; no manifest anywhere."""
    shop = Stranger(tmp_path / "sensor")
    page: dict[str, str | bytes] = {"README.md": "# Sensor\n\nA board.\n", "LICENSE": "text\n"}
    first: dict[str, str | bytes] = {"hw/Sensor BOM v1.0.xlsx": workbook(BOM_1), "docs/pinout.md": PINOUT_1}
    second: dict[str, str | bytes] = {"hw/Sensor BOM v1.1.xlsx": workbook(BOM_2), "docs/pinout.md": PINOUT_2}
    shop.release("v1.0", {**page, **first})
    shop.release("v1.1", {**page, **second})
    return shop


def compared(run: Run, *names: str, cwd: Path) -> dict[str, Any]:
    done = run("compare", *names, "--format", "json", cwd=cwd)
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def changes(document: dict[str, Any]) -> set[tuple[str, str]]:
    return {(item["kind"], item["subject"]) for item in document["changes"]}


def notices(document: dict[str, Any]) -> str:
    assert {item["severity"] for item in document["diagnostics"]} == {"notice"}
    return "\n".join(f"{item['revision']}: {item['message']}" for item in document["diagnostics"])


def test_two_tags_without_any_manifest_are_compared(run: Run, stranger: Stranger) -> None:
    document = compared(run, "v1.0", "v1.1", cwd=stranger.root)
    assert changes(document) == TRUE
    told = notices(document)
    assert "v1.1: v1.1 has no revdiff.toml; it was read by what revdiff init would write" in told
    assert "hw/Sensor BOM v1.0.xlsx was taken for hw/Sensor BOM v1.1.xlsx" in told


def test_a_manifest_of_the_work_tree_is_lent_to_both(run: Run, stranger: Stranger) -> None:
    assert run("init", cwd=stranger.root).returncode == 0
    document = compared(run, "v1.0", "v1.1", cwd=stranger.root)
    assert changes(document) == TRUE
    assert "v1.0: v1.0 was read by revdiff.toml of the work tree" in notices(document)
    assert changes(compared(run, "v1.0", "worktree", cwd=stranger.root)) == TRUE


@pytest.mark.parametrize("names", [("v1.0", "v1.2"), ("v1.0", "worktree"), ("v1.2", "v1.0")])
def test_what_a_manifest_says_of_its_own_revision_is_no_change_of_an_older_one(
    run: Run, stranger: Stranger, names: tuple[str, str]
) -> None:
    run("init", cwd=stranger.root)
    manifest = stranger.root / "revdiff.toml"
    text = manifest.read_text().replace('revision = ""', 'revision = "B"\nshipped = true')
    stranger.commit({"revdiff.toml": f'{text}\n[stacking]\nallow = ["part-value-magnitude"]\n'.encode()}, "manifest")
    stranger.tag("v1.2")
    document = compared(run, *names, cwd=stranger.root)
    assert {kind for kind, _ in changes(document)} == {"part.value", "pin.swapped"}


def test_a_renamed_table_is_settled_by_a_list_of_its_names(run: Run, stranger: Stranger) -> None:
    text = """[boards.sensor]
parts = ["hw/Sensor BOM v1.0.xlsx", "hw/Sensor BOM v1.1.xlsx"]
pins = "docs/pinout.md"
"""
    (stranger.root / "revdiff.toml").write_text(text)
    document = compared(run, "v1.0", "v1.1", cwd=stranger.root)
    assert changes(document) == TRUE
    assert "was taken for" not in notices(document)


@pytest.mark.parametrize(
    ("named", "said"),
    [("../mine.toml", "mine.toml"), ("v1.2:revdiff.toml", "v1.2:revdiff.toml"), ("HEAD:revdiff.toml", ":revdiff.toml")],
)
def test_a_manifest_is_named(run: Run, stranger: Stranger, named: str, said: str) -> None:
    run("init", cwd=stranger.root)
    text = (stranger.root / "revdiff.toml").read_bytes()
    (stranger.root.parent / "mine.toml").write_bytes(text)
    stranger.commit({}, "manifest")
    stranger.tag("v1.2")
    document = compared(run, "v1.0", "v1.1", "--manifest", named, cwd=stranger.root)
    assert changes(document) == TRUE
    assert f"{said}\n" in notices(document)


@pytest.mark.parametrize("named", ["none.toml", "v9:revdiff.toml", "v1.0:revdiff.toml", "docs"])
def test_a_named_manifest_that_is_none_is_told(run: Run, stranger: Stranger, named: str) -> None:
    done = run("compare", "v1.0", "v1.1", "--manifest", named, cwd=stranger.root)
    assert done.returncode == 2
    assert "--manifest" in done.stderr


def test_what_is_no_manifest_is_located(run: Run, stranger: Stranger) -> None:
    done = run("compare", "v1.0", "v1.1", "--manifest", "README.md", cwd=stranger.root)
    assert done.returncode == 3
    assert "no valid TOML" in done.stderr


def test_a_table_that_an_old_tag_has_not_is_told_and_counts_as_new(run: Run, tmp_path: Path) -> None:
    shop = Stranger(tmp_path / "sensor")
    shop.release("v1.0", {"bom.csv": BOM_1})
    shop.release("v1.1", {"bom.csv": BOM_2, "pinout.md": PINOUT_2})
    document = compared(run, "v1.0", "v1.1", cwd=shop.root)
    assert "v1.0: pinout.md isn't there, and nothing that clearly takes its place" in notices(document)
    assert ("part.value", "R3") in changes(document)


def test_of_two_files_that_may_be_meant_none_is_taken(run: Run, tmp_path: Path) -> None:
    shop = Stranger(tmp_path / "sensor")
    shop.release("v1.0", {"hw/bom-a.csv": BOM_1, "hw/bom-b.csv": BOM_2, "pinout.md": PINOUT_1})
    shop.release("v1.1", {"hw/bom-c.csv": BOM_2, "pinout.md": PINOUT_1})
    assert run("init", cwd=shop.root).returncode == 0
    told = notices(compared(run, "v1.0", "v1.1", cwd=shop.root))
    assert "hw/bom-c.csv isn't there, and nothing that clearly takes its place" in told


def test_boards_keep_their_names_where_folders_were_renamed(run: Run, tmp_path: Path) -> None:
    shop = Stranger(tmp_path / "stack")
    shop.release("v1", {"base_v1/bom.csv": BOM_1, "radio_v1/bom.csv": BOM_2})
    shop.release("v2", {"base_v2/bom.csv": BOM_2, "radio_v2/bom.csv": BOM_2})
    assert changes(compared(run, "v1", "v2", cwd=shop.root)) == {("part.value", "R3")}


def test_a_table_whose_worksheet_had_another_name_is_read_without_the_manifests_word(
    run: Run, stranger: Stranger
) -> None:
    text = """[boards.sensor]
parts = [{ file = "hw/Sensor BOM v1.0.xlsx", sheet = "List" }, { file = "hw/Sensor BOM v1.1.xlsx", sheet = "BOM" }]
pins = "docs/pinout.md"
"""
    (stranger.root / "revdiff.toml").write_text(text)
    document = compared(run, "v1.0", "v1.1", cwd=stranger.root)
    assert changes(document) == TRUE
    assert "read without its word on them" in notices(document)


def test_a_lent_manifest_waives_nothing_and_allows_nothing_unless_it_is_named(run: Run, tmp_path: Path) -> None:
    bare = {path: text for path, text in SMALL.items() if path != "revdiff.toml"}
    broken = edit(bare, ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,12 V"))
    allow = '\n[stacking]\nallow = ["joint-supply-voltage"]\n'
    shop = Stranger(tmp_path / "stack")
    shop.release("v1", bare)
    shop.release("v2", {**broken, "revdiff.toml": SMALL["revdiff.toml"] + allow})
    rules = {item["rule"] for item in compared(run, "v1", "v2", cwd=shop.root)["findings"]}
    assert "joint-supply-voltage" in rules
    named = compared(run, "v1", "v2", "--manifest", "v2:revdiff.toml", cwd=shop.root)
    assert "joint-supply-voltage" not in {item["rule"] for item in named["findings"]}


def test_a_lent_contract_has_no_version_and_is_there_only_with_its_needs(run: Run, tmp_path: Path) -> None:
    bare = {path: text for path, text in SMALL.items() if path != "revdiff.toml"}
    shop = Stranger(tmp_path / "stack")
    shop.release("v0", {path: text for path, text in bare.items() if path != "blink.csv"})
    shop.release("v1", bare)
    shop.release("v2", edit(SMALL, ("base/pins.csv", "PA0,LED,GPIO,out,high", "PA0,LED,GPIO,out,low")))
    document = compared(run, "v1", "v2", cwd=shop.root)
    assert changes(document) == {("pin.active", "LED")}
    assert {item["pairing"] for item in document["findings"] if item["rule"].startswith("firmware-")} >= {
        "blink + base@v2"
    }
    assert "the firmware blink is left out: blink.csv isn't there" in notices(compared(run, "v0", "v2", cwd=shop.root))


def test_two_folders_without_manifests_are_compared(run: Run, tmp_path: Path) -> None:
    for name, text in (("old", BOM_1), ("new", BOM_2)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "bom.csv").write_text(text)
    assert changes(compared(run, "old/", "new/", cwd=tmp_path)) == {("part.value", "R3")}


@pytest.mark.parametrize("command", ["notes", "pins"])
def test_documents_are_drafted_from_tags_without_a_manifest(run: Run, stranger: Stranger, command: str) -> None:
    done = run(command, "v1.0", "v1.1", cwd=stranger.root)
    assert done.returncode == 0
    assert "HEAT" in done.stdout


def test_a_check_is_lent_no_manifest_that_nobody_named(run: Run, stranger: Stranger) -> None:
    run("init", cwd=stranger.root)
    for names in (("v1.0", "v1.1"), ("v1.1", "worktree")):
        done = run("check", *names, cwd=stranger.root)
        assert (done.returncode, done.stdout) == (3, "")
        assert "has no revdiff.toml" in done.stderr


def test_nothing_is_written_anywhere(run: Run, stranger: Stranger) -> None:
    compared(run, "v1.0", "v1.1", cwd=stranger.root)
    status = subprocess.run(["git", "status", "--porcelain"], cwd=stranger.root, capture_output=True, check=True)
    assert status.stdout == b""


BARE = {path: text for path, text in SMALL.items() if path != "revdiff.toml"}
BROKEN = edit(BARE, ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,12 V"))


@pytest.fixture
def stack(tmp_path: Path) -> Stranger:
    """Two boards at two tags and a note at a third, and a manifest in the work tree alone."""
    shop = Stranger(tmp_path / "stack")
    shop.release("v0", {"notes.txt": "an idea\n"})
    shop.release("v1", BARE)
    shop.release("v2", BROKEN)
    shop.write("revdiff.toml", SMALL["revdiff.toml"].encode())
    return shop


def test_boards_of_old_tags_are_stacked_by_the_manifest_of_the_work_tree(run: Run, stack: Stranger) -> None:
    done = run("stack", "base@v2", "top@v1", "--fail-on", "break", cwd=stack.root)
    assert done.returncode == 1
    assert "12 V" in done.stdout
    assert "v1 was read by revdiff.toml of the work tree" in done.stderr


@pytest.mark.parametrize("options", [(), ("--firmware",)])
def test_a_matrix_takes_in_old_tags_and_leaves_out_those_without_any_table(
    run: Run, stack: Stranger, options: tuple[str, ...]
) -> None:
    document = json.loads(run("matrix", *options, "--format", "json", cwd=stack.root).stdout)
    assert [item["revision"] for item in document["left_out"]] == ["v0"]
    assert "v2" in json.dumps(document)


def test_without_any_manifest_a_stack_is_recognised_unless_one_is_named(run: Run, stack: Stranger) -> None:
    (stack.root / "revdiff.toml").unlink()
    done = run("stack", "base@v2", "top@v1", cwd=stack.root)
    assert done.returncode == 0
    assert "v2 has no revdiff.toml; it was read by what revdiff init would write" in done.stderr
    named = ("--manifest", "../mine.toml")
    (stack.root.parent / "mine.toml").write_text(SMALL["revdiff.toml"])
    assert run("stack", "base@v2", "top@v1", *named, cwd=stack.root).returncode == 0


def test_the_documents_of_an_old_tag_are_held_against_each_other(run: Run, stranger: Stranger) -> None:
    done = run("ready", "v1.0", cwd=stranger.root)
    assert done.returncode == 0
    assert "v1.0 has no revdiff.toml; it was read by what revdiff init would write" in " ".join(done.stdout.split())


@pytest.mark.parametrize("options", [(), ("--firmware",)])
def test_a_matrix_fails_for_faults_of_the_newest_tag_alone(run: Run, tmp_path: Path, options: tuple[str, ...]) -> None:
    faulty = edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,3,4k7"))
    shop = Stranger(tmp_path / "stack")
    shop.release("v1", faulty)
    shop.release("v2", SMALL)
    done = run("matrix", *options, cwd=shop.root)
    assert done.returncode == 0
    assert "base/parts.csv:3:2" in done.stderr
    shop.release("v3", faulty)
    assert run("matrix", *options, cwd=shop.root).returncode == 3


def test_a_manifest_in_a_folder_below_is_named_instead_of_recognising_all_anew(run: Run, tmp_path: Path) -> None:
    shop = Stranger(tmp_path / "sensor")
    shop.release("v1", {f"hw/{path}": text for path, text in SMALL.items()})
    done = run("compare", "v1", "v1", cwd=shop.root)
    assert (done.returncode, done.stdout) == (3, "")
    assert "'hw/revdiff.toml'" in done.stderr
    assert run("compare", "v1", "v1", "--design", "hw", cwd=shop.root).returncode == 0


@pytest.mark.parametrize("names", [(), ("worktree",), ("index",), ("folder:.",)])
def test_where_people_work_a_missing_manifest_is_a_fault_of_ready(
    run: Run, stranger: Stranger, names: tuple[str, ...]
) -> None:
    done = run("ready", *names, cwd=stranger.root)
    assert (done.returncode, done.stdout) == (3, "")
    assert "revdiff init writes one" in done.stderr


def test_two_files_are_lent_nothing(run: Run, stranger: Stranger) -> None:
    run("init", cwd=stranger.root)
    files = ("v1.0:docs/pinout.md", "v1.1:docs/pinout.md")
    done = run("compare", *files, "--manifest", "revdiff.toml", cwd=stranger.root)
    assert (done.returncode, done.stdout) == (2, "")
    assert "two files are compared without one" in done.stderr


def test_a_manifest_below_that_is_not_committed_yet_is_named_too(run: Run, stranger: Stranger) -> None:
    assert run("init", "hw", cwd=stranger.root).returncode == 0
    done = run("compare", "v1.0", "v1.1", cwd=stranger.root)
    assert done.returncode == 3
    assert "the work tree has no revdiff.toml at the root of the design, but 'hw/revdiff.toml'" in done.stderr
    assert run("compare", "v1.0", "v1.1", "--design", "hw", cwd=stranger.root).returncode == 0
    assert run("compare", "v1.0", "v1.1", cwd=stranger.root / "hw").returncode == 0


def test_a_guessed_contract_hides_nothing_that_the_pin_map_tells(run: Run, tmp_path: Path) -> None:
    header = "#define PIN_LED 1\n#define PIN_TX 3\n"
    shop = Stranger(tmp_path / "sensor")
    shop.release("v1", {"bom.csv": BOM_1, "pinout.md": PINOUT_1})
    shop.release("v2", {"bom.csv": BOM_1, "pinout.md": PINOUT_1.replace("| 4 | PA3 | RX", "| 5 | PA4 | RX")})
    alone = compared(run, "v1", "v2", cwd=shop.root)["findings"]
    shop.release("v3", {"bom.csv": BOM_1, "pinout.md": PINOUT_1, "fw/pins.h": header})
    moved = PINOUT_1.replace("| 4 | PA3 | RX", "| 5 | PA4 | RX")
    shop.release("v4", {"bom.csv": BOM_1, "pinout.md": moved, "fw/pins.h": header})
    beside = compared(run, "v3", "v4", cwd=shop.root)["findings"]
    assert alone
    assert {item["subject"] for item in beside} == {item["subject"] for item in alone}


def test_joints_that_were_recognised_are_told_with_the_tables(run: Run, stack: Stranger) -> None:
    (stack.root / "revdiff.toml").unlink()
    told = notices(compared(run, "v1", "v2", cwd=stack.root))
    assert "joint base.J1 with top.J1" in told


@pytest.mark.parametrize(
    "moved",
    [
        ("J1,3,TX,out,3.3 V,\nJ1,4,RX,in", "J1,3,RX,in,3.3 V,\nJ1,4,TX,out"),
        ("J1,1,+5V,supply,5 V,1 A\nJ1,2,GND,ground,,1 A", "J1,1,GND,ground,,1 A\nJ1,2,+5V,supply,5 V,1 A"),
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_contacts_that_changed_places_do_not_hide_a_joint(
    run: Run, tmp_path: Path, moved: tuple[str, str], turned: bool
) -> None:
    """Four of five contacts that carry a signal make a joint; with two exchanged they are three."""
    swapped = edit(BARE, ("base/contacts.csv", *moved))
    shop = Stranger(tmp_path)
    for tag, files in zip(("v1", "v2"), (swapped, BARE) if turned else (BARE, swapped), strict=True):
        shop.release(tag, files)
    document = compared(run, "v1", "v2", cwd=shop.root)
    assert "joint base.J1 with top.J1" in notices(document)
    assert {item["severity"] for item in document["findings"]} & {"break"}


@pytest.mark.parametrize("width", [80, 120])
def test_messages_keep_to_the_width_of_the_terminal_and_break_no_name(run: Run, stranger: Stranger, width: int) -> None:
    done = run("check", "v1.0", "v1.1", cwd=stranger.root, unfolded=False, COLUMNS=str(width))
    lines = done.stderr.splitlines()
    assert done.returncode == 3
    assert len(lines) > 3
    assert max(map(len, lines)) <= width
    assert all(line.startswith(("revdiff: ", "  ")) for line in lines)
    assert "--manifest" in done.stderr


@pytest.mark.parametrize("initialised", [False, True])
def test_a_check_says_what_to_do_about_a_base_without_a_manifest(
    run: Run, stranger: Stranger, *, initialised: bool
) -> None:
    """It is judged by the manifest of its base: nobody's work tree, which may be the change itself, is taken for it."""
    if initialised:
        assert run("init", cwd=stranger.root).returncode == 0
    done = run("check", "v1.0", "v1.1", cwd=stranger.root)
    assert (done.returncode, done.stdout) == (3, "")
    assert "commit revdiff.toml there (revdiff init writes one), or name one with --manifest FILE" in done.stderr


def test_a_check_is_judged_by_a_manifest_that_is_named(run: Run, stranger: Stranger) -> None:
    text = '[boards.sensor]\npins = "docs/pinout.md"\n'
    (stranger.root / "held.toml").write_text(text)
    done = run("check", "v1.0", "v1.1", "--manifest", "held.toml", "--detail", cwd=stranger.root)
    assert done.returncode in (0, 1), done.stderr
    assert "LED ↔ HEAT" in done.stdout
    assert "v1.0 was read by held.toml" in done.stdout
    missing = run("check", "v1.0", "v1.1", "--manifest", "gone.toml", cwd=stranger.root)
    assert (missing.returncode, missing.stdout) == (2, "")
    assert "there is no file 'gone.toml'" in missing.stderr
