"""Currents through contacts, there and back: what all ways in parallel carry against what each is rated for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design import Contact
from revdiff.electrical.currents import derated, per_contact
from revdiff.judge.arrangement import Arrangement, Mating, Member
from revdiff.judge.contacts import is_ground, is_supply
from revdiff.judge.fact import Ask, Fact, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.items import mated
from revdiff.judge.nodes import Meet
from revdiff.judge.rule import OWN_WORD, Item, Margin, Rule, holds, smaller
from revdiff.judge.side import show

SHEETS = "the column Rating of the design, from the connector's data sheet"


class Flow(Struct, frozen=True):
    """One rail, or ground, from board to board, over all connectors between them."""

    name: str
    meets: tuple[Meet, ...]
    amps: Fact[Decimal]
    each: Fact[Decimal]
    trusted: Fact[Decimal]


def between(facts: Facts) -> Iterator[tuple[Member, Member, list[Meet]]]:
    """Every two boards that mate, and what meets between them."""
    pairs: dict[tuple[str, str], tuple[Member, Member, list[Meet]]] = {}
    for meet in facts.meets:
        a, b = meet.mating.a, meet.mating.b
        pairs.setdefault((a.name, b.name), (a, b, []))[2].append(meet)
    yield from pairs.values()


def _rails(meets: Iterable[Meet]) -> dict[str, list[Meet]]:
    found: dict[str, list[Meet]] = {}
    for meet in meets:
        if is_supply(meet.a) and is_supply(meet.b) and meet.kin == "yes":
            found.setdefault(meet.mating.a.was(meet.a.signal.word), []).append(meet)
    return found


def _rating(arrangement: Arrangement, meets: Iterable[Meet]) -> Fact[Decimal]:
    stated = [item.rating.quantity for meet in meets for item in (meet.mating.one, meet.mating.two)]
    known = [item.magnitude for item in stated if item is not None and item.unit == "A"]
    if not known:
        return unknown("the column Rating")
    return Fact(derated(min(known), arrangement.policy.contact_derating), source=SHEETS)


def _amps(facts: Facts, a: Member, b: Member, meets: list[Meet]) -> tuple[Fact[Decimal], Fact[Decimal]]:
    """What flows over a rail, as stated and as trusted: the loads of everything behind the taking side, else what its
    contacts state.
    """
    takes_b = any(item.a.direction.word == "supply out" or item.b.direction.word == "supply in" for item in meets)
    takes_a = any(item.b.direction.word == "supply out" or item.a.direction.word == "supply in" for item in meets)
    options = []
    for taker, near, contacts, wanted in (
        (b, a, [item.b for item in meets], takes_b or not takes_a),
        (a, b, [item.a for item in meets], takes_a or not takes_b),
    ):
        if wanted:
            loads = _loads(facts.arrangement, taker, near, contacts[0].signal.word)
            listed = summed(contacts)
            stated = loads if loads is not None else (listed, listed) if listed is not None else None
            if stated is not None:
                options.append(stated)
    if not options:
        nothing: Fact[Decimal] = unknown("the column Current, or boards.NAME.loads")
        return nothing, nothing
    return Fact(max(own for own, _ in options)), Fact(max(known for _, known in options))


def _loads(arrangement: Arrangement, taker: Member, near: Member, word: str) -> tuple[Decimal, Decimal] | None:
    """The loads of all boards behind the taking side, where each states one."""
    behind = {taker.name}
    for _ in arrangement.members:
        for item in arrangement.matings:
            names = {item.a.name, item.b.name}
            if names & behind and near.name not in names:
                behind |= names
    loads = [arrangement.current(item, "loads", [word]) for item in arrangement.members if item.name in behind]
    stated = [item.stated for item in loads if item.stated is not None]
    trusted = [item.trusted for item in loads if item.trusted is not None]
    if not stated or len(stated) < len(loads):
        return None
    return sum(stated, Decimal(0)), sum(trusted, Decimal(0))


def summed(contacts: Iterable[Contact]) -> Decimal | None:
    total = Decimal(0)
    for contact in contacts:
        stated = contact.current.quantity
        if stated is None or stated.unit != "A":
            return None
        total += stated.magnitude
    return total


def _item(a: Member, b: Member, name: str, meets: list[Meet], flow: Flow) -> Item:
    first = meets[0]
    subject = f"{a.name}.{first.a.name}–{b.name}.{first.b.name}"
    records = tuple((member, record) for meet in meets for member, record in ((a, meet.a), (b, meet.b)))
    return Item(subject, (a.name, b.name, name), (a, b), records, flow)


def _there(facts: Facts) -> Iterator[Item]:
    for a, b, meets in between(facts):
        for word, found in _rails(meets).items():
            each = _rating(facts.arrangement, found)
            amps, trusted = _amps(facts, a, b, found)
            flow = Flow(found[0].a.signal.raw, tuple(found), amps, each, trusted)
            yield _item(a, b, word, found, flow)


def _back(facts: Facts) -> Iterator[Item]:
    for a, b, meets in between(facts):
        rails = [_amps(facts, a, b, found) for found in _rails(meets).values()]
        grounds = [meet for meet in meets if is_ground(meet.a) and is_ground(meet.b) and meet.kin == "yes"]
        if not rails or not meets:
            continue
        amps, trusted = _total(own for own, _ in rails), _total(known for _, known in rails)
        flow = Flow("ground", tuple(grounds), amps, _rating(facts.arrangement, grounds or meets), trusted)
        yield _item(a, b, "ground", grounds or meets, flow)


def _total(rails: Iterable[Fact[Decimal]]) -> Fact[Decimal]:
    values = [item.value for item in rails]
    known = [item for item in values if item is not None]
    if len(known) < len(values):
        return unknown("the column Current, or boards.NAME.loads")
    return Fact(sum(known, Decimal(0)))


def _carried(ask: Ask, item: Item) -> Margin | None:
    flow: Flow = item.what
    limit, total = ask(flow.each), ask(flow.amps)
    own, trusted = _held(flow, limit, total), _held(flow, limit, ask(flow.trusted))
    if own.value >= 0 > trusted.value:
        return replace(trusted, message=trusted.message + OWN_WORD, danger="doubt")
    return own


def _held(flow: Flow, limit: Decimal, total: Decimal) -> Margin:
    ways = len(flow.meets)
    if not ways:
        message = f"{show(total, 'A')} have no way back: no ground contacts meet"
        return Margin(-total, message, f"I / n = {show(total, 'A')} / 0", f"{show(limit, 'A')} per contact")
    each = per_contact(total, ways)
    message = (
        f"{flow.name} carries {show(total, 'A')} over {ways} contact{'s' if ways > 1 else ''}: {show(each, 'A')} each"
    )
    figures = f"I / n = {show(total, 'A')} / {ways} = {show(each, 'A')}; margin {show(limit - each, 'A')}"
    return Margin(limit - each, message, figures, f"{show(limit, 'A')} per contact")


def _grounds(_ask: Ask, item: Item) -> Margin | None:
    count = len(item.what.meets)
    return Margin(Decimal(count), "fewer ground contacts meet than before", f"grounds that meet: {count}")


def _own_ground(_ask: Ask, item: Item) -> Margin | None:
    """A joint that has grounds carries its own current back; another joint's contacts were not counted for that."""
    mating: Mating = item.what
    sides = ((mating.a, mating.one), (mating.b, mating.two))
    having = [(side, end) for side, end in sides if any(map(_grounded, end.contacts.values()))]
    met = [(a, b) for a, b in mating.contacts() if a is not None and b is not None]
    if not having or not met:
        return None
    grounds = sum(_grounded(a) and _grounded(b) for a, b in met)
    supplies = sum(bool(a.signal and b.signal) and is_supply(a) and is_supply(b) for a, b in met)
    who = " and ".join(f"{side.name}.{end.name}" for side, end in having)
    message = f"no ground contact of {mating.name} meets one, though {who} has ground there"
    if supplies:
        message += ": the current of its supplies flows back through other joints, or not at all"
    figures = f"grounds that meet: {grounds}; supplies that meet: {supplies}"
    return holds(grounds > 0, message, figures, "1 ground contact", "hazard" if supplies else "break")


