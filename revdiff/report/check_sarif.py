"""The result of a check as SARIF (OASIS Standard, Static Analysis Results Interchange Format Version 2.1.0)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final
from urllib.parse import quote

from revdiff.design import Origin
from revdiff.judge.engine import SEVERITY_OF
from revdiff.judge.registry import ALL
from revdiff.judge.settings import CODES
from revdiff.readers.entries import MANIFEST
from revdiff.release.check import Check, ToldFinding
from revdiff.report.check_text import group_of, setting_line
from revdiff.report.data import json_text
from revdiff.report.drift import drift_line
from revdiff.report.visible import visible
from revdiff.version import __version__

# Section 3.27.10: level.
_LEVELS: Final = {"break": "error", "caution": "warning", "info": "note", "fault": "error", "notice": "note"}
_DRIFT = "documents-contradict"
_FAULT = "data-fault"


def check_sarif(check: Check) -> str:
    """The log with one run; files are named from the root of the repository on."""
    results = [*_results(check)]
    used = {str(item["ruleId"]) for item in results}
    rules = [rule for rule in _rules() if rule["id"] in used]
    index = {rule["id"]: number for number, rule in enumerate(rules)}
    for item in results:
        item["ruleIndex"] = index[item["ruleId"]]
    run = {
        "tool": {"driver": {"name": "revdiff", "version": __version__, "rules": rules}},
        "columnKind": "unicodeCodePoints",
        "invocations": [
            {
                "executionSuccessful": not check.faulty,
                "toolExecutionNotifications": [
                    {
                        "level": "note",
                        "message": _message(f"not checked: {item.what}: {item.why}; needs {item.needs}"),
                    }
                    for item in check.not_checked
                ],
            }
        ],
        "results": results,
    }
    return json_text({"version": "2.1.0", "runs": [run]})


def _rules() -> Iterator[dict[str, Any]]:
    for rule in ALL:
        yield {
            **_rule(rule.name, rule.title, SEVERITY_OF[rule.danger]),
            "fullDescription": {"text": _plain(rule.why)},
            "help": {"text": _plain(f"{rule.how} {rule.remedy}")},
        }
    for code, (severity, meaning) in CODES.items():
        yield _rule(code, meaning, severity)
    yield _rule(_DRIFT, "two documents of one revision contradict each other", "caution")
    yield _rule(_FAULT, "the data of a revision have a fault", "fault")


def _rule(name: str, title: str, severity: str) -> dict[str, Any]:
    return {
        "id": name,
        "shortDescription": {"text": _plain(title)},
        "defaultConfiguration": {"level": _LEVELS[severity]},
    }


def _results(check: Check) -> Iterator[dict[str, Any]]:
    places = _Places(check)
    for setting in check.settings:
        said = f"{setting.meaning}: {setting_line(setting)}"
        yield _result(setting.code, setting.severity, said, setting.id, places.of(setting.origin_after))
    for told in check.findings:
        yield _finding(told, places)
    for drift in check.brought:
        result = _result(_DRIFT, "caution", drift_line(drift), drift.id, places.of(drift.here))
        if drift.there is not None:
            result["relatedLocations"] = [{"id": 1, **places.of(drift.there)}]
        yield result
    for fault in check.diagnostics:
        if fault.severity == "fault":
            of_change = fault.revision == check.change.name
            key = f"{fault.code}/{fault.revision}/{fault.origin}"
            place = places.of(fault.origin if of_change else None)
            yield _result(_FAULT, "fault", f"{fault.revision}: {fault}", key, place)


def _finding(told: ToldFinding, places: _Places) -> dict[str, Any]:
    finding = told.finding
    hazard = "hazard: " if finding.hazard else ""
    said = f"{group_of(told)}: {hazard}{finding.subject}: {finding.message} ({finding.worked})"
    if finding.remedy:
        said += f". {finding.remedy}"
    if finding.origin_after is None and finding.origin_before is not None:
        said += f" (in the base: {finding.origin_before})"
    result = _result(finding.rule, finding.severity, said, finding.id, places.of(finding.origin_after))
    result["baselineState"] = "unchanged" if told.standing else "new"
    if finding.waiver is not None:
        said = f"{finding.waiver.who}: {finding.waiver.reason}"
        result["suppressions"] = [{"kind": "external", "status": "accepted", "justification": _plain(said)}]
    return result


def _result(rule: str, severity: str, said: str, key: str, place: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "ruleId": rule,
        "level": _LEVELS[severity],
        "message": _message(said),
        "locations": [place],
        "partialFingerprints": {"finding/v1": visible(key)},
    }


class _Places:
    def __init__(self, check: Check) -> None:
        self._spans = check.spans
        folder = check.folder.strip("/")
        self._folder = f"{folder}/" if folder else ""

    def of(self, origin: Origin | None) -> dict[str, Any]:
        """A location in the change; the manifest where what is told has no place there."""
        if origin is None:
            origin = Origin(MANIFEST, 1)
        file, _, sheet = origin.file.partition("#")
        physical: dict[str, Any] = {"artifactLocation": {"uri": quote(self._folder + file, safe="/")}}
        if sheet:  # a workbook has no lines of text
            cell = f", cell {origin.column}" if origin.column else ""
            name = visible(f"{sheet}, row {origin.line}{cell}")
            return {"physicalLocation": physical, "logicalLocations": [{"name": name}]}
        region = {"startLine": max(origin.line, 1)}
        if span := self._spans.get((origin.file, origin.line, origin.column)):
            region |= {"startColumn": span[0], "endColumn": span[1]}
        return {"physicalLocation": {**physical, "region": region}}


def _message(text: str) -> dict[str, str]:
    return {"text": _plain(text)}


def _plain(text: str) -> str:
    """Text of a message: braces would be placeholders (section 3.11.5), ``](`` the middle of a link (3.11.6)."""
    return visible(text).replace("{", "{{").replace("}", "}}").replace("](", "] (")
