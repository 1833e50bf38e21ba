"""Outside check: pin maps that others published, compared by an independent little script and by the program.

Source: the package ``circuitpython-stubs``, releases 9.0.0 and 10.3.1, from the Python package registry; MIT licence.
Each release carries one file for each of some hundred boards, with a line for each name of a pin and the
controller's pin in a comment: ``SDA: microcontroller.Pin  # GPIO26``. Nothing of it is kept here; download both and
name the folder:

    pip download --no-deps --dest FOLDER circuitpython-stubs==9.0.0
    pip download --no-deps --dest FOLDER circuitpython-stubs==10.3.1
    python -m tests.campaign.open_pin_maps FOLDER
"""

from __future__ import annotations

import csv
import io
import re
import sys
import zipfile
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from revdiff.compare.change import Change
from revdiff.compare.comparison import compare_designs
from revdiff.readers.loader import Loader
from tests.campaign.writing import MemoryRevision

OLD, NEW = "9.0.0", "10.3.1"
_LINE = re.compile(r"^([A-Za-z_]\w*): microcontroller\.Pin\s+# *(\S.*)$", re.MULTILINE)
_FILE = re.compile(r"^board_definitions/([^/]+)/__init__\.pyi$")

Pins = Mapping[str, str]  # name -> pin of the controller


@dataclass(frozen=True)
class Difference:
    """What became of the names of one board."""

    added: frozenset[str]
    removed: frozenset[str]
    moved: frozenset[str]


def read_release(folder: Path, release: str) -> dict[str, Pins]:
    """Board to its pins. Raises FileNotFoundError where the folder has no such release."""
    found = sorted(folder.glob(f"circuitpython_stubs-{release}-*.whl"))
    if not found:
        raise FileNotFoundError(f"{folder} holds no wheel of release {release}")
    boards: dict[str, Pins] = {}
    with zipfile.ZipFile(found[0]) as archive:
        for name in archive.namelist():
            board = _FILE.match(name)
            if board:
                boards[board[1]] = dict(_LINE.findall(archive.read(name).decode()))
    return boards


def plain_difference(old: Pins, new: Pins) -> Difference:
    """The independent script: names by set arithmetic."""
    return Difference(
        added=frozenset(new.keys() - old.keys()),
        removed=frozenset(old.keys() - new.keys()),
        moved=frozenset(name for name in old.keys() & new.keys() if old[name] != new[name]),
    )


def told_difference(old: Pins, new: Pins) -> Difference:
    """The same question put to the program, with both releases as pin maps."""
    several = _several_names(old) | _several_names(new)
    places = sorted({_place(name, pin, several) for pins in (old, new) for name, pin in pins.items()})
    numbers = {place: str(number) for number, place in enumerate(places, 1)}
    loader = Loader()
    designs = []
    for pins in (old, new):
        rows = [(numbers[_place(name, pin, several)], name) for name, pin in pins.items()]
        designs.append(loader.load(_revision(rows)))
    changes = compare_designs(*designs).changes
    names = {name.casefold(): name for name in (*old, *new)}
    added, removed, moved = set(), set(), set()
    for change in changes:
        before, after = _names_of(change, names)
        added |= after - before
        removed |= before - after
        moved |= before & after
    return Difference(frozenset(added), frozenset(removed), frozenset(moved))


def _several_names(pins: Pins) -> set[str]:
    return {pin for pin, count in Counter(pins.values()).items() if count > 1}


def _place(name: str, pin: str, several: set[str]) -> tuple[str, str]:
    """The place of a name: the controller's pin, and where a pin has several names, the pin under that name."""
    return pin, name if pin in several else ""


def _revision(rows: Iterable[tuple[str, str]]) -> MemoryRevision:
    """A pin map; a row of its own in both revisions stands for the board, since some list no pins at all."""
    rows = [("0", "(board)"), *rows]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows((("Device", "Pin", "Signal"), *(("U1", *row) for row in rows)))
    manifest = '[design]\nname = "published"\n[boards.main]\npins = "pins.csv"\n'
    return MemoryRevision({"revdiff.toml": manifest.encode(), "pins.csv": out.getvalue().encode()}, "release")


def _names_of(change: Change, names: Mapping[str, str]) -> tuple[set[str], set[str]]:
    """The signal names that a change takes from somewhere and puts somewhere."""
    kind = change.kind
    if kind == "signal.renamed":
        return {change.before}, {change.after}
    if kind == "pin.signal":
        return {change.before}, {change.after}
    if kind == "pin.added":
        return set(), {change.subject}
    if kind == "pin.removed":
        return {change.subject}, set()
    if kind in ("pin.moved", "pin.swapped"):
        moved = {names[item.casefold()] for item in re.split(" ↔ | → ", change.subject)}
        return moved, moved
    raise AssertionError(f"a pin map of names alone made a {kind}")


@dataclass
class Result:
    """The comparison of both releases."""

    boards: int = 0
    differing: int = 0
    added: int = 0
    removed: int = 0
    moved: int = 0
    disagreeing: tuple[str, ...] = ()


def compare_releases(folder: Path) -> Result:
    """Compares every board that both releases have."""
    old, new = read_release(folder, OLD), read_release(folder, NEW)
    result = Result()
    for board in sorted(old.keys() & new.keys()):
        plain, told = plain_difference(old[board], new[board]), told_difference(old[board], new[board])
        result.boards += 1
        result.differing += plain != Difference(frozenset(), frozenset(), frozenset())
        result.added += len(plain.added)
        result.removed += len(plain.removed)
        result.moved += len(plain.moved)
        if plain != told:
            result.disagreeing += (f"{board}: script {plain}, program {told}",)
    return result


if __name__ == "__main__":
    print(compare_releases(Path(sys.argv[1])))