def _grounded(contact: Contact) -> bool:
    return bool(contact.signal) and is_ground(contact)


def _offered(ask: Ask, item: Item) -> Margin | None:
    """What the contacts of the giving side are said to give, less what those of the other are said to take."""
    flow: Flow = item.what
    sides = [[meet.a for meet in flow.meets], [meet.b for meet in flow.meets]]
    out = next((found for found in sides if all(one.direction.word == "supply out" for one in found)), None)
    into = next((found for found in sides if all(one.direction.word == "supply in" for one in found)), None)
    given, taken = summed(out or ()), summed(into or ())
    if out is None or into is None or given is None or taken is None:
        ask(unknown("the columns Direction and Current, or boards.NAME.feeds and loads"))
        return None
    left = given - taken
    message = f"{flow.name} gives {show(given, 'A')}; {show(taken, 'A')} are taken"
    figures = f"feed − Σ loads = {show(given, 'A')} − {show(taken, 'A')} = {show(left, 'A')}"
    return Margin(left, message, figures, "0 A left")


RULES = (
    Rule(
        name="stack-contact-budget",
        about=("current",),
        title="The contacts of a joint take more than those of the other side give",
        audience="stacking",
        step="major",
        over=_there,
        margin=_offered,
        danger="break",
        needs=("Direction", "Current"),
        why="The supply drops, boards reset one another, or the regulator overheats.",
        how="The currents that the contacts of a joint give (supply out) less those that they take (supply in).",
        remedy="Reduce the loads, raise the supply, or say which boards must not be stacked together.",
        witness="6 A are given, and the new valve board takes 8 A.",
        source="the currents that the design states",
    ),
    Rule(
        name="stack-return-lost",
        about=("removed", "signal"),
        title="Fewer ground contacts meet than before",
        audience="stacking",
        step="minor",
        over=_back,
        margin=_grounds,
        danger="caution",
        needs=("Signal", "Direction"),
        why="Fewer grounds mean more drop and more noise on every signal, even while the rating holds.",
        how="The ground contacts that meet between two boards, now against the arrangement that worked.",
        remedy="Keep the grounds, or check drop and signal quality with the old partner.",
        witness="Two of ten grounds became signals; the fast bus rings.",
        worse=smaller,
    ),
    Rule(
        name="joint-ground-lost",
        about=("removed", "signal", "moved"),
        title="A joint has lost its way back",
        audience="stacking",
        step="major",
        over=mated,
        margin=_own_ground,
        danger="break",
        needs=("Signal", "Direction", "[[joints]]"),
        why="What a supply gives flows back through the grounds of other joints, which were chosen for signals, "
        "through cables and shields, or not at all.",
        how="Where a connector of a joint has ground contacts, one of them has to meet ground on its mate. It can hurt "
        "where supplies meet on that joint.",
        remedy="Keep ground on the contacts of both connectors.",
        witness="The heater's header keeps its battery contacts and loses both grounds: 8 A return through the bus.",
    ),
    Rule(
        name="stack-contact-current",
        about=("current", "removed", "signal"),
        title="More current per contact than it is rated for",
        audience="stacking",
        step="major",
        over=_there,
        margin=_carried,
        danger="hazard",
        needs=("Current", "Rating", "boards.NAME.loads"),
        why="An overloaded contact heats up, its resistance grows, and it ends as a fire risk.",
        how="The loads of all boards behind (or what the taking side states), equally shared by all contacts where the "
        "supply meets itself, over all connectors between two boards, against the smallest rating, derated by policy.",
        remedy="Use more contacts or a connector of a higher rating; derate where all contacts are loaded.",
        witness="3.5 A over three contacts of 1 A: 1.17 A each.",
        source=SHEETS,
    ),
    Rule(
        name="stack-return-current",
        title="More return current per ground contact than it is rated for",
        audience="stacking",
        step="major",
        over=_back,
        margin=_carried,
        danger="hazard",
        needs=("Current", "Rating", "boards.NAME.loads"),
        why="What goes up comes back: the ground contacts carry the sum of all supplies.",
        how="The sum of the currents of all supplies between two boards over the ground contacts that meet.",
        remedy="Use more ground contacts.",
        witness="3 A back over two contacts of 1 A: 1.5 A each.",
        source=SHEETS,
    ),
)
