"""The forms of a check's result: all say the same, each holds to its standard, none can be forged."""

from __future__ import annotations

import io
import json
import re
import xml.etree.ElementTree as Tree
from pathlib import Path

import pytest
from junitparser import Error, Failure, JUnitXml, Skipped
from markdown_it import MarkdownIt
from msgspec.structs import replace
from pydantic_sarif.model import StaticAnalysisResultsFormatSarifVersion210JsonSchema as SarifLog
from rich.console import Console

from revdiff.app.check import check_change
from revdiff.design import Origin
from revdiff.readers.spans import cell_spans
from revdiff.release.check import Check
from revdiff.report.check_junit import check_junit
from revdiff.report.check_markdown import LEAST, check_markdown
from revdiff.report.check_page import check_page, closing
from revdiff.report.check_sarif import check_sarif
from revdiff.report.document_terminal import print_document
from tests.cli.test_compare import write
from tests.report.test_log_commands import NEW, OLD, obeyed
from tests.support import SMALL, MemoryRevision, edit

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def demo_check(demo: Path) -> Check:
    return check_change("rev-b", "rev-c", repository=demo)


def of_folders(folder: Path, old: dict[str, str], new: dict[str, str]) -> Check:
    write(folder / "old", dict(old))
    write(folder / "new", dict(new))
    return check_change(f"folder:{folder / 'old'}", f"folder:{folder / 'new'}", repository=folder)


@pytest.fixture(scope="module")
def hostile_check(tmp_path_factory: pytest.TempPathFactory) -> Check:
    return of_folders(tmp_path_factory.mktemp("check"), OLD, NEW)


def results(check: Check) -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads(check_sarif(check))["runs"][0]["results"]
    return found


# Markdown


@pytest.mark.parametrize("detail", [False, True])
@pytest.mark.parametrize("limit", [LEAST, 2_000, 5_000, 20_000, 40_000, 60_000])
def test_markdown_holds_its_limit_and_counts_what_it_leaves_out(demo_check: Check, limit: int, detail: bool) -> None:
    page = check_markdown(demo_check, limit, detail=detail)
    assert len(page.encode()) <= limit
    assert "89 breaks" in page
    cut = sum(int(number) for number in re.findall(r": (\d+) of \d+ left out$", page, re.MULTILINE))
    bullets = len(re.findall(r"^ *- ", page, re.MULTILINE)) - page.count("left out\n")
    whole = check_markdown(demo_check, 10_000_000, detail=detail)
    assert "left out" not in whole
    if limit > 2_000:
        assert cut + bullets == len(re.findall(r"^ *- ", whole, re.MULTILINE))


def test_markdown_has_little_room_left_where_it_cuts(demo_check: Check) -> None:
    assert len(check_markdown(demo_check, 20_000, detail=True).encode()) > 17_000


def test_markdown_tells_the_demo_within_a_few_screens_cause_by_cause(demo_check: Check) -> None:
    page = check_markdown(demo_check)
    assert len(page.splitlines()) <= 80
    assert "## Cause by cause (32)" in page
    assert "- **1:** hazard: " in page


def test_hazards_are_among_what_is_left_where_room_is_wanting(demo_check: Check) -> None:
    page = check_markdown(demo_check, 6_000)
    assert "- **1:** hazard: " in page
    assert re.search(r"^- Cause by cause \(32\): \d+ of \d+ left out$", page, re.MULTILINE)
    assert "Cautions: Power a new combination" in page


def test_a_flood_of_other_files_does_not_push_out_a_break(tmp_path: Path) -> None:
    flood = {f"flood/{number:04}.csv": "Designator,Value\nR1,1k\n" for number in range(400)}
    new = {
        **edit(
            SMALL, ("blink.csv", "LED,1", "LED,2"), ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,12 V")
        ),
        **flood,
    }
    check = of_folders(tmp_path, dict(SMALL), new)
    assert len(check.settings) >= 400
    broken = [item for item in check.brings if item.finding.severity == "break"]
    assert broken
    page = check_markdown(check, 8_000)
    assert "+5V of base is 12 V" in page


