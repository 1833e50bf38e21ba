"""What contacts are said to carry: against the rating of their connector, and there and back through one joint."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import partial

from revdiff.electrical.currents import derated
from revdiff.judge.arrangement import Member
from revdiff.judge.contacts import is_ground, is_supply
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.nodes import Meet
from revdiff.judge.rule import Item, Margin, Rule
from revdiff.judge.rules.currents import SHEETS, between, summed
from revdiff.judge.side import show


def _each(facts: Facts) -> Iterator[Item]:
    """Every contact with a current, on a connector with a rating."""
    derating = facts.arrangement.policy.contact_derating
    for member in facts.arrangement.members:
        yield from facts.arrangement.once("rated", partial(tuple, _with_rating(member, derating)), member)


def _with_rating(member: Member, derating: Decimal) -> Iterator[Item]:
    for connector in member.board.connectors.values():
        rating = connector.rating.quantity
        for contact in connector.contacts.values() if rating is not None and rating.unit == "A" else ():
            amps = contact.current.quantity
            if rating is not None and amps is not None and amps.unit == "A":
                what = (contact, amps.magnitude, derated(rating.magnitude, derating))
                key = (member.name, member.end(connector.name), contact.number, "rating")
                records = ((member, contact), (member, connector))
                yield Item(f"{member.name}.{contact.name}", key, (member,), records, what)


def _rated(_ask: Ask, item: Item) -> Margin | None:
    contact, amps, limit = item.what
    gives = contact.direction.word == "supply out"
    message = f"{contact.name} of {item.members[0].name} is said to {'give' if gives else 'carry'} {show(amps, 'A')}"
    figures = f"{show(limit, 'A')} − {show(amps, 'A')} = {show(limit - amps, 'A')}"
    told = f"{message}; its connector is rated for {show(limit, 'A')}"
    return Margin(limit - amps, told, figures, show(limit, "A"), "caution" if gives else None)


def _home(facts: Facts) -> Iterator[Item]:
    """Joint by joint the contacts of its supplies and of its grounds, with those of all joints of the two boards."""
    for a, b, met in between(facts):
        everything = _parted(met)
        for mating in {meet.mating.name: meet.mating for meet in met}.values():
            rails, grounds = _parted(meet for meet in met if meet.mating is mating)
            if rails and grounds:
                records = tuple((side, one) for meet in grounds for side, one in ((a, meet.a), (b, meet.b)))
                subject = f"{a.name}.{grounds[0].a.name}–{b.name}.{grounds[0].b.name}"
                yield Item(subject, mating.key, (a, b), records, (mating.name, (rails, grounds), everything))


def _parted(meets: Iterable[Meet]) -> tuple[list[Meet], list[Meet]]:
    """The supplies and the grounds of these."""
    same = [meet for meet in meets if meet.kin == "yes"]
    rails = [meet for meet in same if is_supply(meet.a) and is_supply(meet.b)]
    return rails, [meet for meet in same if is_ground(meet.a) and is_ground(meet.b)]


def _returned(ask: Ask, item: Item) -> Margin | None:
    """What the grounds of a joint are said to carry, less what its supplies are; a break if all joints lack it, too."""
    name, here, everywhere = item.what
    own = _left(here)
    if own is None:
        ask(unknown("the column Current of all supplies and grounds"))
        return None
    back, given = own
    left = back - given
    whole = _left(everywhere)
    short = whole is None or whole[0] < whole[1]
    message = f"{show(given, 'A')} come back through {name}; its grounds are said to carry {show(back, 'A')}"
    message += "" if short else ": the rest goes through other joints"
    figures = f"Σ I of grounds − Σ I of supplies = {show(back, 'A')} − {show(given, 'A')} = {show(left, 'A')}"
    return Margin(left, message, figures, "0 A left", "break" if short else "caution")


def _left(meets: tuple[list[Meet], list[Meet]]) -> tuple[Decimal, Decimal] | None:
    """(A that the grounds carry, A that the supplies take), of both sides the lesser; None where neither states it."""
    rails, grounds = meets
    back, given = (
        min(
            (amps for amps in map(summed, ([x.a for x in those], [x.b for x in those])) if amps is not None),
            default=None,
        )
        for those in (grounds, rails)
    )
    return (back, given) if back is not None and given is not None else None


RULES = (
    Rule(
        name="stack-contact-rating",
        about=("current", "rating"),
        title="A contact is said to carry more than its connector is rated for",
        audience="stacking",
        step="major",
        over=_each,
        margin=_rated,
        danger="hazard",
        needs=("Current", "Rating"),
        why="An overloaded contact heats up, its resistance grows, and it ends as a fire risk.",
        how="The column Current of each contact, also of connectors that leave the stack, against the Rating of its "
        "connector, derated by policy. With care where it is what a supply may give: loads say what it has to.",
        remedy="Use more contacts or a connector of a higher rating; derate where all contacts are loaded.",
        witness="The battery's terminal block is rated for 10 A, and its contact is said to take 15 A.",
        source=SHEETS,
    ),
    Rule(
        name="stack-return-budget",
        about=("current", "removed", "signal"),
        title="The ground contacts of a joint are said to carry less than its supplies",
        audience="stacking",
        step="major",
        over=_home,
        margin=_returned,
        danger="break",
        needs=("Current",),
        why="What goes up comes back: a ground that is made for less gets hot, or lifts the ground of a whole board.",
        how="The currents that the ground contacts of a joint state, less those that its supply contacts take; of both "
        "sides the lesser. With care where the grounds of all joints of the two boards are enough together.",
        remedy="Make more ground contacts, or correct the column Current.",
        witness="8 A go to the heater over two contacts, and both of its grounds are said to carry 0.4 A.",
        source="the currents that the design states",
    ),
)
