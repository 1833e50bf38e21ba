"""Rules of joints: whether two connectors can be put together at all."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.rules.contacts import PRACTICE, difference
from revdiff.rules.finding import Finding
from revdiff.rules.meetings import Joined, Meeting
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation


def _count(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        a, b = meeting.a.connector, meeting.b.connector
        rows = bool(a.rows and b.rows and a.rows != b.rows)
        if not a.size or not b.size or (a.size == b.size and not rows):
            continue
        text = f"{a.size} − {b.size} = {abs(a.size - b.size)} contacts without a mate"
        if rows:
            text += f"; {a.rows.raw} rows on {b.rows.raw}"
        yield rule.found(
            parties=meeting.parties,
            crossing=meeting.crossing,
            subject=_joint(meeting),
            message=f"{a.name} of {meeting.a.board.name} has {a.size} contacts, "
            f"{b.name} of {meeting.b.board.name} has {b.size}",
            arithmetic=text,
            limit="equal numbers of contacts and rows",
            changes=_of_connectors(situation, meeting),
            origin_before=None,
            origin_after=a.origin.of("count"),
        )


def _joint(meeting: Meeting) -> str:
    a, b = meeting.a, meeting.b
    return f"{a.board.name}.{a.connector.name}–{b.board.name}.{b.connector.name}"


def _of_connectors(situation: Joined, meeting: Meeting) -> tuple[str, ...]:
    found = [
        identity
        for side in (meeting.a, meeting.b)
        for identity in situation.changes_at(side.board.name, side.connector.name)
        if identity.startswith(("connector.", "joint."))
    ]
    return tuple(dict.fromkeys(found))


def _pitch(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        a, b = meeting.a.connector, meeting.b.connector
        if not a.pitch or not b.pitch or a.pitch == b.pitch:
            continue
        yield rule.found(
            parties=meeting.parties,
            crossing=meeting.crossing,
            subject=_joint(meeting),
            message=f"the pitch is {a.pitch.raw} on {meeting.a.board.name} and {b.pitch.raw} on {meeting.b.board.name}",
            arithmetic=difference(a.pitch, b.pitch, margin=True),
            limit="0 mm",
            changes=_of_connectors(situation, meeting),
            origin_after=a.origin.of("pitch"),
        )


def _gender(rule: Rule, situation: Joined) -> Iterator[Finding]:
    for meeting in situation.meetings:
        a, b = meeting.a.connector, meeting.b.connector
        if not a.gender or not b.gender or a.gender != b.gender:
            continue
        yield rule.found(
            parties=meeting.parties,
            crossing=meeting.crossing,
            subject=_joint(meeting),
            message=f"{a.name} of {meeting.a.board.name} and {b.name} of {meeting.b.board.name} "
            f"are both {a.gender.raw}",
            arithmetic=f"{a.gender.raw} on {b.gender.raw}",
            limit="one male, one female",
            changes=_of_connectors(situation, meeting),
            origin_after=a.origin.of("gender"),
        )


def _removed(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for change in situation.changes:
        if change.kind != "joint.removed":
            continue
        ends = [end.split(".", 1)[0] for end in change.subject.split("–")]
        first, second = situation.both(ends[0])[1], situation.both(ends[1])[0]
        yield rule.found(
            parties=(first, second),
            subject=change.subject,
            message=f"the joint {change.subject} is gone: what it carried no longer passes between the boards",
            arithmetic="1 − 1 = 0 joints of these two connectors",
            limit="every joint that released boards use",
            changes=(change.id,),
            origin_before=change.origin_before,
        )


# The checks of this family that judge the joints of one stack as well, by the names of their rules.
JOINT_CHECKS = {"joint-connector-gender": _gender, "joint-contact-count": _count, "joint-pitch": _pitch}

RULES = (
    Rule(
        name="joint-connector-gender",
        title="Two connectors of one gender can't mate",
        severity="break",
        audience="stacking",
        step="major",
        why="A board whose joint changed gender no longer goes onto any released partner.",
        how="The gender of both connectors of a joint is compared in every pairing of old and new boards.",
        remedy="Keep the gender, or release both boards as a matched set and say so on both.",
        witness="Two pin headers face each other; the boards can't be pushed together.",
        source=PRACTICE,
        check=_gender,
    ),
    Rule(
        name="joint-contact-count",
        title="The connectors of a joint differ in contacts or rows",
        severity="break",
        audience="stacking",
        step="major",
        why="With another number of contacts the plug may not seat, may seat shifted, or leaves contacts open.",
        how="Contacts of one side minus contacts of the other; rows are compared where both are stated.",
        remedy="Keep the size, or release both boards as a matched set and say so on both.",
        witness="A 20-contact socket on a 24-contact header can be plugged two contacts off.",
        source=PRACTICE,
        check=_count,
    ),
    Rule(
        name="joint-pitch",
        title="The connectors of a joint differ in pitch",
        severity="break",
        audience="stacking",
        step="major",
        why="Contacts at another spacing don't line up.",
        how="The pitch of one side minus the pitch of the other.",
        remedy="Keep the pitch, or release both boards as a matched set and say so on both.",
        witness="At 2.00 mm against 2.54 mm the tenth contact is 4.86 mm off.",
        source=PRACTICE,
        check=_pitch,
    ),
    Rule(
        name="joint-removed",
        title="A joint is gone",
        severity="break",
        audience="stacking",
        step="major",
        why="What passed through the joint no longer reaches the partner board.",
        how="The joints of both manifests are compared, renumbered connectors taken as the same.",
        remedy="Say which partner revisions lose what, or bring the joint back.",
        witness="A released partner board finds no connector above it.",
        source=PRACTICE,
        check=_removed,
    ),
)
