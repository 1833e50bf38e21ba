"""Parts that firmware talks to: another part number, or another position, is an event although no net changed."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.compare.change import Change
from revdiff.design import Part
from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"


def _software_changes(situation: Situation) -> Iterator[tuple[str, str, Part, Part, tuple[str, ...]]]:
    """(name, board, part before, part now, ids of its changes) of every part that software talks to in both."""
    old, new = situation.old.sections, situation.new.sections
    for name, entry in new.software.items():
        was = old.software.get(name)
        if was is None and entry.board in situation.comparison.parts:
            matched = {later: earlier for earlier, later in _matched(situation, entry.board)}
            before_ref = matched.get(entry.part, entry.part)
        elif was is not None and was.board == entry.board:
            before_ref = was.part
        else:
            continue
        boards = situation.old.boards.get(entry.board), situation.new.boards.get(entry.board)
        if boards[0] is None or boards[1] is None:
            continue
        before, now = boards[0].parts.get(before_ref), boards[1].parts.get(entry.part)
        if before is not None and now is not None:
            yield name, entry.board, before, now, situation.changes_at(entry.board, before_ref, entry.part)


def _matched(situation: Situation, board: str) -> Iterator[tuple[str, str]]:
    for change in situation.changes:
        if change.board == board and change.kind == "part.renumbered":
            yield from change.pairs


def _substituted(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for name, board, before, now, changes in _software_changes(situation):
        was, is_ = before.data.part_number, now.data.part_number
        if was == is_ and before.data.manufacturer == now.data.manufacturer:
            continue
        yield rule.found(
            parties=situation.both(board),
            subject=name,
            message=f"{now.ref} is another part now, and firmware talks to it: it was {_maker(before)}, it is "
            f"{_maker(now)}",
            arithmetic=f"{_maker(before)} → {_maker(now)}",
            limit="the part that the firmware was tested with",
            changes=changes,
            origin_before=before.origin.of("part_number"),
            origin_after=now.origin.of("part_number"),
        )


def _maker(part: Part) -> str:
    return f"{part.data.manufacturer.raw} {part.data.part_number.raw}".strip() or "not named"


def _turned(rule: Rule, situation: Situation) -> Iterator[Finding]:
    """Rotation and side are columns of the parts list that the reader keeps as they are."""
    for name, board, before, now, changes in _software_changes(situation):
        angle = _angle(now) - _angle(before)
        flipped = _side(before) != _side(now) and bool(_side(before)) and bool(_side(now))
        if angle % 360 == 0 and not flipped:
            continue
        axes = axes_after(angle, flipped=flipped)
        yield rule.found(
            parties=situation.both(board),
            subject=name,
            message=f"{now.ref} is turned by {angle % 360:f}°{' and on the other side' if flipped else ''}: what it "
            f"calls x, y, z is {axes} of before",
            arithmetic=f"{_angle(before):f}° → {_angle(now):f}°"
            + (f", {_side(before)} → {_side(now)}" if flipped else ""),
            limit="the axes that the firmware has",
            changes=changes or tuple(_field_changes(situation.changes, board, now.ref)),
            origin_before=before.origin.of("part_number"),
            origin_after=now.origin.of("part_number"),
        )


def _field_changes(changes: tuple[Change, ...], board: str, ref: str) -> Iterator[str]:
    return (change.id for change in changes if change.board == board and change.subject == ref)


def _angle(part: Part) -> Decimal:
    found = part.data.rotation.quantity
    return found.magnitude if found is not None else Decimal(0)


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
    Rule(
        name="firmware-part-substituted",
        title="A part that firmware talks to is another one",
        severity="caution",
        audience="firmware",
        step="minor",
        why="Another part number can mean other registers, identities, timings or modes, with no net changed.",
        how="Maker and part number of the parts that [software.NAME] names.",
        remedy="Run the driver's tests with the new part, and say from which firmware release on it is supported.",
        witness="The new flash memory has another identity, and the boot loader refuses it.",
        source=PRACTICE,
        check=_substituted,
    ),
    Rule(
        name="firmware-sensor-turned",
        title="A part that firmware talks to is turned or on the other side",
        severity="break",
        audience="firmware",
        step="major",
        why="A sensor's axes turn with it: every reading is right, and about the wrong axis or with the wrong sign.",
        how="The columns Rotation and Side of the parts that [software.NAME] names; angles run counter-clockwise.",
        remedy="Turn the axes in a firmware release for this board; parts whose readings have no direction don't mind.",
        witness="The tilt alarm goes off when the box stands upright.",
        source="plain geometry",
        check=_turned,
    ),
)
