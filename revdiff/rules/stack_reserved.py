"""Rules of stacking: contacts that were left open by agreement, and plugs that go in wrongly."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.design import Contact
from revdiff.rules.contacts import PRACTICE, class_of
from revdiff.rules.finding import Finding
from revdiff.rules.meetings import Meeting
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation
from revdiff.rules.stack_columns import keyed, level_of, state_of
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Stack
from revdiff.rules.stack_position import slips
from revdiff.rules.stack_scene import Made, Outcome, changes_of, finding, stack_rule


def _layers(stack: Stack, meeting: Meeting) -> list[Layer]:
    return [layer for layer in stack.layers if layer.label in (meeting.a.label, meeting.b.label)]


def _used_reserved(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for meeting in stack.meetings:
        for a, b in meeting.contacts():
            if a is None or b is None or "reserved" not in (state_of(a), state_of(b)):
                continue
            place = f"{meeting.a.board.name}.{a.name}–{meeting.b.board.name}.{b.name}"
            yield Made(f"reserved contact {place}")
            used, left = (a, b) if state_of(b) == "reserved" else (b, a)
            if state_of(used) != "used":
                continue
            boards = (meeting.a.board.name, meeting.b.board.name)
            using, keeping = boards if used is a else boards[::-1]
            yield finding(
                rule,
                stack,
                _layers(stack, meeting),
                (a, b),
                subject=place,
                message=f"{using} uses {used.name} for {used.signal.raw}; {keeping} has it reserved, to be left open",
                arithmetic=f"{used.name}: {used.signal.raw} – {left.name}: reserved; margin none",
                limit="a reserved contact meets an open one",
            )


def _free_taken(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for pairing in situation.stacks:
        if pairing.old is None:
            continue
        free = {
            (layer.board.name, connector.name, number)
            for layer in pairing.old.layers
            for connector in layer.board.connectors.values()
            for number, contact in connector.contacts.items()
            if state_of(contact) == "free"
        }
        for stack in pairing.new:
            for meeting in stack.meetings:
                for a, b in meeting.contacts():
                    for side, contact in ((meeting.a, a), (meeting.b, b)):
                        if contact is None or not side.new or not contact.signal:
                            continue
                        if (side.board.name, side.connector.name, contact.number) not in free:
                            continue
                        item = finding(
                            rule,
                            stack,
                            _layers(stack, meeting),
                            (a, b),
                            subject=f"{side.board.name}.{contact.name}",
                            message=f"{contact.name} of {side.board.name} was free for users "
                            f"and carries {contact.signal.raw} now",
                            arithmetic=f"free → {contact.signal.raw}; margin none",
                            limit="what was free stays free",
                        )
                        yield changes_of(situation, item, [(side.board.name, contact.name)])


def _misplug(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for pairing in situation.stacks:
        if pairing.old is None:
            continue
        before = {meeting.name: destructive(meeting) for meeting in pairing.old.meetings}
        for stack in pairing.new:
            for meeting in stack.meetings:
                if meeting.name not in before:
                    continue
                for way, now in destructive(meeting).items():
                    old = before[meeting.name].get(way, [])
                    if not now or old or way not in before[meeting.name]:
                        continue
                    a, b = now[0]
                    item = finding(
                        rule,
                        stack,
                        _layers(stack, meeting),
                        (a, b),
                        subject=f"{meeting.name} {way}",
                        message=f"plugged {way}, {a.signal.raw} on {a.name} of {meeting.a.board.name} meets "
                        f"{b.signal.raw} on {b.name} of {meeting.b.board.name}; that was harmless before",
                        arithmetic=f"{len(now)} − {len(old)} = {len(now)} destructive contacts; margin −{len(now)}",
                        limit="none that the old revision did not have",
                    )
                    places = [(meeting.a.board.name, x.name) for x, _ in now] + [
                        (meeting.b.board.name, y.name) for _, y in now
                    ]
                    ends = (meeting.a, meeting.b)
                    yield changes_of(
                        situation, item, [*places, *((end.board.name, end.connector.name) for end in ends)]
                    )


def destructive(meeting: Meeting) -> dict[str, list[tuple[Contact, Contact]]]:
    """Per way to plug wrongly, the contacts where a supply meets what it must not; empty where that can't be told."""
    if keyed(meeting.a.connector) or keyed(meeting.b.connector):
        return {}
    found = {}
    for way, pairs in slips(meeting.pairs, meeting.a.connector).items():
        contacts_a, contacts_b = meeting.a.connector.contacts, meeting.b.connector.contacts
        met = [(contacts_a[x], contacts_b[y]) for x, y in pairs.items() if x in contacts_a and y in contacts_b]
        found[way] = [(a, b) for a, b in met if a.signal and b.signal and _harms(a, b)]
    return found


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
    return high is None or stands is None or high > stands + Decimal("0.3")


RULES = (
    Rule(
        name="stack-free-contact-taken",
        title="A contact that was free for users is used now",
        severity="caution",
        audience="stacking",
        step="major",
        why="Users wired what was promised to be free; their wires meet the new signal.",
        how="Contacts that the old revision marks free (column State, or its remark) and the new one gives a signal.",
        remedy="Take another contact, or say loudly that this one is no longer free.",
        witness="A user's lamp on the spare contact now loads the reset line.",
        source=PRACTICE,
        check=_free_taken,
    ),
    Rule(
        name="stack-misplug",
        title="A plug put in wrongly is destructive now, and wasn't before",
        severity="caution",
        audience="stacking",
        step="minor",
        hazard=True,
        why="Headers without a key get plugged turned round or one contact off. People know from the old revision that "
        "nothing happens then.",
        how="Each contact's place, half a turn or one column on, and what it meets there: a supply on ground, on a "
        "signal of a lower level or on another supply. Told where the old revision had none for that way to plug.",
        remedy="Move the supply to where a slip is harmless, or key the connector (column Keyed).",
        witness="5 V moved to the end contact: shifted by one it meets ground.",
        source=PRACTICE,
        check=_misplug,
    ),
    stack_rule(
        _used_reserved,
        name="stack-reserved-used",
        title="A reserved contact meets one that is used",
        severity="caution",
        step="minor",
        why="Reserved means: leave open, it may become something. Partners that obeyed are safe; one that used it, or "
        "looped it through, now meets a signal.",
        how="The column State, or the remark of the contact (reserved, leave open), on either side of every contact.",
        remedy="Check that every released partner leaves the contact open, and say what it became.",
        witness="A radio board marks contact 18 reserved; the new valve board carries a pulse there.",
        source=PRACTICE,
    ),
)
