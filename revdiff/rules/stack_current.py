"""Rules of stacking: currents through the contacts of joints, there and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from revdiff.design import Contact
from revdiff.electrical.currents import derated, per_contact
from revdiff.rules.contacts import PRACTICE, fits, is_ground, is_supply
from revdiff.rules.finding import Finding
from revdiff.rules.meetings import Meeting
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_mechanics import meetings_of
from revdiff.rules.stack_model import Stack
from revdiff.rules.stack_scene import Made, Outcome, Unmade, amount, contacts, finding, signed, stack_rule

_SHEETS = "the column Rating of the design, from the connector's data sheet"


def amperes(contacts: Iterable[Contact]) -> Decimal | None:
    """The sum of the stated currents, A; None where a contact states none."""
    total = Decimal(0)
    for contact in contacts:
        stated = contact.current.quantity
        if stated is None or stated.unit != "A":
            return None
        total += stated.magnitude
    return total


def _taking(contacts: list[Contact], others: list[Contact]) -> list[Contact]:
    """The contacts of the side that takes current: the one that says ``supply in``, else the one that states more."""
    if any(item.direction.word == "supply in" for item in others):
        return others
    if any(item.direction.word == "supply in" for item in contacts):
        return contacts
    return max((contacts, others), key=lambda items: amperes(items) or Decimal(-1))


def _shared(meeting: Meeting) -> Iterator[tuple[str, list[tuple[Contact, Contact]], list[Contact]]]:
    """Each supply of a joint: its name, the contacts where it meets itself, those of the side that takes current."""
    groups: dict[str, list[tuple[Contact, Contact]]] = {}
    for a, b in meeting.met():
        if is_supply(a) and is_supply(b) and fits(meeting, a, b):
            groups.setdefault(a.signal.word, []).append((a, b))
    for pairs in groups.values():
        words = {a.signal.word for a, _ in pairs}, {b.signal.word for _, b in pairs}
        all_a = [item for item in meeting.a.connector.contacts.values() if item.signal.word in words[0]]
        all_b = [item for item in meeting.b.connector.contacts.values() if item.signal.word in words[1]]
        yield pairs[0][0].signal.raw, pairs, _taking(all_a, all_b)


def _loads(stack: Stack, meeting: Meeting, taking: list[Contact]) -> Decimal | None:
    """What everything behind the taking side draws, A, where every board there states its load."""
    side = meeting.b if any(item is taking[0] for item in meeting.b.connector.contacts.values()) else meeting.a
    near = meeting.a if side is meeting.b else meeting.b
    behind = {side.label}
    for _ in stack.layers:
        for a, b in stack.pairs:
            labels = {a.label, b.label}
            if labels & behind and near.label not in labels:
                behind |= labels
    word = taking[0].signal.word
    loads = [layer.data.loads.get(word) for layer in stack.layers if layer.label in behind]
    known = [item for item in loads if item is not None]
    return sum(known, Decimal(0)) if known and len(known) == len(loads) else None


def _rating(meetings: Iterable[Meeting], percent: Decimal) -> Decimal | None:
    stated = [side.connector.rating.quantity for meeting in meetings for side in (meeting.a, meeting.b)]
    known = [item.magnitude for item in stated if item is not None and item.unit == "A"]
    return derated(min(known), percent) if known else None


def _layers(stack: Stack, meeting: Meeting) -> list[Layer]:
    return [layer for layer in stack.layers if layer.label in (meeting.a.label, meeting.b.label)]


def _contact_current(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    percent = stack.policy.contact_derating
    for meeting in stack.meetings:
        limit = _rating([meeting], percent)
        for rail, pairs, taking in _shared(meeting):
            what = f"current per contact of {rail} at {meeting.name}"
            total = _loads(stack, meeting, taking)
            if total is None:
                total = amperes(taking)
            if total is None or limit is None:
                needs = "the column Current, or boards.NAME.loads" if total is None else "the column Rating"
                yield Unmade(what, "not stated", needs)
                continue
            yield Made(what)
            each = per_contact(total, len(pairs))
            if each <= limit:
                continue
            yield finding(
                rule,
                stack,
                _layers(stack, meeting),
                pairs[0],
                subject=f"{meeting.a.board.name}.{pairs[0][0].name}–{meeting.b.board.name}.{pairs[0][1].name}",
                message=f"{rail} takes {amount(total, 'A')} over {contacts(len(pairs))} of {meeting.name}: "
                "more than each is rated for",
                arithmetic=f"I / n = {amount(total, 'A')} / {len(pairs)} = {amount(each, 'A')}; "
                f"margin {amount(limit - each, 'A')}",
                limit=f"{amount(limit, 'A')} per contact" + (f", {percent} % derated" if percent else ""),
            )


def _return(rule: Rule, stack: Stack) -> Iterator[Outcome]:
    for a, b in stack.pairs:
        found = meetings_of(stack, a, b)
        grounds = [pair for meeting in found for pair in meeting.met() if is_ground(pair[0]) and is_ground(pair[1])]
        totals = [amperes(taking) for meeting in found for _, _, taking in _shared(meeting)]
        known = [item for item in totals if item is not None]
        limit = _rating(found, stack.policy.contact_derating)
        what = f"current per ground contact of {a.board.name}–{b.board.name}"
        if not totals:
            continue
        if len(known) < len(totals) or limit is None:
            yield Unmade(what, "not stated", "the columns Current and Rating")
            continue
        yield Made(what)
        total = sum(known, Decimal(0))
        each = per_contact(total, len(grounds)) if grounds else total
        if grounds and each <= limit:
            continue
        first = grounds[0] if grounds else (None, None)
        yield finding(
            rule,
            stack,
            (a, b),
            first,
            subject=f"{a.board.name}.{first[0].name}–{b.board.name}.{first[1].name}"
            if first[0] is not None and first[1] is not None
            else ", ".join(meeting.name for meeting in found),
            message=f"{amount(total, 'A')} come back over {contacts(len(grounds))} of ground",
            arithmetic=f"I / n = {amount(total, 'A')} / {len(grounds)}"
            + (f" = {amount(each, 'A')}; margin {amount(limit - each, 'A')}" if grounds else ": no path; margin none"),
            limit=f"{amount(limit, 'A')} per contact",
            origin_after=found[0].a.connector.origin,
        )


def _return_lost(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for pairing in situation.stacks:
        if pairing.old is None:
            continue
        before = {(a.board.name, b.board.name): _grounds(pairing.old, a, b) for a, b in pairing.old.pairs}
        for stack in pairing.new:
            for a, b in stack.pairs:
                old, now = before.get((a.board.name, b.board.name), 0), _grounds(stack, a, b)
                if now >= old or not stack.meetings:
                    continue
                joints = meetings_of(stack, a, b)
                ends = [(side.board.name, side.connector) for item in joints for side in (item.a, item.b)]
                grounds = [(name, contact.name) for name, item in ends for contact in item.contacts.values()] + [
                    (name, item.name) for name, item in ends
                ]
                changes = [identity for name, place in grounds for identity in situation.changes_at(name, place)]
                changes = changes or [item.id for item in situation.changes if item.kind.startswith("joint")]
                yield finding(
                    rule,
                    stack,
                    (a, b),
                    (),
                    subject=f"{a.board.name}–{b.board.name}",
                    message=f"{old - now} of {old} ground contacts between {a.board.name} and {b.board.name} are lost",
                    arithmetic=f"{now} − {old} = {signed(now - old)} ground contacts; margin {signed(now - old)}",
                    limit=f"{old}, as in the old stack",
                    changes=tuple(dict.fromkeys(changes)),
                    origin_after=ends[0][1].origin if ends else None,
                )


def _grounds(stack: Stack, a: Layer, b: Layer) -> int:
    met = (pair for meeting in meetings_of(stack, a, b) for pair in meeting.met())
    return sum(1 for one, two in met if is_ground(one) and is_ground(two))


RULES = (
    stack_rule(
        _contact_current,
        name="stack-contact-current",
        title="More current per contact than it is rated for",
        severity="break",
        step="major",
        hazard=True,
        why="An overloaded contact heats up, its resistance grows, and it ends as a fire risk.",
        how="The current that the taking side states (or the loads of all boards behind it), equally shared by the "
        "contacts where the supply meets itself, against the smaller rating of both connectors, derated by policy.",
        remedy="Use more contacts or a connector of a higher rating; derate where all contacts are loaded.",
        witness="3.5 A over three contacts of 1 A: 1.17 A each.",
        source=_SHEETS,
    ),
    stack_rule(
        _return,
        name="stack-return-current",
        title="More return current per ground contact than it is rated for",
        severity="break",
        step="major",
        hazard=True,
        why="What goes up comes back: the ground contacts carry the sum of all supplies.",
        how="The sum of the currents of all supplies between two boards over the ground contacts that meet.",
        remedy="Use more ground contacts.",
        witness="3 A back over two contacts of 1 A: 1.5 A each.",
        source=_SHEETS,
    ),
    Rule(
        name="stack-return-lost",
        title="Fewer ground contacts meet than before",
        severity="caution",
        audience="stacking",
        step="minor",
        why="Fewer grounds mean more drop and more noise on every signal, even while the rating holds.",
        how="The ground contacts that meet between two boards, now against the old stack.",
        remedy="Keep the grounds, or check drop and signal quality with the old partner.",
        witness="Two of ten grounds became signals; the fast bus rings.",
        source=PRACTICE,
        check=_return_lost,
    ),
)
