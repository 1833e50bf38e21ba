"""The scorer of parts, on small tables: which accounts of what happened are right, and which are not."""

from __future__ import annotations

import pytest

from tests.campaign.accounts import Parts, PartScore, score_parts
from tests.campaign.sheets import Row
from tests.campaign.told import Told
from tests.campaign.trial import Expected

_KINDS = {"part.value": ["value"], "part.cost": ["cost"]}


def _table(text: str) -> dict[str, Row]:
    """``R1 10k 5`` after a comma each: designator, value, cost."""
    names = ("designator", "value", "cost")
    rows = [dict(zip(names, item.split(), strict=False)) for item in text.split(", ")]
    return {row["designator"]: row for row in rows}


def _pairs(text: str) -> frozenset[tuple[str, str]]:
    """``R1>R2 R3>`` as pairs."""
    ends = [item.split(">") for item in text.split()]
    return frozenset((one, two) for one, two in ends)


def _score(old: str, new: str, done: list[str], said: list[str]) -> PartScore:
    """``done`` and ``said``: a kind and its pairs each, as ``part.value R1>R1``."""
    parts = Parts(_table(old), _table(new))
    events = []
    entries = []
    for text in done:
        kind, _, pairs = text.partition(" ")
        events.append(Expected(kind, "main", _pairs(pairs), frozenset(_KINDS.get(kind, ())), text, False))
    for text in said:
        kind, _, pairs = text.partition(" ")
        columns = dict.fromkeys(_KINDS.get(kind, ()), ("", ""))
        entries.append(Told(kind, "main", _pairs(pairs), columns, text))
    return score_parts(parts, entries, events, {})


_TEN = "R1 10k, R2 10k, R3 10k, R4 10k, R5 22k"

RIGHT = [
    ("as it was", "R1 10k, R2 22k", "R1 12k, R2 22k", ["part.value R1>R1"], ["part.value R1>R1"]),
    (
        "two events that did the same, in one entry",
        "R1 10k, R2 10k",
        "R1 12k, R2 12k",
        ["part.value R1>R1", "part.value R2>R2"],
        ["part.value R1>R1 R2>R2"],
    ),
    (
        "parts of different data that came together, in an entry for each",
        "R1 10k",
        "R1 10k, R2 22k, R3 47k",
        ["part.added >R2 >R3"],
        ["part.added >R2", "part.added >R3"],
    ),
    (
        "a run closed up, told as the last one gone",
        "R1 10k, R2 10k, R3 10k",
        "R1 10k, R2 10k",
        ["part.removed R1>", "part.renumbered R2>R1 R3>R2"],
        ["part.removed R3>"],
    ),
    (
        "a block of equal parts that moved onto its own numbers, told by its ends",
        "R1 10k, R2 10k, R3 10k",
        "R2 10k, R3 10k, R4 10k",
        ["part.renumbered R1>R2 R2>R3 R3>R4"],
        ["part.renumbered R1>R4"],
    ),
    (
        "one gone from a row that closed up twice, told as another one of the row",
        "R1 10k, R2 10k, R3 10k, R4 22k, R5 47k, R6 47k, R7 47k, R8 12k",
        "R1 10k, R2 10k, R3 22k, R4 47k, R5 47k, R6 12k",
        ["part.removed R1>", "part.removed R5>", "part.renumbered R2>R1 R3>R2 R4>R3 R6>R4 R7>R5 R8>R6"],
        ["part.removed R3>", "part.removed R6>", "part.renumbered R4>R3 R5>R4 R7>R5 R8>R6"],
    ),
    (
        "blocks that traded places, told without the ends that hold an equal part before and after",
        "R1 10k, R2 22k, R3 10k, R4 47k",
        "R1 10k, R2 47k, R3 10k, R4 22k",
        ["part.renumbered R1>R3 R2>R4", "part.renumbered R3>R1 R4>R2"],
        ["part.renumbered R2>R4", "part.renumbered R4>R2"],
    ),
    (
        "numbers opened for an equal part, of which only the price tells which one is new",
        "R1 10k 5, R2 22k 5, R3 47k 5",
        "R1 10k 5, R2 10k 7, R3 22k 7, R4 47k 7",
        ["part.added >R1", "part.renumbered R1>R2 R2>R3 R3>R4", "part.cost R1>R2 R2>R3 R3>R4"],
        ["part.added >R2", "part.renumbered R2>R3 R3>R4", "part.cost R2>R3 R3>R4"],
    ),
    ("nothing, of two equal parts that traded places", _TEN, _TEN, [], []),
]

