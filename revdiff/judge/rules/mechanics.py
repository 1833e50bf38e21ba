"""Connectors: whether they go into each other, and whether what is reserved stays open."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from revdiff.design import Connector
from revdiff.judge.arrangement import Mating
from revdiff.judge.columns import state_of
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import contacts, mated
from revdiff.judge.placement import place, position
from revdiff.judge.rule import Item, Margin, Rule, holds, smaller
from revdiff.judge.side import show


def _both(ask: Ask, item: Item, field: str) -> tuple[str, str]:
    def text(connector: Connector) -> str:
        reading = getattr(connector, field)
        found: Fact[str] = Fact(reading.raw) if reading else unknown(f"the column {field.title()}")
        return ask(found)

    return text(item.what.one), text(item.what.two)


def _pitch(ask: Ask, item: Item) -> Margin | None:
    a, b = _both(ask, item, "pitch")
    one, two = item.what.one.pitch.quantity, item.what.two.pitch.quantity
    if one is None or two is None:
        return None
    off = abs(one.magnitude - two.magnitude)
    message = f"the pitch is {a} on {item.what.a.name} and {b} on {item.what.b.name}"
    return Margin(-off, message, f"{a} − {b}: {show(off, 'm')}", "0 mm")


def _gender(ask: Ask, item: Item) -> Margin | None:
    a, _ = _both(ask, item, "gender")
    one, two = item.what.one.gender.word, item.what.two.gender.word
    if not {one, two} <= {"male", "female"}:
        return None
    return holds(one != two, f"both connectors of {item.what.name} are {a}", f"{one} on {two}")


def _count(ask: Ask, item: Item) -> Margin | None:
    a, b = item.what.one, item.what.two
    if not a.size or not b.size or isinstance(item.what.meeting.joint.contacts, tuple):
        return None  # a short plug whose pairs are stated is meant to be short
    rows = a.rows.quantity, b.rows.quantity
    otherwise = rows[0] is not None and rows[1] is not None and rows[0] != rows[1]
    off = abs(a.size - b.size) + int(otherwise)
    if not off and not (a.count and b.count and all(rows)):
        ask(unknown("the columns Contacts and Rows of both connectors"))
    sizes = [f"{end.size} contacts{f' in {end.rows.raw} rows' if otherwise else ''}" for end in (a, b)]
    message = f"{a.name} of {item.what.a.name} has {sizes[0]}, {b.name} of {item.what.b.name} has {sizes[1]}"
    return Margin(Decimal(-off), message, "")


def together(facts: Facts) -> Iterator[Item]:
    """All joints between two boards, where there are at least two."""
    pairs: dict[tuple[str, str], list[Mating]] = {}
    for mating in facts.matings:
        pairs.setdefault((mating.a.name, mating.b.name), []).append(mating)
    for (one, two), found in pairs.items():
        if len(found) > 1:
            records = tuple(
                (member, connector)
                for mating in found
                for member, connector in ((mating.a, mating.one), (mating.b, mating.two))
            )
            yield Item(f"{one}–{two}", (one, two), (found[0].a, found[0].b), records, (found, facts.arrangement.policy))


def _placement(ask: Ask, item: Item) -> Margin | None:
    found, policy = item.what
    points = []
    for mating in found:
        one, two = position(mating.one), position(mating.two)
        if one is None or two is None:
            ask(unknown("the columns X and Y"))
            return None
        points.append((mating.name, one, two))
    off, names = max(
        (Decimal(str(round(abs(abs(x[1] - y[1]) - abs(x[2] - y[2])), 9))), f"{x[0]} and {y[0]}")
        for x, y in combinations(points, 2)
    )
    lie = place([(mating.one, mating.two) for mating in found])
    limit = policy.placement_tolerance
    if off <= limit and lie is not None and (lie.mirrored or lie.worst > float(limit)):
        off = Decimal(str(round(lie.worst, 9))) if not lie.mirrored else Decimal(1)
        names = "the distances agree only face to face: one board is laid out mirrored, or a joint is off its place"
        return Margin(limit - off, names, "best rigid placement", show(limit, "m"))
    message = f"{names} are {show(off, 'm')} too far apart or too close to mate both"
    return Margin(
        limit - off,
        message,
        f"distances differ by {show(off, 'm')}",
        f"{show(limit, 'm')} (stacking.placement_tolerance)",
    )


def _places(facts: Facts) -> Iterator[Item]:
    for mating in facts.matings:
        for a, b in mating.contacts():
            if a is not None and b is not None and "reserved" in (state_of(a), state_of(b)):
                subject = f"{mating.a.name}.{a.name}–{mating.b.name}.{b.name}"
                records = ((mating.a, a), (mating.b, b))
                yield Item(subject, (*mating.key, a.number, b.number), (mating.a, mating.b), records, (mating, a, b))


def _free(_ask: Ask, item: Item) -> Margin | None:
    """1 where the contact is free for users, 0 where it is used."""
    state = state_of(item.what)
    if state not in ("free", "used"):
        return None
    message = f"{item.subject} was free for users and carries {item.what.signal.raw} now"
    return Margin(Decimal(state == "free"), message, item.what.signal.raw or "free")


def _reserved(_ask: Ask, item: Item) -> Margin | None:
    mating, a, b = item.what
    used, using, keeping = (a, mating.a, mating.b) if state_of(b) == "reserved" else (b, mating.b, mating.a)
    message = f"{using.name} uses {used.name} for {used.signal.raw}; {keeping.name} has it reserved, to be left open"
    return holds(state_of(used) != "used", message, f"{used.name}: {used.signal.raw or 'open'}")


def _open(facts: Facts) -> Iterator[Item]:
    members = {item.board.name: item for item in facts.arrangement.members}
    for found in facts.arrangement.open_joints:
        having, lacking = members[found.having.board.name], members[found.lacking.board.name]
        joint = found.joint
        end = joint.connector_a if joint.board_a == having.board.name else joint.connector_b
        there = having.board.connectors.get(end)
        records = ((having, there),) if there is not None else ()
        subject = f"{having.name}.{end}–{lacking.name}.{found.connector}"
        yield Item(subject, (having.name, end, lacking.name), (having, lacking), records, found)


def _missing(_ask: Ask, item: Item) -> Margin | None:
    having = item.members[0].name
    message = f"{item.subject.partition('–')[0]} of {having} has no mate: {item.what.why}"
    return holds(False, message, "1 connector, 0 mates", "1 mate for each connector of a joint")


RULES = (
    Rule(
        name="stack-free-contact-taken",
        title="A contact that was free for users is used now",
        audience="stacking",
        step="minor",
        over=contacts,
        margin=_free,
        danger="caution",
        needs=("State",),
        why="Whoever built on the free contact now meets the board's own signal.",
        how="The column State, or the remarks, of the contact in the revision before.",
        remedy="Use a reserved contact, or tell all who may use the free one.",
        witness="A user's sensor on the free contact meets a new clock output.",
        worse=smaller,
    ),
    Rule(
        name="stack-joint-missing",
        about=("removed", "added", "role"),
        title="A connector of a joint has no mate",
        audience="stacking",
        step="major",
        over=_open,
        margin=_missing,
        danger="break",
        needs=("[[joints]]",),
        why="What runs over the joint in one revision has nowhere to go in the other.",
        how="The joints that either revision declares, and the connectors that are there.",
        remedy="Don't stack these revisions, or say that the joint may stay open.",
        witness="The new base has a second connector to the radio board; the released radio board has none.",
    ),
    Rule(
        name="joint-connector-gender",
        about=("gender",),
        title="Two connectors of one gender are to mate",
        audience="stacking",
        step="major",
        over=mated,
        margin=_gender,
        danger="break",
        needs=("Gender",),
        why="They don't go into each other.",
        how="The column Gender of both sides.",
        remedy="Change one of them.",
        witness="Two pin headers face each other.",
    ),
    Rule(
        name="joint-contact-count",
        about=("count",),
        title="Two connectors that mate have different numbers of contacts or rows",
        audience="stacking",
        step="major",
        over=mated,
        margin=_count,
        danger="break",
        needs=("Contacts", "Rows"),
        why="A contact without a mate carries nothing, and the plug can go in at more than one place.",
        how="Stated or listed contacts and rows of both sides; a joint that states its pairs is left alone.",
        remedy="Use connectors of one size, or state with contacts = { ... } which contacts pair.",
        witness="A plug of 20 on a header of 24 fits in five places.",
    ),
    Rule(
        name="joint-pitch",
        about=("pitch",),
        title="Two connectors that mate have different pitches",
        audience="stacking",
        step="major",
        over=mated,
        margin=_pitch,
        danger="break",
        needs=("Pitch",),
        why="They don't go into each other, or bend.",
        how="The column Pitch of both sides.",
        remedy="Use one pitch.",
        witness="2.00 mm on 2.54 mm.",
    ),
    Rule(
        name="stack-placement",
        title="Joints between two boards are not as far apart on both",
        audience="stacking",
        step="major",
        over=together,
        margin=_placement,
        danger="break",
        needs=("X", "Y", "Rotation"),
        why="Only one of the joints can be plugged, or the pins bend.",
        how="The distances of each two connectors on one board, against those on the other; one rigid placement.",
        remedy="Move the connector back.",
        witness="One connector moved by one grid of 2.54 mm.",
    ),
    Rule(
        name="stack-reserved-used",
        about=("moved", "signal", "added"),
        title="A board uses a contact that its partner has reserved",
        audience="stacking",
        step="major",
        over=_places,
        margin=_reserved,
        danger="break",
        needs=("State",),
        why="Reserved means that the partner may do with it what it likes, in this revision or the next.",
        how="The column State, or the remarks, of both contacts.",
        remedy="Leave it open, or agree with the partner on its use.",
        witness="A contact reserved for the boot strap carries a clock.",
    ),
)
