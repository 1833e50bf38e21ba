"""The result of a check as plain data, as ``revdiff schema check`` describes it."""

from __future__ import annotations

from typing import Any

from revdiff.judge.settings import SettingChange
from revdiff.release.check import Check, ToldFinding
from revdiff.report.data import SCHEMA_VERSION, json_text
from revdiff.report.document import change_data, diagnostic_data, finding_data, place_data, waivers_data
from revdiff.report.drift import drift_data
from revdiff.sources import Identity


def check_json(check: Check) -> str:
    """The document as text."""
    return json_text(check_data(check))


def check_data(check: Check) -> dict[str, Any]:
    """The document; every list is in the order in which it is to be told."""
    return {
        "schema_version": SCHEMA_VERSION,
        "title": check.title,
        "base": _identity(check.base),
        "tip": _identity(check.tip),
        "change": _identity(check.change),
        "chosen": check.chosen,
        "date": check.date,
        "held": [
            {**_identity(item.identity), "boards": list(item.boards), "also": list(item.also)} for item in check.held
        ],
        "settings": [_setting(item) for item in check.settings],
        "findings": [_finding(item) for item in check.findings],
        "contradictions_brought": [drift_data(item) for item in check.brought],
        "contradictions_cured": [drift_data(item) for item in check.cured],
        "changes": [
            {**change_data(item.change), "readings": list(item.readings), "mention": item.mention}
            for item in check.changes
        ],
        "not_checked": [{"what": item.what, "why": item.why, "needs": item.needs} for item in check.not_checked],
        "diagnostics": [diagnostic_data(item) for item in check.diagnostics],
        "waivers": waivers_data(check.waivers),
        "commits": [{"id": item.commit, "message": item.text} for item in check.commits],
    }


def _identity(identity: Identity) -> dict[str, str]:
    return {
        "asked": identity.asked,
        "kind": identity.kind,
        "name": identity.name,
        "commit": identity.commit,
        "date": identity.date,
    }


def _setting(item: SettingChange) -> dict[str, Any]:
    return {
        "id": item.id,
        "code": item.code,
        "severity": item.severity,
        "meaning": item.meaning,
        "subject": item.subject,
        "before": item.before,
        "after": item.after,
        "origin_before": place_data(item.origin_before),
        "origin_after": place_data(item.origin_after),
    }


def _finding(item: ToldFinding) -> dict[str, Any]:
    return {
        **finding_data(item.finding),
        "against": list(item.against),
        "readings": list(item.readings),
        "standing": item.standing,
    }
