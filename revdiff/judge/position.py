"""Which contacts meet by place: numbering schemes, views, plugs turned round or shifted.

A place is (row, column) seen from the top of the board with contact 1 in row 0, column 0. Conventions are
common practice, no source: row-wise numbers one row after the other, zig-zag one column after the other,
counter-clockwise runs up one row and back the other, as on a dual in-line package.
"""

from __future__ import annotations

from collections.abc import Mapping

from revdiff.design import Connector, Joint

Place = tuple[int, int]
Pairs = dict[str, str]

_SCHEMES = frozenset({"row-wise", "zig-zag", "counter-clockwise"})
_LARGEST = 10_000  # contacts; beyond that a count is a slip of the pen
_VIEWS = frozenset({"top", "mating face"})


def numbering(connector: Connector) -> str:
    """``row-wise``, ``zig-zag``, ``counter-clockwise`` or empty. In one row all schemes are the same."""
    stated = connector.numbering.word if connector.numbering.word in _SCHEMES else ""
    return stated or ("row-wise" if _rows(connector) == 1 else "")


def view(connector: Connector) -> str:
    """``top``, ``mating face`` or empty: from where the numbering is drawn."""
    return connector.view.word if connector.view.word in _VIEWS else ""


def _rows(connector: Connector) -> int:
    stated = connector.rows.quantity
    return int(stated.magnitude) if stated is not None else 0


def places(connector: Connector) -> dict[str, Place] | None:
    """The place of each contact by its number, as drawn; None where the data doesn't say."""
    rows, size, scheme = _rows(connector), connector.size, numbering(connector)
    if (
        not rows
        or not size
        or size > _LARGEST
        or size % rows
        or not scheme
        or (scheme == "counter-clockwise" and rows > 2)
    ):
        return None
    columns = size // rows
    found = {}
    for index in range(size):
        if scheme == "zig-zag":
            place = (index % rows, index // rows)
        else:
            row, along = divmod(index, columns)
            place = (row, columns - 1 - along if scheme == "counter-clockwise" and row == 1 else along)
        found[str(index + 1)] = place
    return found


def mirrored_views(a: Connector, b: Connector) -> bool | None:
    """Whether the two drawings show the joint from opposite sides; None where the data doesn't say.

    Two mating faces look at each other. A mating face under its board is seen from below; one on top from above.
    """
    one, two = view(a), view(b)
    if not one and not two:
        return False
    if one == two:
        return one == "mating face"
    drawn = a if one == "mating face" else b if two == "mating face" else None
    if drawn is None:
        return False
    side = drawn.board_side.word
    return None if side not in ("top", "bottom") else side == "bottom"


def by_place(a: Connector, b: Connector, *, turned: bool = False) -> Pairs | None:
    """Which contact of b each contact of a meets; None where the data doesn't say.

    Drawings from opposite sides are turned over about the long axis, so that contact 1 stays at its end.
    ``turned``: by half a turn, as the rotations of both connectors say.
    """
    if not _stated(a) or not _stated(b):
        return None
    one, two, mirrored = places(a), places(b), mirrored_views(a, b)
    if one is None or two is None or mirrored is None or _rows(a) != _rows(b):
        return None
    rows, columns = _rows(a), a.size // _rows(a)
    back = {place: number for number, place in two.items()}
    found = {}
    for number, (row, along) in one.items():
        if mirrored:
            row = rows - 1 - row
        if turned:
            row, along = rows - 1 - row, columns - 1 - along
        mate = back.get((row, along))
        if mate is not None:
            found[number] = mate
    return found


def _stated(connector: Connector) -> bool:
    return bool(connector.numbering)


def stated_pairs(joint: Joint, a: Connector, size: int) -> Pairs:
    """Which contact of b each listed contact of a meets, as the joint says."""
    return {number: mate for number in a.contacts if (mate := joint.mate(number, size)) is not None}


def from_the_end(pairs: Mapping[str, str], size: int) -> bool:
    """Whether every contact meets the one that is counted from the other end: half a turn of one or two rows."""
    back = {str(number): str(size + 1 - number) for number in range(1, min(size, _LARGEST) + 1)}
    return size > 1 and bool(pairs) and all(back.get(one) == two for one, two in pairs.items())


def name_of(pairs: Mapping[str, str], connector: Connector) -> str:
    """What a pairing of contacts is called: by number, crosswise between the rows, end to end, by half a turn."""
    if all(one == two for one, two in pairs.items()):
        return "by number"
    drawn = places(connector)
    if drawn is None:
        return "by a table"
    rows = 1 + max(row for row, _ in drawn.values())
    columns = 1 + max(along for _, along in drawn.values())

    def is_shape(*, rows_cross: bool, ends_cross: bool) -> bool:
        for one, two in pairs.items():
            row, along = drawn.get(one, (-1, -1))
            place = (rows - 1 - row if rows_cross else row, columns - 1 - along if ends_cross else along)
            if row < 0 or drawn.get(two) != place:
                return False
        return True

    if is_shape(rows_cross=True, ends_cross=False):
        return "crosswise between the rows (mirrored)"
    if is_shape(rows_cross=False, ends_cross=True):
        return "end to end (mirrored)"
    if is_shape(rows_cross=True, ends_cross=True):
        return "by half a turn (rotated)"
    return "by another numbering"


def slips(pairs: Mapping[str, str], a: Connector) -> dict[str, Pairs]:
    """The ways to plug wrongly: turned round, and shifted by one column either way; empty where places are unknown.

    ``pairs`` is how they meet when plugged rightly.
    """
    drawn = places(a)
    if drawn is None or len(drawn) < 2:
        return {}
    rows = 1 + max(row for row, _ in drawn.values())
    columns = 1 + max(along for _, along in drawn.values())
    back = {place: number for number, place in drawn.items()}

    def moved(shift: int, *, turned: bool) -> Pairs:
        found = {}
        for number, (row, along) in drawn.items():
            place = (rows - 1 - row, columns - 1 - along) if turned else (row, along + shift)
            right = back.get(place)
            if right is not None and right in pairs:
                found[number] = pairs[right]
        return found

    ways = {"turned round": moved(0, turned=True), "shifted by one": moved(1, turned=False)}
    return {**ways, "shifted by one the other way": moved(-1, turned=False)}
