"""The pin notice for terminals, merge requests and programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from revdiff.judge.finding import Finding
from revdiff.judge.waivers import waiver_lines
from revdiff.release.markdown import escape, table
from revdiff.release.pin_notice import ControllerNotice, PinNotice
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.document import waiver_data, waivers_data
from revdiff.report.page import wrapped
from revdiff.sources import Identity

CAUTION = (
    "Run firmware on a board that it was not built for only from a current-limited supply, with loads disconnected, "
    "and never unattended."
)


def to_text(notice: PinNotice, width: int = 100) -> str:
    """Plain text at a width; ends with a line end."""
    lines: list[str] = []

    def put(text: str, indent: int = 0, hang: int = 2) -> None:
        lines.extend(wrapped(text, width, indent, hang))

    put(f"{notice.title}: pins, {notice.old.name} → {notice.new.name}")
    put("")
    put(f"Hazards ({len(notice.hazards)})")
    for item in notice.hazards:
        put(f"{item.pairing}: {item.told} ({item.worked})", 2)
    put(CAUTION if notice.hazards else notice.clear, 2, 0)
    for title, findings in (("Breaks", notice.breaks), ("Take care", notice.cautions)):
        if findings:
            put("")
            put(f"{title} ({len(findings)})")
            for item in findings:
                put(f"{item.pairing}: {item.subject}: {item.told} ({item.arithmetic})", 2)
    for controller in notice.controllers:
        put("")
        put(_heading(controller))
        peripheral = ""
        for line in controller.lines:
            if line.peripheral != peripheral:
                peripheral = line.peripheral
                put(peripheral, 2)
            put(f"{line.signal}: {', '.join(line.what)}: {line.before or '–'} → {line.after or '–'}", 4)
            put(f"{line.todo}", 6)
        put(_stays(controller), 2)
    if notice.not_checked:
        put("")
        put(f"Not checked ({len(notice.not_checked)})")
        for entry in notice.not_checked:
            put(f"{entry.what}: {entry.why}; needs {entry.needs}", 2)
    if notice.waivers:
        put("")
        put(f"Waivers ({len(notice.waivers)})")
        for text in waiver_lines(notice.waivers):
            put(text, 2)
    return "\n".join(lines) + "\n"


def _heading(controller: ControllerNotice) -> str:
    count = len(controller.lines)
    if not count:
        return f"{controller.name}: no pin changed"
    return f"{controller.name}: {count} signal{'s' if count > 1 else ''} to look at"


def _stays(controller: ControllerNotice) -> str:
    if not controller.stays:
        return "Nothing stays as it was."
    parts = [f"{name}: {', '.join(signals)}" for name, signals in controller.stays.items()]
    return f"Stays as it was: {'; '.join(parts)}."


def to_markdown(notice: PinNotice) -> str:
    """The notice in Markdown; ends with a line end."""
    return "\n".join(_markdown(notice)).rstrip("\n") + "\n"


def _markdown(notice: PinNotice) -> Iterator[str]:
    yield f"# {escape(notice.title)}: pins, {escape(notice.old.name)} to {escape(notice.new.name)}"
    yield ""
    yield f"## Hazards ({len(notice.hazards)})"
    yield ""
    if notice.hazards:
        yield from _findings(notice.hazards)
        yield ""
    yield CAUTION if notice.hazards else escape(notice.clear)
    for title, findings in (("Breaks", notice.breaks), ("Take care", notice.cautions)):
        if findings:
            yield from ("", f"## {title} ({len(findings)})", "")
            yield from _findings(findings)
    for controller in notice.controllers:
        yield from ("", f"## {escape(_heading(controller))}", "")
        if controller.lines:
            yield from table(
                ["Peripheral", "Signal", "What", "Before", "Now", "To do"],
                [
                    [
                        escape(line.peripheral),
                        escape(line.signal),
                        escape(", ".join(line.what)),
                        escape(line.before) or "–",
                        escape(line.after) or "–",
                        escape(line.todo),
                    ]
                    for line in controller.lines
                ],
            )
            yield ""
        for name, signals in controller.stays.items():
            yield f"- Stays as it was, {escape(name)}: {escape(', '.join(signals))}"
    if notice.waivers:
        yield from ("", "## Waivers", "")
        yield from (f"- {escape(text)}" for text in waiver_lines(notice.waivers))
    if notice.not_checked:
        yield from ("", "## Not checked", "")
        for entry in notice.not_checked:
            yield f"- {escape(entry.what, start=True)}: {escape(entry.why)}. It would need {escape(entry.needs)}."


def _findings(findings: tuple[Finding, ...]) -> list[str]:
    return table(
        ["Combination", "Where", "What", "Worked out", "Rule"],
        [
            [
                escape(item.pairing),
                escape(item.subject),
                escape(item.told),
                escape(item.worked),
                item.rule,
            ]
            for item in findings
        ],
    )


def to_json(notice: PinNotice) -> str:
    """The notice as data: the same notice, the same bytes."""
    document: dict[str, Any] = {
        "schema_version": SCHEMA_VERSION,
        "title": notice.title,
        "old": _identity(notice.old),
        "new": _identity(notice.new),
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
        "subject": item.subject,
        "message": item.message,
        "arithmetic": item.arithmetic,
        "limit": item.limit,
        "source": item.source,
        "remedy": item.remedy,
        "waiver": None if item.waiver is None else waiver_data(item.waiver),
    }
