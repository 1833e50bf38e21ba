"""Every rule: listed, documented, fires on its case, stays silent on its near miss and on equal revisions."""

from __future__ import annotations

import re

import pytest

from revdiff.quantities.designator import natural_key
from revdiff.rules.registry import ALL, rule_named
from tests.rules.cases import CASES
from tests.rules.firmware_cases import FIRMWARE_OTHERS
from tests.rules.stack_cases import STACK_BESIDE, STACK_OTHERS
from tests.support import SMALL, judged

NAMES = [rule.name for rule in ALL]


def said(name: str, files_old: object, files_new: object) -> list[tuple[str, str]]:
    """(pairing, subject) of every finding of a rule, in natural order of the subject."""
    judgement = judged(files_old, files_new)  # type: ignore[arg-type]
    found = [(item.pairing, item.subject) for item in judgement.findings if item.rule == name]
    return sorted(found, key=lambda pair: natural_key(pair[1]))


def test_the_registry_is_sorted_and_its_names_are_kebab_case_and_unique() -> None:
    assert sorted(set(NAMES)) == NAMES
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)+", name) for name in NAMES)


def test_every_rule_has_a_case_and_every_case_a_rule() -> None:
    assert sorted(CASES) == NAMES


@pytest.mark.parametrize("rule", ALL, ids=NAMES)
def test_every_rule_explains_itself(rule: object) -> None:
    for field in ("title", "why", "how", "remedy", "witness", "source"):
        text = getattr(rule, field)
        assert len(text) > 10, field
        assert text == text.strip()


@pytest.mark.parametrize("name", NAMES)
def test_a_rule_fires_on_its_case(name: str) -> None:
    case = CASES[name]
    assert said(name, case.old, case.fired) == list(case.says)


@pytest.mark.parametrize("name", NAMES)
def test_a_rule_is_silent_on_its_near_miss(name: str) -> None:
    case = CASES[name]
    assert case.missed != case.old
    assert said(name, case.old, case.missed) == []


def test_no_rule_fires_on_equal_revisions() -> None:
    for case in CASES.values():
        assert judged(case.fired, case.fired).findings == ()
    assert judged(SMALL, SMALL).findings == ()


def test_every_finding_carries_what_a_reader_needs() -> None:
    for case in CASES.values():
        for item in judged(case.old, case.fired).findings:
            rule = rule_named(item.rule)
            assert rule is not None
            assert (item.severity, item.audience, item.step) == (rule.severity, rule.audience, rule.step)
            assert item.pairing.count(" + ") == 1
            assert item.arithmetic
            assert item.limit
            assert item.source
            assert item.remedy
            assert item.origin_before or item.origin_after


def test_findings_name_the_changes_behind_them() -> None:
    for name, case in CASES.items():
        findings = [item for item in judged(case.old, case.fired).findings if item.rule == name]
        assert findings
        assert all(item.changes for item in findings), name


def test_finding_ids_are_unique_and_the_same_in_every_run() -> None:
    for case in CASES.values():
        first = [item.id for item in judged(case.old, case.fired).findings]
        assert len(set(first)) == len(first)
        assert first == [item.id for item in judged(case.old, case.fired).findings]


def test_each_rule_on_each_case_gives_the_recorded_result() -> None:
    """Which other rules speak up on a case: a rule that starts to fire elsewhere shows here."""
    others = {
        name: sorted({item.rule for item in judged(case.old, case.fired).findings} - {name})
        for name, case in CASES.items()
    }
    assert others == {name: sorted({*rules, *STACK_BESIDE.get(name, ())}) for name, rules in OTHERS.items()}


LABEL = "release-same-label"
OTHERS: dict[str, list[str]] = {
    "joint-connector-gender": [LABEL],
    "joint-contact-count": [LABEL],
    "joint-pitch": [LABEL],
    "joint-removed": [],
    "joint-renamed-one-side": ["firmware-signal-renamed"],
    "joint-signal-clash": ["firmware-active-level", "firmware-direction", "firmware-output-contention", LABEL],
    "joint-signal-lost": [LABEL],
    "joint-signal-moved": [LABEL],
    "joint-supply-clash": [LABEL],
    "joint-supply-voltage": [LABEL],
    **FIRMWARE_OTHERS,
    **STACK_OTHERS,
    "firmware-active-level": [LABEL],
    "firmware-analog-channel": [LABEL],
    "firmware-direction": ["firmware-output-contention", LABEL],
    "firmware-function": [LABEL],
    "firmware-level": [LABEL],
    "firmware-pin-moved": [LABEL],
    "firmware-pull": [LABEL],
    "firmware-signal-lost": [LABEL],
    "firmware-signal-renamed": [],
    "part-designator-reused": [],
    "part-life-ending": [],
    "part-rating-reduced": [],
    "part-number-kept": [],
    "part-value-magnitude": ["part-number-kept"],
    "release-same-label": [],
}
