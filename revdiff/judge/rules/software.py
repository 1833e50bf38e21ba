"""Parts that firmware talks to: another part number, or another position, is an event although no net changed."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.design import Part
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Item, Margin, holds


def _talked_to(revisions: Revisions) -> Iterator[Item]:
    """Every part of both revisions that software talks to, by what either revision says of them."""
    before, after = revisions.old.sections.software, revisions.new.sections.software
    for name in dict.fromkeys((*before, *after)):
        was, now = before.get(name), after.get(name)
        stated = now or was
        assert stated is not None
        matched = {later: earlier for earlier, later in _renumbered(revisions, stated.board)}
        back = {earlier: later for later, earlier in matched.items()}
        ref = now.part if now is not None else back.get(stated.part, stated.part)
        former = was.part if was is not None and was.board == stated.board else matched.get(ref, ref)
        if not {stated.board} <= revisions.old.boards.keys() & revisions.new.boards.keys():
            continue
        old, new = revisions.both(stated.board)
        one, two = old.board.parts.get(former), new.board.parts.get(ref)
        if one is not None and two is not None:
            changes = revisions.touching((stated.board, item) for item in (former, ref))
            changes = changes or tuple(item.id for item in revisions.changes if (former, ref) in item.pairs)
            yield Item(name, (stated.board, name), (old, new), ((old, one), (new, two)), (one, two), changes=changes)


def _renumbered(revisions: Revisions, board: str) -> Iterator[tuple[str, str]]:
    for change in revisions.of_kind("part.renumbered"):
        if change.board == board:
            yield from change.pairs


def _substituted(_ask: Ask, item: Item) -> Margin | None:
    before, now = item.what
    same = (before.data.part_number, before.data.manufacturer) == (now.data.part_number, now.data.manufacturer)
    message = (
        f"{now.ref} is another part now: it was {_maker(before)}, it is {_maker(now)}; whether the firmware that talks "
        "to it knows that one has to be tried"
    )
    return holds(same, message, f"{_maker(before)} → {_maker(now)}")


def _maker(part: Part) -> str:
    return f"{part.data.manufacturer.raw} {part.data.part_number.raw}".strip() or "not named"


def _turned(ask: Ask, item: Item) -> Margin | None:
    """Rotation and side are columns of the parts list that the reader keeps as they are."""
    before, now = item.what
    angles = [_angle(part) for part in (before, now)]
    sides = [_side(part) for part in (before, now)]
    if angles == [None, None] and sides == ["", ""]:
        return None
    one, two = angles if angles != [None, None] else (Decimal(0), Decimal(0))
    if one is None or two is None:
        ask(unknown("the column Rotation in both revisions"))
        return None
    turned, flipped = (two - one) % 360, all(sides) and sides[0] != sides[1]
    message = (
        f"{now.ref} is turned by {turned:f}°{' and on the other side' if flipped else ''}: what it calls x, y, z is "
        f"{axes_after(turned, flipped=flipped)} of before"
    )
    figures = f"{one:f}° → {two:f}°" + (f", {sides[0]} → {sides[1]}" if flipped else "")
    return holds(not turned and not flipped, message, figures)


def _angle(part: Part) -> Decimal | None:
    """Degrees; None where nothing, or no angle, is stated."""
    found = part.data.rotation.quantity
    return found.magnitude if found is not None else None


def _side(part: Part) -> str:
    return part.data.side.word


def axes_after(angle: Decimal, *, flipped: bool) -> str:
    """What x, y and z of a part are in its old axes: turned counter-clockwise seen from the top, then flipped about y.

    Plain geometry: turned by 90° the part's x points where its y pointed before. Other angles are given as such.
    """
    quarter = {0: ("x", "y"), 90: ("y", "−x"), 180: ("−x", "−y"), 270: ("−y", "x")}.get(int(angle % 360))
    if quarter is None or angle % 90:
        return f"turned by {angle % 360:f}° in the plane of the board"
    x, y = quarter
    if flipped:
        return ", ".join(_negative(axis) if axis[-1] != "y" else axis for axis in (x, y, "z"))
    return f"{x}, {y}, z"


def _negative(axis: str) -> str:
    return axis[1:] if axis.startswith("−") else f"−{axis}"


RULES = (
    ChangeRule(
        name="firmware-part-substituted",
        title="A part that firmware talks to is another one",
        audience="firmware",
        step="minor",
        over=_talked_to,
        margin=_substituted,
        danger="caution",
        needs=("[software.NAME]", "Part number"),
        why="Another part number can mean other registers, identities, timings or modes, with no net changed.",
        how="Maker and part number of the parts that [software.NAME] names.",
        remedy="Run the driver's tests with the new part, and say from which firmware release on it is supported.",
        witness="The new flash memory has another identity, and the boot loader refuses it.",
    ),
    ChangeRule(
        name="firmware-sensor-turned",
        silent=True,
        title="A part that firmware talks to is turned or on the other side",
        audience="firmware",
        step="major",
        over=_talked_to,
        margin=_turned,
        danger="break",
        needs=("[software.NAME]", "Rotation and Side of the parts list"),
        why="A sensor's axes turn with it: every reading is right, and about the wrong axis or with the wrong sign.",
        how="The columns Rotation and Side of the parts that [software.NAME] names; angles run counter-clockwise.",
        remedy="Turn the axes in a firmware release for this board; parts whose readings have no direction don't mind.",
        witness="The tilt alarm goes off when the box stands upright.",
    ),
)
