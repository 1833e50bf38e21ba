"""One stack of boards to its verdict: what was found, which checks were made, which could not be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from revdiff.quantities.designator import natural_key
from revdiff.rules.contacts import fits, is_supply
from revdiff.rules.finding import SEVERITIES, Finding
from revdiff.rules.meetings import Meeting
from revdiff.rules.stack_model import Stack
from revdiff.rules.stack_rules import OF_JOINTS, OF_ONE_STACK
from revdiff.rules.stack_scene import Made, Outcome, Unmade
from revdiff.rules.waivers import WaiverUse

Answer = Literal["fits", "fits with care", "does not fit", "cannot tell"]
ANSWERS: tuple[Answer, ...] = ("fits", "fits with care", "cannot tell", "does not fit")


@dataclass(frozen=True, slots=True)
class StackVerdict:
    """What is to be said of one stack. ``made``: how many checks were made; ``unmade``: those that could not be."""

    pairing: str
    findings: tuple[Finding, ...]
    made: int
    unmade: tuple[Unmade, ...]
    waivers: tuple[WaiverUse, ...] = ()

    @property
    def answer(self) -> Answer:
        """``cannot tell`` where nothing breaks and a check is missing that all others rest on."""
        if any(item.severity == "break" for item in self.findings):
            return "does not fit"
        if any(item.essential for item in self.unmade):
            return "cannot tell"
        return "fits with care" if any(item.severity == "caution" for item in self.findings) else "fits"

    @property
    def coverage(self) -> str:
        """``41 of 44 checks made``."""
        return f"{self.made} of {self.made + len(self.unmade)} checks made"


@dataclass(frozen=True, slots=True)
class _Joints:
    """The joints of one stack, as the rules of joints want them; no revision changed anything."""

    meetings: tuple[Meeting, ...]

    def changes_at(self, board: str, *names: str) -> tuple[str, ...]:
        return ()


def judge_stack(stack: Stack) -> StackVerdict:
    """Runs every rule that judges one stack. Raises DataFault where the manifest's sections can't be read."""
    found: dict[str, Finding] = {}
    made: set[str] = set()
    unmade: dict[tuple[str, str], Unmade] = {}
    for item in _outcomes(stack):
        if isinstance(item, Finding):
            found.setdefault(item.id, item)
        elif isinstance(item, Made):
            made.add(item.what)
        else:
            unmade.setdefault((item.what, item.needs), item)
    findings = sorted(
        found.values(),
        key=lambda item: (SEVERITIES.index(item.severity), not item.hazard, item.rule, natural_key(item.subject)),
    )
    missing = sorted(unmade.values(), key=lambda item: (not item.essential, natural_key(item.what)))
    return StackVerdict(stack.pairing, tuple(findings), len(made), tuple(missing))


def _outcomes(stack: Stack) -> Iterator[Outcome]:
    if not stack.connected:
        yield Unmade("how the boards are stacked", "no joint connects all of them", "[[joints]] in revdiff.toml", True)
    allowed = stack.policy.allow
    joints = _Joints(stack.meetings)
    for joint_rule, check in OF_JOINTS:
        if joint_rule.name not in allowed:
            yield from check(joint_rule, joints)
    for rule in OF_ONE_STACK:
        if rule.name not in allowed:
            yield from rule.core(rule, stack)
    for meeting in stack.meetings:
        yield from _looked_at(meeting)


def _looked_at(meeting: Meeting) -> Iterator[Outcome]:
    """The checks that the rules of joints make of two connectors, and those that their data doesn't allow."""
    for name, what in (("pitch", "pitch"), ("gender", "gender"), ("rows", "rows")):
        silent = [side for side in (meeting.a, meeting.b) if not getattr(side.connector, name)]
        if silent:
            ends = ", ".join(f"{side.board.name}.{side.connector.name}" for side in silent)
            yield Unmade(f"{what} of {meeting.name}", f"not stated for {ends}", f"the column {name.title()}")
        else:
            yield Made(f"{what} of {meeting.name}")
    if not meeting.a.connector.contacts or not meeting.b.connector.contacts:
        lacking = meeting.b if meeting.a.connector.contacts else meeting.a
        yield Unmade(
            f"what meets at {meeting.name}",
            f"no contacts are listed for {lacking.board.name}.{lacking.connector.name}",
            f"boards.{lacking.board.name}.contacts",
            True,
        )
        return
    yield Made(f"contact count of {meeting.name}")
    for a, b in meeting.contacts():
        place = "–".join(item.name for item in (a, b) if item is not None)
        yield Made(f"what meets at {meeting.name} {place}")
        if a is None or b is None or not (a.signal and b.signal and is_supply(a) and is_supply(b)):
            continue
        if not fits(meeting, a, b):
            continue
        if a.level.quantity is None or b.level.quantity is None:
            silent_side = meeting.a if a.level.quantity is None else meeting.b
            what = f"supply voltage at {meeting.name} {place}"
            yield Unmade(what, f"no level on {silent_side.board.name}", "the column Level", True)
        else:
            yield Made(f"supply voltage at {meeting.name} {place}")
