"""What is printed as JSON, as typed records: the documents and their published schemas are both made from these.

A field is on its record alone. One that goes, or changes its meaning, raises the first number of the version, one that
is added the second.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal, TypeAlias, TypeVar

from msgspec import Meta, Struct, convert

from revdiff.compare.change import Change as FoundChange
from revdiff.compare.change import Level
from revdiff.compare.records import shown
from revdiff.design.sections import Waiver as StatedWaiver
from revdiff.judge import Cause as FoundCause
from revdiff.judge.causes import Outcome
from revdiff.judge.drift import Drift
from revdiff.judge.finding import Audience, Severity, Step
from revdiff.judge.finding import Finding as FoundFinding
from revdiff.judge.waivers import State, WaiverUse

Version: TypeAlias = Annotated[
    Literal["1.4"],
    Meta(description="First number: something went or changed its meaning. Second number: something was added."),
]
SCHEMA_VERSION: Version = "1.4"

Kind: TypeAlias = Literal["tag", "branch", "commit", "work tree", "index", "folder", "file"]
Group: TypeAlias = Literal["stacking", "firmware", "wiring", "assembly", "buying", "documentation"]
Count: TypeAlias = Annotated[int, Meta(ge=0)]
Share: TypeAlias = Annotated[float, Meta(ge=0, le=1)]
Ids: TypeAlias = Annotated[list[str], Meta(description="ids")]

T = TypeVar("T", bound="Record")


class Record(Struct, frozen=True, forbid_unknown_fields=True):
    """An object of a document, every field of which is always there."""


def copied(kind: type[T], source: object, **own: object) -> T:
    """The record with what ``source`` holds under the names of its fields, but for ``own``.

    Raises msgspec.ValidationError where something is of another type than the schema says.
    """
    names = (name for name in kind.__struct_fields__ if name not in own)
    return convert({**{name: getattr(source, name) for name in names}, **own}, kind, from_attributes=True)


def copies(kind: type[T], sources: Iterable[object]) -> list[T]:
    """A record for each."""
    return [copied(kind, item) for item in sources]


class Place(Record, frozen=True):
    """Where something was read."""

    file: Annotated[str, Meta(description="path below the root of the design; a worksheet after a #")]
    line: Annotated[int, Meta(ge=1)]
    column: Annotated[Count, Meta(description="position of the cell in its row, from 1; 0: the whole line")]


class Revision(Record, frozen=True):
    """Which state of the design was opened."""

    asked: Annotated[str, Meta(description="what the user wrote")]
    kind: Kind
    name: str
    commit: Annotated[str, Meta(pattern="^([0-9a-f]{40})?$", description="full commit id; empty where there is none")]
    date: Annotated[str, Meta(description="committer's date, ISO 8601; empty where there is none")]


class Diagnostic(Record, frozen=True):
    """One statement about the data."""

    code: str
    severity: Literal["fault", "notice"]
    revision: str
    message: str
    origin: Place
    found: str
    expected: str
    remedy: str


class NotChecked(Record, frozen=True):
    """A check that could not be made."""

    what: Annotated[str, Meta(description="the check that could not be made")]
    why: Annotated[str, Meta(description="what is missing or unclear")]
    needs: Annotated[str, Meta(description="the column, file or manifest line that would allow it")]


class Waiver(Record, frozen=True):
    """Who lives with a finding, and why."""

    reason: str
    who: str
    until: Annotated[
        str, Meta(description="the last day it counts, or the tag from which on it doesn't; empty: without an end")
    ]


class UsedWaiver(Record, frozen=True):
    """What became of a waiver."""

    rule: str
    subject: str
    between: str
    reason: str
    who: str
    until: str
    origin: Place | None
    state: State
    why: Annotated[str, Meta(description="why it doesn't count")]
    findings: Ids


class FieldChange(Record, frozen=True):
    """A field that differs, as printed."""

    name: str
    before: str
    after: str


class Wire(Record, frozen=True):
    """A terminal whose net changed, with the nets; empty where it is open or not there."""

    before: str
    after: str
    net_before: str
    net_after: str


class Match(Record, frozen=True):
    """Why two records are taken for one thing."""

    level: Level
    confidence: Share
    evidence: str


class Change(Record, frozen=True):
    """One thing that differs between two revisions."""

    id: Annotated[str, Meta(description="kind, board and subject; the same in every run")]
    kind: Annotated[str, Meta(pattern=r"^[a-z]+\.[a-z]+$")]
    group: Group
    board: Annotated[str, Meta(description="the boards as printed; empty for the whole design")]
    boards: list[str]
    subject: Annotated[str, Meta(description="what a person would say: R14, UART_TX, J3.7")]
    before: str
    after: str
    pattern: Annotated[str, Meta(description="shape of a renumbering, move or swap")]
    fields: list[FieldChange]
    pairs: Annotated[list[tuple[str, str]], Meta(description="names before and after of everything the change covers")]
    wires: list[Wire]
    origin_before: Place | None
    origin_after: Place | None
    match: Match | None


class Finding(Record, frozen=True):
    """What a change, or a pairing of boards or of firmware and board, means."""

    id: Annotated[
        str, Meta(description="rule, roles and subject; the same in every run and whatever the revisions are called")
    ]
    rule: Annotated[str, Meta(pattern="^[a-z]+(-[a-z0-9]+)+$")]
    severity: Severity
    audience: Audience
    step: Annotated[Step, Meta(description="step of the version number that it asks for")]
    hazard: Annotated[bool, Meta(description="can hurt somebody or destroy hardware")]
    doubt: Annotated[bool, Meta(description="nobody can tell before somebody has looked")]
    pairing: Annotated[str, Meta(description="the things it is about")]
    crossing: Annotated[str, Meta(description="which of them is new; empty where all are of one board")]
    subject: str
    message: str
    arithmetic: Annotated[str, Meta(description="formula, numbers, result")]
    limit: str
    source: Annotated[str, Meta(description="where the limit comes from")]
    remedy: str
    changes: Annotated[list[str], Meta(description="ids of the changes behind it")]
    waiver: Annotated[Waiver | None, Meta(description="who lives with it, and why")]
    cause: Annotated[str, Meta(description="id of the cause; empty where nothing was compared")]
    below: Annotated[str, Meta(description="id of a stronger finding of the same cause; empty where there is none")]
    origin_before: Place | None
    origin_after: Place | None


class Subject(Record, frozen=True):
    """What changes of one kind are of."""

    board: str
    subject: str


class Title(Record, frozen=True):
    """A cause as structure, for whoever puts it into words."""

    kind: Annotated[str, Meta(description="kind of change; empty for a board as a whole")]
    subjects: list[Subject]


class Cause(Record, frozen=True):
    """Changes that belong together, with all that follows from them."""

    id: str
    outcome: Outcome
    title: Title
    changes: Ids


class Contradiction(Record, frozen=True):
    """Two documents of one revision that disagree, with both places."""

    id: str
    code: str
    board: str
    subject: str
    message: str
    here: str
    there: str


C = TypeVar("C", bound=Change)
F = TypeVar("F", bound=Finding)


def waiver_of(item: StatedWaiver | None) -> Waiver | None:
    """What the manifest says."""
    return None if item is None else copied(Waiver, item, until=str(item.until))


def waivers_of(uses: Iterable[WaiverUse]) -> list[UsedWaiver]:
    """What became of every waiver."""
    return [
        copied(
            UsedWaiver,
            use.waiver,
            until=str(use.waiver.until),
            state=use.state,
            why=use.why,
            findings=use.findings,
        )
        for use in uses
    ]


def change_of(kind: type[C], change: FoundChange, **own: object) -> C:
    """A change, with its fields as they are printed."""
    fields = [
        FieldChange(item.name, shown(item.name, item.before), shown(item.name, item.after)) for item in change.fields
    ]
    return copied(kind, change, fields=fields, **own)


def finding_of(kind: type[F], item: FoundFinding, **own: object) -> F:
    """A finding, with the waiver that it is told with."""
    return copied(kind, item, waiver=waiver_of(item.waiver), **own)


def findings_of(found: Iterable[FoundFinding]) -> list[Finding]:
    """A record for each."""
    return [finding_of(Finding, item) for item in found]


def contradiction_of(item: Drift) -> Contradiction:
    """One contradiction, its places as text."""
    there = "" if item.there is None else str(item.there)
    return copied(Contradiction, item, here=str(item.here), there=there)


def cause_of(item: FoundCause) -> Cause:
    """A cause without its findings, which point to it."""
    title = Title(item.kind, [Subject(board, subject) for board, subject in item.subjects])
    return copied(Cause, item, title=title)