def test_wide_characters_count_as_bytes(tmp_path: Path) -> None:
    new = edit(SMALL, *(("base/parts.csv", part, part + "欧姆" * 40) for part in ("10k", "4k7", "100n", "LED red")))
    check = of_folders(tmp_path, dict(SMALL), new)
    for limit in range(LEAST, 4_000, 171):
        assert len(check_markdown(check, limit).encode()) <= limit


def test_markdown_cannot_be_forged_and_is_not_obeyed(hostile_check: Check) -> None:
    page = check_markdown(hostile_check)
    assert not obeyed(page)
    kinds = {
        child.type for token in MarkdownIt("commonmark").enable("table").parse(page) for child in token.children or ()
    }
    assert kinds <= {"text", "text_special", "strong_open", "strong_close", "code_inline", "softbreak"}


# SARIF


@pytest.mark.parametrize("name", ["demo_check", "hostile_check"])
def test_sarif_is_as_the_standard_says(name: str, request: pytest.FixtureRequest) -> None:
    """OASIS SARIF 2.1.0, by models that pydantic-sarif (MIT) has generated from the standard's own schema."""
    page = check_sarif(request.getfixturevalue(name))
    SarifLog.model_validate_json(page)
    assert page.isascii()
    assert not obeyed(page)


@pytest.mark.parametrize(
    ("path", "value"),
    [(("version",), "2.0.0"), (("runs", 0, "results", 0, "level"), "break"), (("runs", 0, "score"), 1)],
)
def test_the_model_of_the_standard_refuses_what_is_wrong(
    demo_check: Check, path: tuple[object, ...], value: object
) -> None:
    data = json.loads(check_sarif(demo_check))
    place = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(ValueError, match="validation error"):
        SarifLog.model_validate_json(json.dumps(data))


def test_sarif_holds_every_finding_setting_contradiction_and_fault(demo_check: Check) -> None:
    check = demo_check
    faults = [item for item in check.diagnostics if item.severity == "fault"]
    found = results(check)
    assert len(found) == len(check.findings) + len(check.settings) + len(check.brought) + len(faults)
    assert sum(1 for item in found if item["level"] == "error") >= 77
    run = json.loads(check_sarif(check))["runs"][0]
    rules = run["tool"]["driver"]["rules"]
    assert all(rules[item["ruleIndex"]]["id"] == item["ruleId"] for item in found)
    assert len(run["invocations"][0]["toolExecutionNotifications"]) == len(check.not_checked)


def test_sarif_names_file_line_and_characters_in_the_change(tmp_path: Path) -> None:
    new = edit(SMALL, ("base/contacts.csv", "J1,1,+5V,supply,5 V", 'J1, 1 ,"+5V",supply,  12 V '))
    check = of_folders(tmp_path, dict(SMALL), new)
    texts = {name: text.splitlines() for name, text in new.items()}
    pointed = set()
    for item in results(check):
        place = item["locations"][0]["physicalLocation"]  # type: ignore[index]
        region = place["region"]
        if "startColumn" in region:
            line = texts[place["artifactLocation"]["uri"]][region["startLine"] - 1]
            pointed.add(line[region["startColumn"] - 1 : region["endColumn"] - 1])
    assert pointed == {"12 V"}  # the level that changed


SPANS = [
    ("a.csv", "A,B,C\n1, 2 ,3\n", 2, 2, "2"),
    ("a.csv", 'A;B\n"x;""y";z\n', 2, 1, '"x;""y"'),
    ("a.csv", 'A;B\n"x;""y";z\n', 2, 2, "z"),
    ("a.tsv", "A\tB\r\n\tµ2\r\n", 2, 2, "µ2"),
    ("a.tsv", "A\tB\r\n\tµ2\r\n", 2, 1, ""),
    ("a.md", "| A | B |\n| --- | --- |\n| x\\|y | z |\n", 3, 2, "z"),
    ("a.md", "| A | B |\n| --- | --- |\n| x\\|y | z |\n", 3, 1, "x\\|y"),
]


