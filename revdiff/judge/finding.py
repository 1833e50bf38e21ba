"""What a change or a pairing means: a rule's judgement, with its arithmetic."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from revdiff.design import Origin
from revdiff.design.sections import Waiver

Severity = Literal["break", "caution", "info"]
SEVERITIES: tuple[Severity, ...] = ("break", "caution", "info")
# Whose promise a rule guards.
Audience = Literal["stacking", "firmware", "assembly", "buying", "documentation"]
AUDIENCES: tuple[Audience, ...] = ("stacking", "firmware", "assembly", "buying", "documentation")
# The step of a version number (semver.org 2.0.0, by analogy) that a finding asks for.
Step = Literal["major", "minor", "patch"]


# Which of two revisions a party is of; empty: of both, or of none where things are judged on their own.
Role = Literal["old", "new", ""]


class Party(Struct, frozen=True):
    """One of the things that a finding is about: a board, or a firmware release. ``name`` is without its revision,
    ``label`` with it, as ``base@rev-c``."""

    name: str
    role: Role
    label: str
    firmware: bool = False

    def __str__(self) -> str:
        return f"{self.role} {self.name}".strip()


class Finding(Struct, frozen=True, kw_only=True):
    """One judgement about its ``parties``; ``crossing`` says which of them is new.

    ``arithmetic`` shows formula, numbers and result; ``limit`` what the result is held against; ``source``
    where the limit comes from. ``changes`` are the ids of the changes behind it; ``assumed`` what
    it rests on that nobody stated. ``hazard``: it can hurt
    somebody or destroy hardware; ``doubt``: nobody can tell whether it will before somebody has looked.
    ``cause``: the id of the changes that belong together which it follows from;
    ``below``: the id of a stronger finding of the same cause and arrangement.
    """

    rule: str
    severity: Severity
    audience: Audience
    step: Step
    parties: tuple[Party, ...]
    subject: str
    message: str
    crossing: str = ""
    arithmetic: str = ""
    limit: str = ""
    source: str = ""
    remedy: str = ""
    changes: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    hazard: bool = False
    doubt: bool = False
    origin_before: Origin | None = None
    origin_after: Origin | None = None
    waiver: Waiver | None = None
    cause: str = ""
    below: str = ""

    @property
    def id(self) -> str:
        """The same in every run and for every two revisions: rule, roles and subject."""
        return "/".join(item for item in (self.rule, self.roles, self.subject) if item)

    @property
    def told(self) -> str:
        """The message, with the waiver where there is one: a waived finding never goes untold."""
        if self.waiver is None:
            return self.message
        until = f" until {self.waiver.until}" if self.waiver.until else ""
        return f"{self.message}; waived by {self.waiver.who}{until}: {self.waiver.reason}"

    @property
    def worked(self) -> str:
        """The arithmetic, and the limit where there is one."""
        return "; ".join(text for text in (self.arithmetic, self.limit and f"limit: {self.limit}") if text)

    @property
    def pairing(self) -> str:
        """The things it is about as people call them: ``base@rev-c + radio@rev-b``."""
        return " + ".join(party.label for party in self.parties)

    @property
    def roles(self) -> str:
        """The same without revisions: ``new base + old radio``."""
        return " + ".join(map(str, self.parties))


class NotChecked(Struct, frozen=True):
    """A check that could not be made, and what would let it be made. ``audiences``: who is told of it; empty: all."""

    what: str
    why: str
    needs: str
    audiences: tuple[Audience, ...] = ()

    def concerns(self, audience: Audience) -> bool:
        """Whether those readers are told of it."""
        return not self.audiences or audience in self.audiences


def louder(findings: Iterable[Finding], severity: str) -> bool:
    """Whether any finding that isn't waived is of this severity or a louder one; never where it is no severity."""
    loud = SEVERITIES[: SEVERITIES.index(severity) + 1] if severity in SEVERITIES else ()
    return any(item.severity in loud and item.waiver is None for item in findings)
