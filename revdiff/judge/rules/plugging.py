"""How the contacts of two connectors meet: as their drawings show, and plugged turned round or one contact off."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.design import Contact
from revdiff.judge.arrangement import Mating
from revdiff.judge.columns import keyed, level_of
from revdiff.judge.contacts import class_of
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import mated
from revdiff.judge.position import by_place, mirrored_views, name_of, numbering, slips, stated_pairs
from revdiff.judge.rule import Item, Margin, Rule, smaller

_HIGHER = Decimal("0.3")  # V that an input stands above its own supply: a diode drop (common practice, no source)


def _numbering(ask: Ask, item: Item) -> Margin | None:
    mating: Mating = item.what
    ends = ((mating.a, mating.one), (mating.b, mating.two))
    for member, connector in ends:
        if not any(contact.signal for contact in connector.contacts.values()):
            ask(unknown(f"boards.{member.board.name}.contacts with the signals of {connector.name}", essential=True))
    one, two = mating.one, mating.two
    place = by_place(one, two, turned=mating.meeting.turned)
    if place is None and not mating.agreed:
        needs = "the columns Numbering and View of both connectors, or one [[joints]] table for both"
        ask(unknown(needs, essential=True))
    if place is None:
        lacking = [f"{member.name}.{end.name}" for member, end in ends if not numbering(end)]
        if not lacking and mirrored_views(one, two) is None:
            lacking = [mating.name]
        if lacking and (one.rows.quantity is None or one.rows.quantity.magnitude > 1):
            ask(unknown(f"the columns Numbering, View and Board side of {', '.join(lacking)}"))
        return None
    stated = stated_pairs(mating.meeting.joint, one, mating.meeting.size)
    wrong = [number for number in place if number in stated and stated[number] != place[number]]
    first = next(iter(wrong), "")
    schemes = f"{numbering(one)} on {mating.a.name}, {numbering(two)} on {mating.b.name}"
    message = (
        f"by place the contacts meet {name_of(place, one)} ({schemes}); the joint says {name_of(stated, one)}: "
        f"contact {first} meets {place.get(first, '')}, not {stated.get(first, 'nothing')}"
    )
    figures = f"{len(place)} − {len(wrong)} = {len(place) - len(wrong)} contacts meet as the joint says"
    return Margin(Decimal(-len(wrong)), message, figures, f"{len(place)} contacts")


def _ways(facts: Facts) -> Iterator[Item]:
    """Each way to plug two connectors wrongly, with the contacts that it destroys; none where the data doesn't say."""
    for mating in facts.matings:
        if keyed(mating.one) or keyed(mating.two):
            continue
        for way, pairs in slips(mating.meeting.pairs, mating.one).items():
            ones, twos = mating.one.contacts, mating.two.contacts
            met = [(ones[x], twos[y]) for x, y in pairs.items() if x in ones and y in twos]
            bad = [(a, b) for a, b in met if a.signal and b.signal and _harms(a, b)]
            contacts = tuple(entry for a, b in bad for entry in ((mating.a, a), (mating.b, b)))
            connectors = ((mating.a, mating.one), (mating.b, mating.two))
            subject, key = f"{mating.name} {way}", (*mating.key, way)
            yield Item(subject, key, (mating.a, mating.b), (*contacts, *connectors), (mating, way, bad))


def _harms(a: Contact, b: Contact) -> bool:
    classes = {class_of(a), class_of(b)}
    if "supply" not in classes:
        return False
    if classes == {"supply"}:
        return a.signal != b.signal and level_of(a) != level_of(b)
    if "ground" in classes:
        return True
    supply, other = (a, b) if class_of(a) == "supply" else (b, a)
    high, stands = level_of(supply), level_of(other)
    return high is None or stands is None or high > stands + _HIGHER


def _misplug(_ask: Ask, item: Item) -> Margin | None:
    mating, way, bad = item.what
    count = f"contacts that are destroyed: {len(bad)}"
    if not bad:
        return Margin(Decimal(0), "", count)
    a, b = bad[0]
    message = (
        f"plugged {way}, {a.signal.raw} on {a.name} of {mating.a.name} meets {b.signal.raw} on {b.name} of "
        f"{mating.b.name}: that can destroy both boards, and was harmless before"
    )
    return Margin(Decimal(-len(bad)), message, count)


RULES = (
    Rule(
        name="stack-contact-numbering",
        title="Contacts meet otherwise by place than the joint says",
        audience="stacking",
        step="major",
        over=mated,
        margin=_numbering,
        danger="caution",
        needs=("Numbering", "View", "Board side", "Rows", "Rotation"),
        why="Contacts meet by where they are. Numbers drawn row by row on one board and across the rows on the other, "
        "or seen from the other side, meet other numbers than their own.",
        how="From Numbering (row-wise, zig-zag, counter-clockwise), View (top, mating face), Board side, Rows and the "
        "rotations each contact gets its place; both sides laid on each other are held against what the joint says.",
        remedy="State the pairing in the joint (contacts = a table), or correct Numbering and View in the tables.",
        witness="A socket numbered seen from below meets its header crosswise: 1 on 2, 2 on 1.",
    ),
    Rule(
        name="stack-misplug",
        title="A plug put in wrongly is destructive now, and wasn't before",
        audience="stacking",
        step="minor",
        over=_ways,
        margin=_misplug,
        danger="caution",
        needs=("Keyed", "Rows", "Numbering", "Level"),
        why="Headers without a key get plugged turned round or one contact off. People know from the old revision that "
        "nothing happens then. Plugged rightly the boards fit: that is why it asks for care and breaks no arrangement.",
        how="Each contact's place, half a turn or one column on, and what it meets there: a supply on ground, on a "
        "signal of a lower level or on another supply. Told where the old revision had none for that way to plug.",
        remedy="Move the supply to where a slip is harmless, or key the connector (column Keyed).",
        witness="5 V moved to the end contact: shifted by one it meets ground.",
        worse=lambda before, now: not before.value and smaller(before, now),
    ),
)
