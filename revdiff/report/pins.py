"""The pin notice for terminals, merge requests and programs."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.waivers import waiver_lines
from revdiff.release.document import Block, Document, Heading, Items, Row, Sentence, Table
from revdiff.release.pin_notice import ControllerNotice, PinNotice
from revdiff.release.verdicts import counted
from revdiff.report import records
from revdiff.report.cause_blocks import arrangement_blocks, cause_blocks
from revdiff.report.data import json_text
from revdiff.report.records import SCHEMA_VERSION, Record, Version, copied

CAUTION = (
    "Run firmware on a board that it was not built for only from a current-limited supply, with loads disconnected, "
    "and never unattended."
)


def pins_document(notice: PinNotice) -> Document:
    """The notice: a table for each controller, then what follows from it, cause by cause."""
    return tuple(_blocks(notice))


def _blocks(notice: PinNotice) -> Iterator[Block]:
    hazards = [item for item in notice.causes if item.word == "hazard"]
    rest = [item for item in notice.causes if item.word != "hazard" and not item.cause.kind.startswith("pin.")]
    yield Heading(f"{notice.title}: pins, {notice.old.name} → {notice.new.name}", 1)
    broken = sum(item.word == "break" for item in notice.causes)
    told = f"{counted(len(hazards), 'hazard')}, told below. {CAUTION}" if hazards else notice.clear
    if broken and not hazards:
        told = f"{counted(broken, 'cause')} by which something won't work, told below. {told}"
    yield Sentence(told, tone="hazard" if hazards else "break" if broken else "")
    for controller in notice.controllers:
        yield from _controller(controller)
    if notice.nets:
        yield Sentence(notice.nets)
    remedies: dict[str, int] = {}
    for title, causes in (("Hazards", hazards), ("Beyond the pins", rest)):
        if causes:
            yield Heading(f"{title} ({len(causes)})", 2, causes[0].word)
            for item in causes:
                yield from cause_blocks(item, remedies, titled=item.word != "hazard")
    yield from arrangement_blocks(notice.causes)
    if notice.not_checked:
        yield Heading(f"Not checked ({len(notice.not_checked)})")
        yield Items(tuple(f"{item.what}: {item.why}; needs {item.needs}" for item in notice.not_checked), 1)
    if notice.waivers:
        yield Heading(f"Waivers ({len(notice.waivers)})")
        yield Items(tuple(waiver_lines(notice.waivers)), 1)


def _controller(controller: ControllerNotice) -> Iterator[Block]:
    yield Heading(_heading(controller))
    if controller.lines:
        rows = [
            Row((line.signal, line.old_pin or "–", line.new_pin or "–", ", ".join(line.what), line.todo))
            for line in controller.lines
        ]
        yield Table(("Signal", "Old pin", "New pin", "What changed", "In the source"), tuple(rows))
    stays = [f"{name}: {', '.join(signals)}" for name, signals in controller.stays.items()]
    yield Sentence(f"Stays as it was: {'; '.join(stays)}." if stays else "Nothing stays as it was.")


def _heading(controller: ControllerNotice) -> str:
    count = len(controller.lines)
    return (
        f"{controller.name}: {counted(count, 'signal')} to look at" if count else f"{controller.name}: no pin changed"
    )


class NoticedRevision(Record, frozen=True):
    """Which state of the design was opened."""

    kind: records.Kind
    name: str
    commit: str


class NoticedSignal(Record, frozen=True):
    """What became of one signal."""

    peripheral: str
    signal: str
    what: list[str]
    before: str
    after: str
    todo: str
    old_pin: str
    new_pin: str


class NoticedController(Record, frozen=True):
    """What became of the pins of a controller, and the signals that stay, by peripheral."""

    board: str
    device: str
    changes: list[NoticedSignal]
    stays: dict[str, list[str]]


class Notice(Record, frozen=True):
    """What changed at the pins."""

    schema_version: Version
    title: str
    old: NoticedRevision
    new: NoticedRevision
    causes: list[records.Cause]
    hazards: list[records.Finding]
    breaks: list[records.Finding]
    cautions: list[records.Finding]
    controllers: list[NoticedController]
    not_checked: list[records.NotChecked]
    waivers: list[records.UsedWaiver]


def to_json(notice: PinNotice) -> str:
    """The notice as data: the same notice, the same bytes."""
    return json_text(
        copied(
            Notice,
            notice,
            schema_version=SCHEMA_VERSION,
            causes=[records.cause_of(item.cause) for item in notice.causes],
            hazards=records.findings_of(notice.hazards),
            breaks=records.findings_of(notice.breaks),
            cautions=records.findings_of(notice.cautions),
            controllers=[copied(NoticedController, item, changes=item.lines) for item in notice.controllers],
            waivers=records.waivers_of(notice.waivers),
        )
    )