WRONG = [
    ("not told", "R1 10k", "R1 12k", ["part.value R1>R1"], [], (1, 0, 0)),
    ("told, but did not happen", "R1 10k", "R1 10k", [], ["part.value R1>R1"], (0, 0, 1)),
    ("of another kind", "R1 10k", "R1 12k", ["part.value R1>R1"], ["part.cost R1>R1"], (0, 1, 0)),
    (
        "told in two entries where one says it",
        "R1 10k, R2 10k",
        "R1 12k, R2 12k",
        ["part.value R1>R1 R2>R2"],
        ["part.value R1>R1", "part.value R2>R2"],
        (0, 1, 0),
    ),
    (
        "one entry with different values",
        "R1 10k, R2 22k",
        "R1 12k, R2 12k",
        ["part.value R1>R1", "part.value R2>R2"],
        ["part.value R1>R1 R2>R2"],
        (0, 2, 0),
    ),
    (
        "moved away from an equal part under its own number",
        "R1 10k, R2 10k, R3 22k",
        "R1 10k, R2 10k, R3 12k, R4 22k",
        ["part.value R3>R3", "part.added >R4"],
        ["part.renumbered R1>R2 R2>R1", "part.value R3>R3", "part.added >R4"],
        (0, 0, 1),
    ),
    (
        "one gone from a row, told as the first one, and all others as moved up",
        "R1 10k, R2 10k, R3 10k, R4 22k",
        "R1 10k, R2 10k, R4 22k",
        ["part.removed R3>"],
        ["part.removed R1>", "part.renumbered R2>R1 R3>R2"],
        (0, 1, 1),
    ),
    (
        "a substitution and an addition, told as a renumbering",
        f"{_TEN}, R6 10k",
        "R1 12k, R2 10k, R3 10k, R4 10k, R5 22k, R6 10k, R7 10k",
        ["part.value R1>R1", "part.added >R7"],
        ["part.renumbered R1>R7", "part.added >R1"],
        (0, 2, 0),
    ),
    (
        "one of many went and one like it came, told as a renumbering",
        _TEN,
        "R1 10k, R2 10k, R3 10k, R5 22k, R9 10k",
        ["part.removed R4>", "part.added >R9"],
        ["part.renumbered R4>R9"],
        (0, 2, 0),
    ),
    (
        "prices told as changed, of equal parts that traded places with them",
        "R1 10k 5, R2 10k 6",
        "R1 10k 6, R2 10k 5",
        ["part.renumbered R1>R2 R2>R1"],
        ["part.cost R1>R1", "part.cost R2>R2"],
        (0, 1, 0),
    ),
    (
        "an account that does not give the second revision",
        "R1 10k, R2 10k, R3 10k",
        "R1 10k, R2 10k",
        ["part.removed R1>", "part.renumbered R2>R1 R3>R2"],
        ["part.removed R2>"],
        (0, 2, 0),
    ),
]


@pytest.mark.parametrize(("old", "new", "done", "said"), [item[1:] for item in RIGHT], ids=[item[0] for item in RIGHT])
def test_an_account_is_right(old: str, new: str, done: list[str], said: list[str]) -> None:
    result = _score(old, new, done, said)
    assert (len(result.found), len(result.right)) == (len(done), len(said))
    assert (result.false, result.misclassed, result.from_home) == ([], [], 0)


@pytest.mark.parametrize(
    ("old", "new", "done", "said", "counts"), [item[1:] for item in WRONG], ids=[item[0] for item in WRONG]
)
def test_an_account_is_wrong(
    old: str, new: str, done: list[str], said: list[str], counts: tuple[int, int, int]
) -> None:
    result = _score(old, new, done, said)
    assert (len(result.missed), len(result.wrong), len(result.false)) == counts


def test_a_part_of_many_may_be_told_as_gone_and_one_more_come() -> None:
    parts = Parts(_table(_TEN), _table("R1 10k, R2 10k, R3 10k, R5 22k, R9 10k"))
    event = Expected("part.renumbered", "main", _pairs("R4>R9"), frozenset(), "", False, or_else=True)
    for said in (["part.renumbered R4>R9"], ["part.removed R4>", "part.added >R9"]):
        entries = [Told(text.split()[0], "main", _pairs(text.split()[1]), {}, text) for text in said]
        assert score_parts(parts, entries, [event], {}).found == [event]


def test_a_part_told_as_gone_and_come_has_no_data_that_changed() -> None:
    parts = Parts(_table(f"{_TEN}, R6 22k 5"), _table("R1 10k, R2 10k, R3 10k, R5 22k, R6 22k 6, R9 10k"))
    moved = Expected("part.renumbered", "main", _pairs("R4>R9"), frozenset(), "", False, or_else=True)
    cost = Expected("part.cost", "main", _pairs("R4>R9 R6>R6"), frozenset({"cost"}), "", False)
    entries = [
        Told("part.removed", "main", _pairs("R4>"), {}, ""),
        Told("part.added", "main", _pairs(">R9"), {}, ""),
        Told("part.cost", "main", _pairs("R6>R6"), {"cost": ("5", "6")}, ""),
    ]
    assert score_parts(parts, entries, [moved, cost], {}).found == [moved, cost]
    assert score_parts(parts, entries[:2], [moved, cost], {}).missed == [cost]


def test_a_column_that_came_as_a_whole_is_told_once_at_most() -> None:
    parts = Parts(_table("R1 10k, R2 22k"), _table("R1 10k 5, R2 22k 6"), frozenset({"cost"}))
    entries = [Told("part.cost", "main", _pairs(f"{ref}>{ref}"), {"cost": ("", "5")}, "") for ref in ("R1", "R2")]
    assert score_parts(parts, [], [], {}).false == []
    assert score_parts(parts, entries[:1], [], {}).right == entries[:1]
    assert score_parts(parts, entries, [], {}).false == entries[1:]


def test_the_printed_part_number_must_be_that_of_the_table() -> None:
    old, new = ({"R1": {"designator": "R1", "value": "10k", "part_number": text}} for text in ("A-1", "A-2"))
    event = Expected("part.substituted", "main", _pairs("R1>R1"), frozenset({"part_number"}), "", False)
    for texts, found in ((("a-1 ", "A-2"), [event]), (("A-1", "A-3"), [])):
        entry = Told("part.substituted", "main", _pairs("R1>R1"), {"part_number": texts}, "")
        assert score_parts(Parts(old, new), [entry], [event], {}).found == found
