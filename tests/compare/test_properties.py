"""What holds for every pair of designs, tried on designs and changes drawn at random."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from revdiff.compare.apply import apply_changes
from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Design
from revdiff.errors import DataFault
from revdiff.readers.loader import Loader
from tests.campaign.designs import make_design
from tests.campaign.mutations import make_trial
from tests.campaign.run import read_pair, reproduces
from tests.campaign.sheets import Row, Sheets
from tests.campaign.writing import Writer
from tests.support import SMALL, compare, edit, load

pytestmark = pytest.mark.slow

SEEDS = st.integers(0, 1_000_000)
COUNTS = st.integers(1, 8)
_OPPOSITE = {"added": "removed", "removed": "added", "split": "merged", "merged": "split"}
_WITHOUT_FIELDS = {"added", "removed", "split", "merged", "renumbered", "moved", "swapped", "signal", "renamed"}


def _pair(seed: int, count: int) -> tuple[Design, Design]:
    return read_pair(make_trial(seed, "", count), str(seed))


def _read(sheets: Sheets) -> Design:
    return Loader().load(Writer(0, plain=True).revision(sheets, "r"))


@settings(max_examples=15, deadline=None)
@given(SEEDS)
def test_a_design_does_not_differ_from_itself_however_it_is_written(seed: int) -> None:
    old, new = read_pair(make_trial(seed, "", 0), str(seed))
    assert compare_designs(old, new).changes == ()
    assert compare_designs(old, old).changes == ()


@settings(max_examples=15, deadline=None)
@given(SEEDS, COUNTS)
def test_the_way_back_tells_the_mirror_image(seed: int, count: int) -> None:
    old, new = _pair(seed, count)
    forward, back = compare_designs(old, new).changes, compare_designs(new, old).changes
    assert Counter(map(_key, forward)) == Counter(_key(change, mirrored=True) for change in back)


def _key(change: Change, *, mirrored: bool = False) -> tuple[object, ...]:
    family, _, what = change.kind.partition(".")
    pairs = frozenset(change.pairs)
    if mirrored:
        what = _OPPOSITE.get(what, what)
        pairs = frozenset((two, one) for one, two in pairs)
    names = frozenset() if what in _WITHOUT_FIELDS else frozenset(item.name.casefold() for item in change.fields)
    return family, what, change.board, pairs, names


@settings(max_examples=15, deadline=None)
@given(SEEDS, COUNTS)
def test_the_changes_applied_to_the_first_revision_give_the_second(seed: int, count: int) -> None:
    assert reproduces(compare_designs(*_pair(seed, count)))


@settings(max_examples=10, deadline=None)
@given(SEEDS, COUNTS)
def test_the_order_of_rows_and_boards_does_not_matter(seed: int, count: int) -> None:
    trial = make_trial(seed, "", count)
    plain = compare_designs(_read(trial.old), _read(trial.new))
    shuffled = compare_designs(_read(_shuffled(trial.old, seed)), _read(_shuffled(trial.new, seed + 1)))
    assert [_placeless(item) for item in plain.changes] == [_placeless(item) for item in shuffled.changes]


def _shuffled(sheets: Sheets, seed: int) -> Sheets:
    rng = Random(seed)

    def mixed(rows: list[Row]) -> list[Row]:
        return rng.sample(rows, len(rows))

    copy = sheets.copy()
    for board in copy.boards.values():
        board.parts, board.pins = mixed(board.parts), mixed(board.pins)
        board.connectors, board.contacts = mixed(board.connectors), mixed(board.contacts)
    copy.boards = dict(rng.sample(list(copy.boards.items()), len(copy.boards)))
    return copy


def _placeless(change: Change) -> str:
    """All that a change says, to the letter, but for places in files."""
    return repr(replace(change, origin_before=None, origin_after=None))


@settings(max_examples=10, deadline=None)
@given(SEEDS)
def test_renaming_every_signal_tells_only_renames(seed: int) -> None:
    sheets = make_design(seed)
    renamed = sheets.copy()
    names = {item["signal"] for board in sheets.boards.values() for item in (*board.pins, *board.contacts)} - {""}
    new_names = {name: f"NET_{index}" for index, name in enumerate(sorted(names))}
    for board in renamed.boards.values():
        for item in (*board.pins, *board.contacts):
            item["signal"] = new_names.get(item["signal"], "")
    for firmware in renamed.firmware.values():
        for need in firmware.needs:
            need["signal"] = new_names[need["signal"]]
    changes = compare_designs(_read(sheets), _read(renamed)).changes
    # One contact, of which nothing else is stated, proves no rename.
    carried = Counter(item["signal"] for board in sheets.boards.values() for item in (*board.pins, *board.contacts))
    # The contract that goes by its new name then relies on another signal, too.
    changes = tuple(change for change in changes if change.kind != "contract.changed")
    others = [change for change in changes if change.kind != "signal.renamed"]
    assert {change.kind for change in others} <= {"contact.signal", "pin.signal"}
    assert all(carried[change.before] == 1 for change in others)
    told = {change.pairs[0] for change in changes if change not in others}
    told |= {(change.before.lower(), change.after.lower()) for change in others}
    assert told == {(old.lower(), new.lower()) for old, new in new_names.items()}
    assert len(others) < len(changes)


@settings(max_examples=10, deadline=None)
@given(SEEDS, st.sampled_from((100, 1000)))
def test_shifting_every_designator_tells_only_renumberings(seed: int, offset: int) -> None:
    sheets = make_design(seed)
    for board in sheets.boards.values():
        board.pins.clear()
    sheets.firmware.clear()
    shifted = sheets.copy()
    for board in shifted.boards.values():
        others = {item["connector"] for item in board.connectors}
        for item in board.parts:
            if item["designator"] not in others:
                prefix = item["designator"].rstrip("0123456789")
                item["designator"] = f"{prefix}{int(item['designator'][len(prefix) :]) + offset}"
    changes = compare_designs(_read(sheets), _read(shifted)).changes
    assert {change.kind for change in changes} == {"part.renumbered"}
    classes = sum(
        len({part["designator"].rstrip("0123456789") for part in board.parts} - {"J"})
        for board in sheets.boards.values()
    )
    assert len(changes) == classes


@settings(max_examples=10, deadline=None)
@given(SEEDS, COUNTS)
def test_strict_names_tells_nothing_that_is_inferred(seed: int, count: int) -> None:
    old, new = _pair(seed, count)
    strict = compare_designs(old, new, strict_names=True)
    assert all(change.match is None or change.match.level in ("exact", "stated") for change in strict.changes)
    assert reproduces(strict)


@settings(max_examples=10, deadline=None)
@given(SEEDS, COUNTS)
def test_ids_are_unique(seed: int, count: int) -> None:
    changes = compare_designs(*_pair(seed, count)).changes
    assert len({change.id for change in changes}) == len(changes)


# applying, where it can't


def _small(*edits: tuple[str, str, str]) -> Comparison:
    return compare(SMALL, edit(SMALL, *edits))


def test_an_added_board_is_refused_since_its_tables_are_no_part_of_the_change() -> None:
    found = _small(("revdiff.toml", "[[joints]]", '[boards.side]\nparts = "top/parts.csv"\n[[joints]]'))
    with pytest.raises(DataFault, match=r"adds the board side"):
        apply_changes(found.changes, found.old)


def test_changes_of_another_design_are_refused() -> None:
    found = _small(("base/pins.csv", "U1,1,PA0,LED,GPIO,out,high,,3.3 V,\n", ""))
    other = load(edit(SMALL, ("base/pins.csv", "U1,1,PA0,LED,GPIO,out,high,,3.3 V,\n", "")))
    with pytest.raises(DataFault, match="don't fit the design"):
        apply_changes(found.changes, other)


def test_no_changes_leave_the_design_as_it_is() -> None:
    old = load(SMALL)
    result = apply_changes((), old)
    assert all(
        getattr(result, item.name) == getattr(old, item.name) for item in fields(Design) if item.name != "diagnostics"
    )
