"""Rules of stacking: whether the boards can be put on each other, and which contacts then meet."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from revdiff.design import Connector
from revdiff.rules.contacts import PRACTICE
from revdiff.rules.meetings import Meeting
from revdiff.rules.rule import Rule
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Stack
from revdiff.rules.stack_placement import position
from revdiff.rules.stack_position import by_place, mirrored_views, name_of, numbering, stated_pairs
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, finding, stack_rule


def meetings_of(stack: Stack, a: Layer, b: Layer) -> list[Meeting]:
    """The joints between two layers."""
    return [item for item in stack.meetings if (item.a.label, item.b.label) == (a.label, b.label)]


def _missing(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for meeting in stack.meetings:
        yield Made(f"{meeting.name} is there on both sides")
    for item in stack.open_joints:
        if not stack.fresh and not item.having.new:
            continue  # a joint that went: joint-removed tells it
        end = f"{item.having.board.name}.{_other_end(item.joint, item.having)}"
        yield finding(
            rule,
            stack,
            (item.having, item.lacking),
            (item.having.board.connectors.get(_other_end(item.joint, item.having)), None),
            subject=f"{end}–{item.lacking.board.name}.{item.connector}",
            message=f"{end} mates with {item.connector} of {item.lacking.board.name}, and {item.why}",
            arithmetic="1 connector, 0 mates; margin −1",
            limit="a mate for each connector of a joint",
            origin_after=item.joint.origin,
        )


def _other_end(joint: object, layer: Layer) -> str:
    return str(getattr(joint, "connector_a" if getattr(joint, "board_a", "") == layer.board.name else "connector_b"))


def _placement(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    limit = stack.policy.placement_tolerance
    for a, b in stack.pairs:
        found = meetings_of(stack, a, b)
        if len(found) < 2:
            continue
        names = f"{a.board.name}–{b.board.name}"
        unknown = [
            f"{side.board.name}.{side.connector.name}"
            for meeting in found
            for side in (meeting.a, meeting.b)
            if position(side.connector) is None
        ]
        if unknown:
            yield Unmade(
                f"positions of the joints {names}", f"not stated for {', '.join(unknown)}", "the columns X and Y"
            )
            continue
        yield Made(f"positions of the joints {names}")
        worst = max(combinations(found, 2), key=lambda pair: abs(_apart(pair, "a") - _apart(pair, "b")))
        one, two = _apart(worst, "a"), _apart(worst, "b")
        placement = stack.placements[a.label, b.label]
        mirrored = placement is not None and not placement.mirrored and placement.worst > float(limit)
        if abs(one - two) <= limit and not mirrored and (placement is None or not placement.mirrored):
            continue
        off = amount(abs(one - two), "m")
        text = f"distance on {a.board.name} − distance on {b.board.name} = {amount(one, 'm')} − {amount(two, 'm')}"
        message = f"{worst[0].name} and {worst[1].name} are {off} too far apart or too close to mate both"
        if abs(one - two) <= limit:
            message = (
                "the distances agree only face to face: one board is laid out mirrored, or a joint is off its place"
            )
            off = amount(Decimal(str(round(placement.worst if placement is not None else 0.0, 6))), "m")
            text = "best rigid placement, largest misfit"
        yield finding(
            rule,
            stack,
            (a, b),
            (),
            subject=", ".join(meeting.name for meeting in worst),
            message=message,
            arithmetic=f"{text} = {off}; margin {amount(limit - max(abs(one - two), Decimal(0)), 'm')}",
            limit=f"{amount(limit, 'm')} (stacking.placement_tolerance)",
            **_connector_origins(stack, worst[1]),
        )


def _apart(pair: tuple[Meeting, Meeting], side: str) -> Decimal:
    """The distance of two connectors on one board, m, to a nanometre."""
    one, two = (position(getattr(meeting, side).connector) for meeting in pair)
    return Decimal(0) if one is None or two is None else Decimal(str(round(abs(one - two), 9)))


def _height(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    limit = stack.policy.height_tolerance
    for a, b in stack.pairs:
        found = meetings_of(stack, a, b)
        stated = [
            (meeting, f"{side.board.name}.{side.connector.name}", height.magnitude)
            for meeting in found
            for side in (meeting.a, meeting.b)
            if (height := side.connector.height.quantity) is not None
        ]
        known = {meeting.name for meeting, _, _ in stated}
        unknown = [meeting.name for meeting in found if meeting.name not in known]
        if unknown:
            yield Unmade(f"mated height of {', '.join(unknown)}", "not stated on either side", "the column Height")
        if len(stated) < 2:
            continue
        yield Made(f"mated height of {a.board.name} on {b.board.name}")
        low, high = min(stated, key=lambda item: item[2]), max(stated, key=lambda item: item[2])
        if high[2] - low[2] <= limit:
            continue
        names = dict.fromkeys(item[0].name for item in (low, high))
        yield finding(
            rule,
            stack,
            (a, b),
            (),
            subject=", ".join(names),
            message=f"the mated height is {amount(low[2], 'm')} at {low[1]} and {amount(high[2], 'm')} at {high[1]}: "
            "one joint doesn't seat, or the boards bend",
            arithmetic=f"highest − lowest = {amount(high[2], 'm')} − {amount(low[2], 'm')} = "
            f"{amount(high[2] - low[2], 'm')}; margin {amount(limit - high[2] + low[2], 'm')}",
            limit=f"{amount(limit, 'm')} (stacking.height_tolerance)",
            **_connector_origins(stack, high[0]),
        )


def _numbering(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for meeting in stack.meetings:
        a, b = meeting.a.connector, meeting.b.connector
        place = by_place(a, b, turned=meeting.turned)
        if place is None:
            lacking = [
                f"{side.board.name}.{side.connector.name}"
                for side in (meeting.a, meeting.b)
                if not numbering(side.connector)
            ]
            why = f"no numbering at {', '.join(lacking)}; taken as the manifest states it"
            if not lacking and mirrored_views(a, b) is None:
                lacking, why = [meeting.name], "the side of its board that a mating face is on isn't stated"
            if lacking and (a.rows.quantity is None or a.rows.quantity.magnitude > 1):
                what = f"which contacts of {meeting.name} meet by place"
                yield Unmade(what, why, "the columns Numbering, View and Board side")
            continue
        yield Made(f"which contacts of {meeting.name} meet by place")
        stated = stated_pairs(meeting.joint, a, meeting.size)
        wrong = [number for number in place if number in stated and stated[number] != place[number]]
        if not wrong:
            continue
        first = wrong[0]
        layers = [layer for layer in stack.layers if layer.label in (meeting.a.label, meeting.b.label)]
        schemes = f"{numbering(a)} on {meeting.a.board.name}, {numbering(b)} on {meeting.b.board.name}"
        yield finding(
            rule,
            stack,
            layers,
            (),
            subject=meeting.name,
            message=f"by place the contacts meet {name_of(place, a)} ({schemes}); the joint says {name_of(stated, a)}: "
            f"contact {first} meets {place[first]}, not {stated.get(first, 'nothing')}",
            arithmetic=f"{len(place)} − {len(wrong)} = {len(place) - len(wrong)} contacts meet as the joint says; "
            f"margin −{len(wrong)}",
            limit=f"{len(place)} contacts",
            **_connector_origins(stack, meeting),
        )


def _connector_origins(stack: Stack, meeting: Meeting) -> dict[str, object]:
    def of(connector: Connector, new: bool) -> tuple[str, object]:
        return "origin_after" if new or stack.fresh else "origin_before", connector.origin

    return dict([of(meeting.b.connector, meeting.b.new), of(meeting.a.connector, meeting.a.new)])


RULES = (
    stack_rule(
        _numbering,
        name="stack-contact-numbering",
        title="Contacts meet otherwise by place than the joint says",
        severity="caution",
        step="major",
        why="Contacts meet by where they are. Numbers drawn row by row on one board and across the rows on the other, "
        "or seen from the other side, meet other numbers than their own.",
        how="From Numbering (row-wise, zig-zag, counter-clockwise), View (top, mating face), Board side, Rows and the "
        "rotations each contact gets its place; both sides laid on each other are held against what the joint says.",
        remedy="State the pairing in the joint (contacts = a table), or correct Numbering and View in the tables.",
        witness="A socket numbered seen from below meets its header crosswise: 1 on 2, 2 on 1.",
        source=PRACTICE,
    ),
    stack_rule(
        _missing,
        name="stack-joint-missing",
        title="A connector of a joint finds no mate on the other board",
        severity="break",
        step="major",
        why="What passes through that joint doesn't reach the partner, or its connector stands in the way.",
        how="The joints that either board's own revision declares are looked up on the other board's revision; "
        "renumbered connectors are followed.",
        remedy="Stack a partner revision that has the joint, or say what is lost without it.",
        witness="The heater supply has a connector of its own on the new base; the released valve board has none.",
        source=PRACTICE,
    ),
    stack_rule(
        _height,
        name="stack-mated-height",
        title="The joints between two boards have different mated heights",
        severity="break",
        step="major",
        why="The lower joint can't seat while the higher one holds the boards apart; forced, boards bend and crack.",
        how="Highest minus lowest mated height stated on either side of all joints between two boards.",
        remedy="Use connectors of one mated height; it belongs to the pair, so look it up for both halves together.",
        witness="An 11 mm joint beside one of 8.5 mm: the lower one never makes contact.",
        source=PRACTICE,
    ),
    stack_rule(
        _placement,
        name="stack-placement",
        title="The joints between two boards don't line up together",
        severity="break",
        step="major",
        why="Each pair of connectors would mate alone, and together they can't: they are elsewhere to each other.",
        how="The distances between the joints on one board are held against those on the other, and one rigid "
        "placement (turn and shift, least squares) has to bring every connector onto its mate.",
        remedy="Move the connector back, or release both boards as a matched set and say so on both.",
        witness="One of two headers moved by 2.54 mm: the second joint can be plugged one contact off.",
        source=PRACTICE,
    ),
)
