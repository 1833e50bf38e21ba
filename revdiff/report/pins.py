"""The pin notice for terminals, merge requests and programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from revdiff.judge.finding import Finding
from revdiff.judge.waivers import waiver_lines
from revdiff.release.document import Block, Document, Heading, Items, Row, Sentence, Table
from revdiff.release.pin_notice import ControllerNotice, PinNotice
from revdiff.release.verdicts import counted
from revdiff.report.cause_blocks import arrangement_blocks, cause_blocks
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.document import cause_data, waiver_data, waivers_data
from revdiff.sources import Identity

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


def to_json(notice: PinNotice) -> str:
    """The notice as data: the same notice, the same bytes."""
    document: dict[str, Any] = {
        "schema_version": SCHEMA_VERSION,
        "title": notice.title,
        "old": _identity(notice.old),
        "new": _identity(notice.new),
        "causes": [cause_data(item.cause) for item in notice.causes],
        "hazards": [_finding(item) for item in notice.hazards],
        "breaks": [_finding(item) for item in notice.breaks],
        "cautions": [_finding(item) for item in notice.cautions],
        "controllers": [
            {
                "board": controller.board,
                "device": controller.device,
                "changes": [
                    {
                        "peripheral": line.peripheral,
                        "signal": line.signal,
                        "what": list(line.what),
                        "before": line.before,
                        "after": line.after,
                        "todo": line.todo,
                        "old_pin": line.old_pin,
                        "new_pin": line.new_pin,
                    }
                    for line in controller.lines
                ],
                "stays": {name: list(signals) for name, signals in controller.stays.items()},
            }
            for controller in notice.controllers
        ],
        "not_checked": [{"what": item.what, "why": item.why, "needs": item.needs} for item in notice.not_checked],
        "waivers": waivers_data(notice.waivers),
    }
    return json_text(document)


def _identity(identity: Identity) -> dict[str, str]:
    return {"kind": identity.kind, "name": identity.name, "commit": identity.commit}


def _finding(item: Finding) -> dict[str, Any]:
    return {
        "id": item.id,
        "rule": item.rule,
        "severity": item.severity,
        "pairing": item.pairing,
        "crossing": item.crossing,
        "cause": item.cause,
        "subject": item.subject,
        "message": item.message,
        "arithmetic": item.arithmetic,
        "limit": item.limit,
        "source": item.source,
        "remedy": item.remedy,
        "waiver": None if item.waiver is None else waiver_data(item.waiver),
    }
