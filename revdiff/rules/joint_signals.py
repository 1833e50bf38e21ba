"""Rules of joints: which signals and supplies meet when two boards are stacked."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.design import Contact
from revdiff.rules.contacts import PRACTICE, class_of, difference, elsewhere, fits, is_supply, place
from revdiff.rules.finding import Finding
from revdiff.rules.meetings import Joined, Meeting
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

# What a board gives, or has besides, may meet nothing: a partner need not use it.
_GIVEN = frozenset({"out", "analog out", "supply out", "supply", "ground", "passive"})


def _touching(situation: Joined, meeting: Meeting, *contacts: Contact | None) -> tuple[str, ...]:
    boards = (meeting.a.board.name, meeting.b.board.name)
    found: list[str] = []
    for board, contact in zip(boards, contacts, strict=True):
        if contact is not None:
            found += situation.changes_at(board, contact.name)
    if not found:
        found += situation.changes_at("", meeting.joint.name)
    return tuple(dict.fromkeys(found))


def _signal_lost(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        for a, b in meeting.contacts():
            for here, there, on_b in ((a, b, True), (b, a, False)):
                if here is None or not here.signal or (there is not None and there.signal):
                    continue
                if elsewhere(meeting, here, on_b=on_b) or not _was_met(meeting, here, on_b=on_b):
                    continue
                side, mate = (meeting.a, meeting.b) if on_b else (meeting.b, meeting.a)
                meets = "an unused contact" if there is not None else "no contact"
                yield rule.found(
                    parties=meeting.parties,
                    crossing=meeting.crossing,
                    subject=place(meeting, a, b),
                    message=f"{here.signal.raw} of {side.board.name} meets {meets} of {mate.board.name}, "
                    f"which carries that signal nowhere on {mate.connector.name}",
                    arithmetic=f"{here.name}: {here.signal.raw} – {'unused' if there is not None else 'nothing'}",
                    limit="each signal meets itself",
                    changes=_touching(situation, meeting, a, b),
                    **_origins(meeting, a, b),
                )


def _was_met(meeting: Meeting, contact: Contact, *, on_b: bool) -> bool:
    """Whether the signal was met in the old pairing; where there was none, what a board needs should be met."""
    if not meeting.worked:
        return contact.direction.word not in _GIVEN
    index = 0 if on_b else 1
    return any(pair[index] == contact.signal.word for pair in meeting.known)


def _signal_moved(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        for a, b in meeting.contacts():
            if a is None or not a.signal or (b is not None and b.signal and fits(meeting, a, b)):
                continue
            there = elsewhere(meeting, a, on_b=True)
            if not there or (_is_harmless(a, b) and _is_shared(meeting, a)):
                continue
            meets = b.signal.raw if b is not None and b.signal else "nothing"
            yield rule.found(
                parties=meeting.parties,
                crossing=meeting.crossing,
                subject=place(meeting, a, b),
                message=f"{a.signal.raw} of {meeting.a.board.name} meets {meets}; "
                f"{meeting.b.board.name} carries it on {there}",
                arithmetic=f"{a.name} meets {b.name if b is not None else 'no contact'}, needed {there}",
                limit="each signal meets itself",
                changes=_touching(situation, meeting, a, b),
                **_origins(meeting, a, b),
            )


def _is_harmless(a: Contact, b: Contact | None) -> bool:
    """Whether one contact more of a signal meets nothing, or meets what the rule of supplies tells of."""
    return b is None or not b.signal or {class_of(a), class_of(b)} != {"signal"}


def _is_shared(meeting: Meeting, contact: Contact) -> bool:
    """A signal on several contacts (a ground) that still meets itself on another one."""
    return any(one.signal == contact.signal and fits(meeting, one, two) for one, two in meeting.met())


def _signal_clash(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        for a, b in meeting.contacts():
            if a is None or b is None or not a.signal or not b.signal or fits(meeting, a, b):
                continue
            if class_of(a) != "signal" or class_of(b) != "signal" or elsewhere(meeting, a, on_b=True):
                continue
            yield rule.found(
                parties=meeting.parties,
                crossing=meeting.crossing,
                subject=place(meeting, a, b),
                message=f"{a.signal.raw} of {meeting.a.board.name} meets {b.signal.raw} of {meeting.b.board.name}",
                arithmetic=f"{a.name}: {a.signal.raw} ≠ {b.name}: {b.signal.raw}",
                limit="each signal meets itself",
                changes=_touching(situation, meeting, a, b),
                **_origins(meeting, a, b),
            )


def _supply_clash(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        for a, b in meeting.contacts():
            if a is None or b is None or not a.signal or not b.signal or fits(meeting, a, b):
                continue
            classes = {class_of(a), class_of(b)}
            if classes == {"signal"} or classes == {"ground"}:
                continue
            yield rule.found(
                parties=meeting.parties,
                crossing=meeting.crossing,
                subject=place(meeting, a, b),
                message=f"{_said(a)} of {meeting.a.board.name} is connected to {_said(b)} of {meeting.b.board.name}",
                arithmetic=difference(a.level, b.level) or f"{a.signal.raw} on {b.signal.raw}",
                limit="a supply meets only itself",
                changes=_touching(situation, meeting, a, b),
                **_origins(meeting, a, b),
            )


def _said(contact: Contact) -> str:
    level = f" ({contact.level.raw})" if contact.level and contact.level.raw not in contact.signal.raw else ""
    return f"the {class_of(contact)} {contact.signal.raw}{level}"


def _supply_voltage(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        for a, b in meeting.contacts():
            if a is None or b is None or not a.signal or not b.signal or not fits(meeting, a, b):
                continue
            if not (is_supply(a) and is_supply(b)) or a.level == b.level:
                continue
            if a.level.quantity is None or b.level.quantity is None:
                continue
            yield rule.found(
                parties=meeting.parties,
                crossing=meeting.crossing,
                subject=place(meeting, a, b),
                message=f"{a.signal.raw} is {a.level.raw} on {meeting.a.board.name} "
                f"and {b.level.raw} on {meeting.b.board.name}",
                arithmetic=difference(a.level, b.level, margin=True),
                limit="0 V",
                changes=_touching(situation, meeting, a, b),
                **_origins(meeting, a, b),
            )


def _origins(meeting: Meeting, a: Contact | None, b: Contact | None) -> dict[str, object]:
    new = a if meeting.a.new and a is not None else b if b is not None else a
    old = b if new is a else a
    return {
        "origin_after": new.origin.of("signal") if new is not None else None,
        "origin_before": old.origin.of("signal") if old is not None else None,
    }


# The checks of this family that judge the joints of one stack as well, by the names of their rules.
JOINT_CHECKS = {
    "joint-signal-clash": _signal_clash,
    "joint-signal-lost": _signal_lost,
    "joint-signal-moved": _signal_moved,
    "joint-supply-clash": _supply_clash,
    "joint-supply-voltage": _supply_voltage,
}


def _renamed_one_side(rule: Rule, situation: Situation) -> Iterator[Finding]:
    renames = {
        (board, new): (old, change.id)
        for change in situation.changes
        if change.kind == "signal.renamed"
        for board in change.board.split(", ")
        for old, new in change.pairs
    }
    for meeting in situation.meetings:
        sides = (meeting.a, meeting.b)
        if any(side.board is not situation.new.boards.get(side.board.name) for side in sides):
            continue  # an old board keeps its old names
        for a, b in meeting.met():
            named = [
                renames.get((side.board.name, item.signal.word), (item.signal.word, ""))
                for side, item in zip(sides, (a, b), strict=True)
            ]
            if a.signal.word == b.signal.word or named[0][0] != named[1][0] or not fits(meeting, a, b):
                continue
            yield rule.found(
                parties=meeting.parties,
                crossing=meeting.crossing,
                subject=place(meeting, a, b),
                message=f"{a.signal.raw} of {meeting.a.board.name} meets {b.signal.raw} of {meeting.b.board.name}: "
                "one signal by all that is known, renamed on one of the two boards",
                arithmetic=f"{a.signal.raw} ≠ {b.signal.raw}, both {named[0][0]} before",
                limit="one name for a signal on both sides of a joint",
                changes=tuple(item for _, item in named if item),
                **_origins(meeting, a, b),
            )


RULES = (
    Rule(
        name="joint-renamed-one-side",
        title="A signal was renamed on one side of a joint only",
        severity="caution",
        audience="stacking",
        step="minor",
        why="Whoever reads the two connector maps takes them for different signals, and so does every check that "
        "has no older revision to compare with.",
        how="Signals that meet under different names and had one name before the rename on one board.",
        remedy="Rename it on the other board too, or say with [[known_good]] that the two belong together.",
        witness="A third board is laid out by one of the maps, and its author looks for a signal that isn't there.",
        source=PRACTICE,
        check=_renamed_one_side,
    ),
    Rule(
        name="joint-signal-clash",
        title="Two different signals meet on a contact",
        severity="break",
        audience="stacking",
        step="major",
        why="Each board takes the other's signal for its own; two outputs may drive one another.",
        how="On each contact the signals of both sides are compared, renames and pairs that met before allowed for.",
        remedy="Give the contact its old signal back, or release both boards as a matched set and say so on both.",
        witness="The partner's reset input now listens to a clock.",
        source=PRACTICE,
        check=_signal_clash,
        hazard=True,
    ),
    Rule(
        name="joint-signal-lost",
        title="A signal of a joint is gone",
        severity="break",
        audience="stacking",
        step="major",
        why="The partner board relies on a signal that this revision no longer brings.",
        how="For each contact with a signal, the mate has to carry it too, there or elsewhere on the connector.",
        remedy="Bring the signal back on its contact, or name the partner revisions that do without it.",
        witness="A power-good input stays low for ever, and the partner board never starts.",
        source=PRACTICE,
        check=_signal_lost,
    ),
    Rule(
        name="joint-signal-moved",
        title="A signal of a joint is on another contact",
        severity="break",
        audience="stacking",
        step="major",
        why="Boards mate by place: a signal that moved meets whatever the partner has there.",
        how="A signal that doesn't meet itself is looked for on the mate's other contacts.",
        remedy="Move the signal back, or release both boards as a matched set and say so on both.",
        witness="Two pump drives trade places: the wrong pump runs.",
        source=PRACTICE,
        check=_signal_moved,
        hazard=True,
    ),
    Rule(
        name="joint-supply-clash",
        title="A supply meets a signal, a ground or another supply",
        severity="break",
        audience="stacking",
        step="major",
        why="Connecting a supply to anything else can destroy both boards the moment they are powered.",
        how="For each contact the class of both sides (supply, ground, signal) and their names are compared.",
        remedy="Don't stack these revisions. Move the supply back, or key the connector.",
        witness="5 V arrives on an input that stands 3.6 V.",
        source=PRACTICE,
        check=_supply_clash,
        hazard=True,
    ),
    Rule(
        name="joint-supply-voltage",
        title="A supply has another voltage on the other side of a joint",
        severity="break",
        audience="stacking",
        step="major",
        why="The partner board was built for the voltage that it was told; more can destroy it, less may not start it.",
        how="The stated level of one side minus the stated level of the other, for supplies that meet.",
        remedy="Don't stack these before the partner's limits are checked. Keep the voltage, or use another contact.",
        witness="A 12.6 V battery contact rises to 14.4 V; capacitors rated 16 V lose their margin.",
        source=PRACTICE,
        check=_supply_voltage,
        hazard=True,
    ),
)
