"""Every example of the guide on the wider design is run on the demo: without a fault, and to some effect."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from revdiff.app.reading import with_firmware
from revdiff.app.review import review_revisions
from revdiff.design import Design
from revdiff.design.sections import Policy
from revdiff.readers.loader import Loader
from revdiff.readers.sections import DESIGN_KEYS
from revdiff.readers.sections_board import BOARD_KEYS
from revdiff.report.guide import topic_text
from tests.netlists.writing import file356, record
from tests.support import MemoryRevision

ROOT = Path(__file__).parents[1]
GUIDE = topic_text("manifest")
BLOCKS = re.findall(r"^```toml\n(.*?)^```$", GUIDE, re.MULTILINE | re.DOTALL)
LAST = ROOT / "example_revs" / "rev-d"
KEPT = (LAST / "revdiff.toml").read_text(encoding="utf-8")
MARK = "# What tables can't say; all of it is optional."
BARE = "\n".join(
    line for line in KEPT.partition(MARK)[0].splitlines() if not line.startswith(("packing_suffixes", "shipped"))
)
JOINTS = """\
Board A,Connector A,Board B,Connector B,Contacts
base,J1,valves,J1,same
base,J2,valves,J2,same
"""


def with_block(block: str) -> str:
    """The demo's manifest without optional sections, and a block: keys of a section that is there go into that."""
    lines = BARE.splitlines()
    if block.startswith("joints"):
        bare = re.sub(r"\[\[joints\]\]\n(?:\w+ = .*\n)+", "", "\n".join(lines) + "\n")
        return block + bare
    for section in re.split(r"^(?=\[)", block, flags=re.MULTILINE):
        header, _, keys = section.partition("\n")
        name = header.partition("#")[0].strip()
        if name in lines:
            lines.insert(lines.index(name) + 1, keys)
        else:
            lines += section.splitlines()
    return "\n".join(lines) + "\n"


def files_of(manifest: str) -> dict[str, str | bytes]:
    files: dict[str, str | bytes] = {
        path.relative_to(LAST).as_posix(): path.read_bytes() for path in LAST.rglob("*") if path.is_file()
    }
    pins = [record(net=f"N{number}", ref="U1", pin=str(number)) for number in range(1, 31)]
    contacts = [record(net=f"N{number}", ref=name, pin=str(number)) for name in ("J1", "J2") for number in range(1, 25)]
    netlist = file356(*pins, *contacts)
    return {**files, "joints.csv": JOINTS, "base/base.ipc": netlist, "revdiff.toml": manifest}


def design_of(manifest: str) -> Design:
    revision = MemoryRevision(files_of(manifest), "rev-d")
    return with_firmware(Loader().load(revision), revision)


def keys_of(text: str) -> set[str]:
    """The optional keys and sections that a manifest uses."""
    data = tomllib.loads(text)
    found = {key for key in data if key in DESIGN_KEYS} | {key for key in data.get("design", {}) if key in DESIGN_KEYS}
    for board in data.get("boards", {}).values():
        found |= {f"boards.{key}" for key in board if key in (*BOARD_KEYS, "netlist")}
    for firmware in data.get("firmware", {}).values():
        found |= {f"firmware.{key}" for key in firmware if key in ("header", "devicetree")}
    return found | ({"joints table"} if isinstance(data.get("joints"), str) else set())


EVERY = {*DESIGN_KEYS, *(f"boards.{key}" for key in (*BOARD_KEYS, "netlist")), "firmware.header", "firmware.devicetree"}


def test_the_guide_has_an_example_of_every_optional_section() -> None:
    assert set().union(*map(keys_of, BLOCKS)) == EVERY | {"joints table"}


def test_the_demo_has_every_one_that_stands_for_no_table() -> None:
    assert keys_of(KEPT) == EVERY - {"boards.netlist"}


@pytest.mark.parametrize("block", BLOCKS)
def test_every_example_is_read_without_a_fault(block: str) -> None:
    faults = [str(item) for item in design_of(with_block(block)).diagnostics if item.severity == "fault"]
    assert faults == []


EFFECTS: Mapping[str, Callable[[Design], object]] = {
    "stacking": lambda design: design.sections.policy != Policy(),
    "known_good": lambda design: design.sections.known_good,
    "buses": lambda design: design.sections.buses,
    "controllers": lambda design: design.sections.controller("base", "U1").clock,
    "software": lambda design: design.sections.software["eeprom"].address,
    "identity": lambda design: design.sections.identities["radio"].codes,
    "derived": lambda design: len(design.sections.derived) == 2,
    "packing_suffixes": lambda design: design.sections.packing_suffixes,
    "waivers": lambda design: design.sections.waivers,
    "boards.feeds": lambda design: design.boards["base"].sections.feeds,
    "boards.loads": lambda design: design.boards["radio"].sections.loads,
    "boards.blocking": lambda design: design.boards["radio"].sections.blocking,
    "boards.pulls": lambda design: len(design.boards["base"].sections.pulls) == 2,
    "boards.switches": lambda design: design.boards["base"].sections.switches,
    "boards.buses": lambda design: design.boards["radio"].sections.buses,
    "boards.renumbered": lambda design: len(design.boards["radio"].sections.renumbered) == 2,
    "boards.shipped": lambda design: design.boards["base"].sections.shipped,
    "boards.netlist": lambda design: design.boards["base"].nodes,
    "firmware.header": lambda design: set(design.contracts["board-test"].needs) == {"led_status", "btn_user"},
    "firmware.devicetree": lambda design: set(design.contracts["recovery"].needs) == {"led_status"},
    "joints table": lambda design: len(design.joints) == 2,
}


@pytest.mark.parametrize("block", BLOCKS)
def test_every_example_takes_effect(block: str) -> None:
    design, plain = design_of(with_block(block)), design_of(BARE + "\n")
    for key in keys_of(block):
        assert EFFECTS[key](design), key
        assert not (key in EFFECTS and key != "boards.pulls" and _safely(EFFECTS[key], plain)), key


def _safely(effect: Callable[[Design], object], design: Design) -> bool:
    try:
        return bool(effect(design))
    except KeyError:
        return False


@pytest.mark.parametrize("key", sorted(EVERY - {"boards.netlist", "boards.shipped", "boards.pulls"}))
def test_a_key_that_is_mistyped_is_told(key: str) -> None:
    """What is only nearly a known key must not pass for one of the user's own."""
    name = key.rpartition(".")[2]
    if key.startswith("firmware."):
        pytest.skip("a firmware's own keys are free")
    section = "design" if not key.startswith("boards.") else "boards.base"
    wrong = name[:-1] + "x" + name[-1]
    text = with_block(f'[{section}]\n{wrong} = "1"\n') if section != "design" else f'{wrong} = "1"\n' + BARE
    assert any(wrong in str(item) for item in _told(text)), wrong


def _told(manifest: str) -> list[str]:
    from revdiff.design.diagnostic import FaultyDesign

    try:
        return [str(item) for item in design_of(manifest).diagnostics if item.severity == "fault"]
    except FaultyDesign as error:
        return list(map(str, error.diagnostics))


def test_the_demos_sections_are_used_by_the_judge(demo: Path) -> None:
    review = review_revisions("rev-c", "rev-d", repository=demo, waivers="rev-d")
    assert not review.faulty
    assert {use.state for use in review.waivers} == {"used"}
    assert any(("C4", "C22") in change.pairs for change in review.changes)
