"""Contradictions between the documents of one revision, as text and as data."""

from __future__ import annotations

from revdiff.judge.drift import Drift
from revdiff.release.review import Look
from revdiff.release.verdicts import counted
from revdiff.release.visible import visible
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.document import diagnostic_data, finding_data


def drift_text(look: Look) -> str:
    """Everything that stands in the way of releasing this revision, a line each."""
    name = look.identity.name
    said = f"{name} contradicts itself" if look.contradicts else name
    own = {"does not fit": "don't fit", "fits": "fit", "fits with care": "fit with care"}.get(look.answer, look.answer)
    lines = [
        f"{said}: {counted(len(look.drifts), 'contradiction')} between documents; its own boards and firmware: {own}"
    ]
    lines += [f"  {drift_line(item)}" for item in look.drifts]
    if look.findings:
        lines.append("Its own boards and firmware")
        for item in look.findings:
            hazard = "hazard: " if item.hazard else "" if item.severity == "break" else f"{item.severity}: "
            lines.append(f"  {item.subject}: {hazard}{item.message} ({item.worked}) [{item.rule}]")
    for severity in ("fault", "notice"):
        found = [item for item in look.design.diagnostics if item.severity == severity]
        if found:
            lines.append(f"{counted(len(found), severity)} in the data")
            lines += [f"  {item}" for item in found]
    missing = look.missing
    if missing:
        lines.append("Not compared")
        lines += [f"  {item}" for item in missing]
    unchecked = [one for verdict in look.verdicts for one in verdict.not_checked]
    if unchecked:
        lines.append("Not checked")
        lines += [f"  {one.what}: {one.why}; needs {one.needs}" for one in unchecked]
    if not look.drifts and not look.design.diagnostics:
        lines.append("Within what was compared, the documents agree.")
    return _page(lines)


def drift_json(look: Look) -> str:
    """The same as data: ``contradictions`` and ``diagnostics``."""
    data = {
        "schema_version": SCHEMA_VERSION,
        "revision": look.identity.name,
        "commit": look.identity.commit,
        "contradicts_itself": look.contradicts,
        "verdict": look.answer,
        "findings": [finding_data(item) for item in look.findings],
        "not_checked": [
            {"what": one.what, "why": one.why, "needs": one.needs}
            for verdict in look.verdicts
            for one in verdict.not_checked
        ],
        "contradictions": [drift_data(item) for item in look.drifts],
        "not_compared": list(look.missing),
        "diagnostics": [diagnostic_data(item) for item in look.design.diagnostics],
    }
    return json_text(data)


def drift_data(item: Drift) -> dict[str, str]:
    """One contradiction as plain data."""
    return {
        "id": item.id,
        "code": item.code,
        "board": item.board,
        "subject": item.subject,
        "message": item.message,
        "here": str(item.here),
        "there": "" if item.there is None else str(item.there),
    }


def _page(lines: list[str]) -> str:
    return "".join(("  " if line.startswith("  ") else "") + visible(line.strip()) + "\n" for line in lines)


def drift_line(item: Drift) -> str:
    """One contradiction with its places."""
    places = f"{item.here} and {item.there}" if item.there is not None else str(item.here)
    return f"{item.board} {item.subject}: {item.message} ({places}) [{item.code}]"
