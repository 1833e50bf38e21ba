"""How boards lie on each other: connectors that are turned, boards that lie otherwise than before."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from decimal import Decimal

from revdiff.judge.arrangement import Mating
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import mated
from revdiff.judge.placement import position
from revdiff.judge.position import by_place, from_the_end
from revdiff.judge.rule import Item, Margin, Rule, holds, other

_LEAST = Decimal("0.1")  # mm, or degrees, by which a board has to lie otherwise


def _physical(mating: Mating) -> int | None:
    """Degrees by which the connectors are turned beyond what the joint's own pairs of contacts account for."""
    turn = mating.meeting.turn
    if turn is None:
        return None
    return (turn + 180 * from_the_end(mating.meeting.pairs, mating.meeting.size)) % 360


def _settled(mating: Mating) -> bool:
    """Whether each contact has its place, turned or not, so that what meets is judged contact by contact."""
    return mating.meeting.turn in (0, 180) and by_place(mating.one, mating.two) is not None


def _turned(ask: Ask, item: Item) -> Margin | None:
    mating: Mating = item.what
    if _settled(mating) or not mating.agreed:
        return None  # what meets by place, or that nobody can tell it, is told of its contacts
    turn = _physical(mating)
    if turn is None:
        if mating.one.rotation or mating.two.rotation:
            ask(unknown("the columns Rotation, X and Y of both connectors"))
        return None
    message = (
        f"{mating.name} is turned by {_least(turn)}° against how the boards lie on each other: other contacts meet "
        "than before, or the connectors don't mate"
    )
    return Margin(Decimal(turn), message, f"{_least(turn)}°")


def _least(turn: int) -> int:
    return min(turn, 360 - turn)


def _pairs(facts: Facts) -> Iterator[Item]:
    """The joints between each two boards."""
    found: dict[tuple[str, str], list[Mating]] = {}
    for mating in facts.matings:
        found.setdefault((mating.a.name, mating.b.name), []).append(mating)
    for names, matings in found.items():
        ends = ((m, end) for mating in matings for m, end in ((mating.a, mating.one), (mating.b, mating.two)))
        yield Item("–".join(names), names, (matings[0].a, matings[0].b), tuple(ends), matings)


def _disagree(_ask: Ask, item: Item) -> Margin | None:
    """Which way connectors of one kind are drawn is a convention; that they are drawn two ways on one board is none."""
    turns = {mating.name: turn for mating in item.what if (turn := _physical(mating)) is not None}
    if len(turns) < 2:
        return None
    told = ", ".join(f"{name} by {_least(turn)}°" for name, turn in turns.items())
    message = f"as their rotations are stated the connectors of {item.subject} are turned against each other: {told}"
    return holds(len(set(turns.values())) == 1, message, f"{len(set(turns.values()))} ways", "1 way")


def _places(facts: Facts) -> Iterator[Item]:
    """Of each two boards each figure that says how one lies on the other: the place of its corner, and its angle."""
    for item in _pairs(facts):
        for what in ("x", "y", "angle"):
            yield Item(f"{item.subject}, {what}", (*item.key, what), item.members, item.records, (item.what, what))


def _lies(_ask: Ask, item: Item) -> Margin | None:
    matings, what = item.what
    mating: Mating = matings[0]
    lie, one, two = mating.meeting.lie, position(mating.one), position(mating.two)
    rotations = all(reading.quantity is not None for reading in (mating.one.rotation, mating.two.rotation))
    if lie is None or one is None or two is None or not (rotations or len(matings) > 1):
        return None
    back = two * cmath.exp(-1j * math.radians(lie.angle))
    corner = (one - (back.conjugate() if lie.mirrored else back)) * 1000
    value = {"x": corner.real, "y": corner.imag, "angle": lie.angle % 360}[what]
    told = round(Decimal(str(value)), 1) + 0
    message = f"{mating.b.name} lies otherwise on {mating.a.name} than before"
    return Margin(told, message, f"turned by {told}°" if what == "angle" else f"{what} of its corner {told} mm")


def _otherwise(before: Margin, now: Margin) -> bool:
    return abs(now.value - before.value) > _LEAST


RULES = (
    Rule(
        name="joint-turned",
        about=("position", "pairs"),
        title="A connector of a joint is turned against its mate",
        audience="stacking",
        step="major",
        over=mated,
        margin=_turned,
        danger="hazard",
        needs=("Rotation", "X", "Y", "[[joints]]"),
        why="By half a turn every contact meets another one, supplies signals and grounds; by a quarter nothing mates.",
        how="The rotations of both connectors, and how one board lies on the other by the positions of all joints; a "
        "joint that pairs its contacts from the other end now accounts for half a turn. Where Numbering gives each "
        "contact its place, what meets is judged contact by contact.",
        remedy="Turn the connector back, or number and pair its contacts for the way it stands now.",
        witness="The heater's header is placed the other way round: battery meets ground.",
        worse=other,
    ),
    Rule(
        name="joint-rotations-disagree",
        about=("position", "pairs"),
        title="Joints of two boards are turned against each other",
        audience="stacking",
        step="major",
        over=_pairs,
        margin=_disagree,
        danger="doubt",
        needs=("Rotation", "X", "Y", "[[joints]]"),
        why="If they stand as stated, one of them meets its mate the wrong way round, or not at all.",
        how="The rotations of both connectors of each joint, laid on each other by their positions. Parts may be drawn "
        "turned by a fixed angle; then all joints between two boards are.",
        remedy="Look at the boards. Correct the rotation of the one that is drawn otherwise, or state its contacts.",
        witness="Two sockets at 0°, the third at 180°.",
    ),
    Rule(
        name="stack-lies-otherwise",
        about=("position",),
        title="A board lies elsewhere on its partner",
        audience="stacking",
        step="minor",
        over=_places,
        margin=_lies,
        danger="caution",
        needs=("X", "Y", "Rotation"),
        why="Holes, enclosure, cables and tall parts of the partner were right for the old place.",
        how="The positions and rotations of both connectors give where a corner of one board is on the other; more "
        "than 0.1 mm or 0.1° counts.",
        remedy="Check holes, enclosure, cables and heights, and say it in the notes.",
        witness="The radio board now hangs over the edge, with its antenna over the heater.",
        worse=_otherwise,
    ),
)
