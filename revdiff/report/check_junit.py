"""The result of a check as JUnit XML (a form in wide use, without a published standard: common practice, no source).

One test case for the whole check, and one for each thing it tells: a failure where it ends the run with status 1, an
error for a fault in the data, skipped where a check could not be made.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal
from xml.sax.saxutils import quoteattr

from msgspec import Struct

from revdiff.judge.finding import SEVERITIES
from revdiff.release.check import Check
from revdiff.report.check_text import group_of, setting_line, summary
from revdiff.report.drift import drift_line
from revdiff.report.visible import visible

_Outcome = Literal["", "failure", "error", "skipped"]


class _Case(Struct, frozen=True):
    """``said`` is one line; ``outcome`` is empty for a case that passes."""

    group: str
    name: str
    outcome: _Outcome
    said: str


def check_junit(check: Check, fail_on: str) -> str:
    """The document; ends with a line end. ``fail_on``: as the option of ``revdiff check``."""
    cases = [*_cases(check, fail_on)]
    counts = {name: sum(1 for case in cases if case.outcome == name) for name in ("failure", "error", "skipped")}
    numbers = (
        f'tests="{len(cases)}" failures="{counts["failure"]}" errors="{counts["error"]}" skipped="{counts["skipped"]}"'
    )
    title = _attribute(f"revdiff check of {check.change.name} against {check.base.name}")
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f"<testsuites {numbers}>"]
    lines += [f"  <testsuite name={title} {numbers}>", *map(_element, cases), "  </testsuite>", "</testsuites>"]
    return "\n".join(lines) + "\n"


def _cases(check: Check, fail_on: str) -> Iterator[_Case]:
    failed: _Outcome = "failure" if check.fails(fail_on) else ""
    yield _Case("check", "the whole change", failed, summary(check))
    loud = SEVERITIES[: SEVERITIES.index(fail_on) + 1] if fail_on in SEVERITIES else ("break",)
    doubtful = fail_on not in ("never", "break")
    if fail_on == "never":
        loud = ()
    for item in check.settings:
        fails = item.severity in loud or fail_on == "settings"
        said = f"{item.meaning}: {setting_line(item)}"
        yield _Case(f"settings.{item.code}", item.subject, "failure" if fails else "", said)
    for told in check.findings:
        finding = told.finding
        counts = finding.severity in loud or (finding.doubt and doubtful)
        fails = counts and finding.waiver is None and not told.standing
        hazard = "hazard: " if finding.hazard else ""
        text = f"{hazard}{finding.told} ({finding.worked})"
        standing = "; the base had it already" if told.standing else ""
        yield _Case(
            f"findings.{finding.rule}",
            f"{group_of(told)}: {finding.subject}",
            "failure" if fails else "",
            f"{finding.severity}: {text}{standing}",
        )
    for drift in check.brought:
        outcome: _Outcome = "failure" if fail_on == "contradiction" else ""
        yield _Case(f"contradictions.{drift.code}", f"{drift.board} {drift.subject}", outcome, drift_line(drift))
    for change in check.unmentioned if fail_on == "unmentioned" else ():
        yield _Case("changes.unmentioned", change.change.id, "failure", "no commit message names it")
    for fault in check.diagnostics:
        if fault.severity == "fault":
            yield _Case(f"data.{fault.code}", f"{fault.revision} {fault.origin}", "error", str(fault))
    for missing in check.not_checked:
        yield _Case("not checked", missing.what, "skipped", f"{missing.why}; needs {missing.needs}")


def _element(case: _Case) -> str:
    opened = f"    <testcase classname={_attribute(f'revdiff.{case.group}')} name={_attribute(case.name)}>"
    said = _attribute(case.said)
    if case.outcome == "skipped":
        inner = f"<skipped message={said}/>"
    elif case.outcome:
        inner = f"<{case.outcome} type={_attribute(case.group)} message={said}/>"
    else:
        inner = f"<system-out>{_text(case.said)}</system-out>"
    return f"{opened}{inner}</testcase>"


def _attribute(text: str) -> str:
    return quoteattr(visible(text))


def _text(text: str) -> str:
    return visible(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