@pytest.mark.parametrize(("file", "text", "line", "column", "cell"), SPANS)
def test_the_characters_of_a_cell(file: str, text: str, line: int, column: int, cell: str) -> None:
    spans = cell_spans(MemoryRevision({file: text}), [Origin(file, line, column)])
    start, end = spans[file, line, column]
    assert text.replace("\r", "").split("\n")[line - 1][start - 1 : end - 1] == cell


@pytest.mark.parametrize(
    ("file", "line", "column"),
    [("a.csv", 2, 9), ("a.csv", 9, 1), ("b.csv", 1, 1), ("a.csv", 1, 0), ("a.xlsx#Parts", 1, 1)],
)
def test_a_cell_that_is_not_found_has_no_characters(file: str, line: int, column: int) -> None:
    assert cell_spans(MemoryRevision({"a.csv": "A,B\n1,2\n", "a.xlsx": "A,B"}), [Origin(file, line, column)]) == {}


def test_sarif_names_files_from_the_root_of_the_repository(demo: Path) -> None:
    check = replace(check_change("rev-b", "rev-c", repository=demo), folder="hard ware")
    uris = {item["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for item in results(check)}  # type: ignore[index]
    assert all(uri.startswith("hard%20ware/") for uri in uris)


def test_a_message_holds_no_link_and_no_placeholder(tmp_path: Path) -> None:
    new = edit(SMALL, ("base/parts.csv", "LED red", "[x](https://example.org) {0}"), ("base/parts.csv", "D1,1", "D1,3"))
    page = check_sarif(of_folders(tmp_path, dict(SMALL), new))
    assert "](" not in page
    assert "{0}" not in page.replace("{{0}}", "")


# JUnit XML


@pytest.mark.parametrize(("fail_on", "failing"), [("never", 0), ("break", 82), ("caution", 118)])
def test_junit_fails_for_what_ends_the_run_with_status_1(demo_check: Check, fail_on: str, failing: int) -> None:
    """Read by a library of its own (junitparser, Apache-2.0)."""
    xml = JUnitXml.fromstring(check_junit(demo_check, fail_on).encode())
    cases = [case for suite in xml for case in suite]
    failed = [case for case in cases if any(isinstance(item, Failure) for item in case.result)]
    assert len(failed) == xml.failures
    assert bool(failed) == demo_check.fails(fail_on)
    loud = {"never": (), "break": ("break",), "caution": ("break", "caution")}[fail_on]
    told = [item.severity for item in demo_check.settings] + [item.finding.severity for item in demo_check.brings]
    assert len(failed) == sum(severity in loud for severity in told) + bool(failed)
    assert abs(len(failed) - failing) <= len(demo_check.settings)


def test_junit_counts_and_skips_what_was_not_checked(demo_check: Check) -> None:
    xml = JUnitXml.fromstring(check_junit(demo_check, "break").encode())
    cases = [case for suite in xml for case in suite]
    assert xml.tests == len(cases)
    skipped = [case for case in cases if any(isinstance(item, Skipped) for item in case.result)]
    assert len(skipped) == xml.skipped == len(demo_check.not_checked)


def test_junit_tells_faults_as_errors_and_cannot_be_forged(hostile_check: Check) -> None:
    page = check_junit(hostile_check, "break")
    assert not obeyed(page)
    Tree.fromstring(page)
    xml = JUnitXml.fromstring(page.encode())
    faults = [item for item in hostile_check.diagnostics if item.severity == "fault"]
    assert faults
    assert xml.errors == len(faults)
    assert any(isinstance(item, Error) for suite in xml for case in suite for item in case.result)


# Terminal


@pytest.mark.parametrize("width", [80, 120])
def test_the_terminal_has_no_wider_line_and_is_not_obeyed(demo_check: Check, hostile_check: Check, width: int) -> None:
    for check in (demo_check, hostile_check):
        page = io.StringIO()
        print_document(
            (*check_page(check), *closing(check)),
            Console(file=page, width=width, no_color=True, highlight=False, emoji=False),
        )
        assert max(map(len, page.getvalue().splitlines())) <= width
        assert not obeyed(page.getvalue())


def test_cautions_stand_at_the_end_and_are_no_further_findings(demo_check: Check) -> None:
    page = check_markdown(demo_check, 10_000_000)
    assert "\n\nCautions: Power a new combination" in page
