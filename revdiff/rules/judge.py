"""A comparison to its findings, and to the list of what could not be checked."""

from __future__ import annotations

from dataclasses import dataclass

from revdiff.compare.comparison import Comparison
from revdiff.quantities.designator import natural_key
from revdiff.rules.finding import SEVERITIES, Finding, NotChecked
from revdiff.rules.firmware_exposure import by_exposure
from revdiff.rules.missing import missing_checks
from revdiff.rules.registry import ALL
from revdiff.rules.situation import Situation


@dataclass(frozen=True, slots=True)
class Judgement:
    """The findings, the loudest first, and the checks that could not be made."""

    findings: tuple[Finding, ...]
    not_checked: tuple[NotChecked, ...]


def judge(comparison: Comparison, old_name: str, new_name: str) -> Judgement:
    """Runs every rule. The names are what the user calls the two revisions."""
    situation = Situation(comparison, old_name, new_name)
    found = {finding.id: finding for rule in ALL for finding in rule.check(rule, situation)}
    findings = sorted(
        by_exposure(found.values(), situation),
        key=lambda item: (
            SEVERITIES.index(item.severity),
            not item.hazard,
            item.rule,
            item.pairing,
            natural_key(item.subject),
        ),
    )
    return Judgement(tuple(findings), tuple(missing_checks(situation)))
