"""Contacts that leave the stack: what they carry is a promise to cables and boards that nobody declared."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from revdiff.design import Contact, Design
from revdiff.judge.arrangement import Member
from revdiff.judge.contacts import is_ground, is_supply
from revdiff.judge.fact import Ask
from revdiff.judge.facts import Facts
from revdiff.judge.items import contacts
from revdiff.judge.rule import Item, Margin, Rule
from revdiff.quantities.span import read_span

_USUAL = Decimal("0.05")  # what a stated nominal voltage may be off; common practice, no source


def _leaving(facts: Facts) -> Iterator[Item]:
    """The contacts that no board of the arrangement meets: cables and boards that nobody declared do."""
    mated = {(member.name, end.name) for m in facts.matings for member, end in ((m.a, m.one), (m.b, m.two))}
    debug = {
        (member.name, end.name)
        for member in facts.arrangement.members
        for end in member.board.connectors.values()
        if end.role.word == "debug"
    }
    for item in contacts(facts):
        if (item.members[0].name, item.what.connector) not in mated | debug:
            known = _as_stated(facts.arrangement.trusted, item.members[0], item.what)
            yield item if known is item.what else Item(item.subject, item.key, item.members, item.records, known)


def _as_stated(trusted: Design | None, member: Member, contact: Contact) -> Contact:
    """The contact with the direction and level that the base states of it, where the change states none any more.

    That these are gone is told by itself; a contact that keeps its signal is what it was.
    """
    base = trusted.boards.get(member.board.name) if trusted is not None else None
    connector = base.connectors.get(member.end(contact.connector)) if base is not None else None
    before = connector.contacts.get(contact.number) if connector is not None else None
    if before is None or before.signal.word != member.was(contact.signal.word):
        return contact
    lost = {
        name: getattr(before, name)
        for name in ("direction", "level")
        if getattr(before, name) and not getattr(contact, name)
    }
    return replace(contact, **lost) if lost else contact


def _kind(_ask: Ask, item: Item) -> Margin | None:
    """0 for a signal or nothing, −1 for ground, the voltage for a supply (10 kV where none is stated)."""
    contact: Contact = item.what
    if contact.signal and is_ground(contact):
        value, said = Decimal(-1), "ground"
    elif contact.signal and is_supply(contact):
        span = read_span(contact.level.raw, "V")
        value, said = (span.high, f"a supply of {contact.level.raw}") if span else (Decimal(10_000), "a supply")
    else:
        value, said = Decimal(0), "a signal" if contact.signal else "open"
    what = f"{contact.name} of {item.members[0].name} is {said} now ({contact.signal.raw or 'no signal'})"
    return Margin(value, f"{what}: every cable and partner that fits is concerned", said)


def _another_kind(before: Margin, now: Margin) -> bool:
    return abs(now.value - before.value) > _USUAL * max(abs(now.value), abs(before.value))


RULES = (
    Rule(
        name="connector-supply-changed",
        about=("level", "signal", "added"),
        title="A contact that leaves the board became a supply, a ground, or another voltage",
        audience="stacking",
        step="major",
        over=_leaving,
        margin=_kind,
        danger="hazard",
        needs=("Signal", "Direction", "Level"),
        why="Whoever made a cable or a board for this connector has no way to know; what was a signal there gets the "
        "supply, or a supply is shorted.",
        how="The class and voltage of each contact that no declared board meets, now against the revision before; 5 % "
        "of a voltage are no news.",
        remedy="Keep the contact as it was, use another connector or a key, and say it on the first line of the notes.",
        witness="A sensor input on the field connector became 12 V.",
        worse=_another_kind,
    ),
)
