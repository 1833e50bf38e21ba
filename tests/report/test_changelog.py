"""An entry put into a change log (headings and order of Keep a Changelog 1.1.0), of which nothing else is touched."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from revdiff.app.review import review_revisions
from revdiff.errors import UsageFault
from revdiff.release.changelog import changelog_entry
from revdiff.release.document import Heading, Items, Section
from revdiff.report.changelog import with_entry
from revdiff.report.markdown import to_markdown

ENTRY = Section("entry", (Heading("v2 - 2026-01-02"), Heading("Added", 3), Items(("a thing",))))
TEXT = "# Changelog\n\nWords.\n\n## [Unreleased]\n### Fixed\n- x\n\n## v1 - 2025-01-02\n### Added\n- y  \n"


def test_it_stands_below_what_is_not_released_and_above_the_others() -> None:
    found = with_entry(TEXT, ENTRY)
    assert re.findall(r"^## .*", found, re.MULTILINE) == ["## [Unreleased]", "## v2 - 2026-01-02", "## v1 - 2025-01-02"]


@pytest.mark.parametrize(
    "text", [TEXT, TEXT.replace("\n", "\r\n"), TEXT.replace("## [Unreleased]\n### Fixed\n- x\n\n", "")]
)
def test_nothing_else_is_touched(text: str) -> None:
    found = with_entry(text, ENTRY)
    end = "\r\n" if "\r\n" in text else "\n"
    page = to_markdown(ENTRY.blocks).replace("\n", end)
    assert found.replace(f"{page}{end}", "", 1) == text
    assert ("\r\n" in found) == ("\r\n" in text)


@pytest.mark.parametrize("text", ["", "# Changelog\n"])
def test_an_empty_log_gets_its_first_entry(text: str) -> None:
    assert with_entry(text, ENTRY).startswith("# Changelog\n\n## v2 - 2026-01-02\n")


@pytest.mark.parametrize("heading", ["## v2", "## [v2] - 2026-01-01", "## v2 - 2026-01-02 [YANKED]"])
def test_an_entry_that_is_there_is_not_made_twice(heading: str) -> None:
    with pytest.raises(UsageFault, match="has an entry for v2 already"):
        with_entry(f"# Changelog\n\n{heading}\n", ENTRY)


def test_an_entry_of_a_longer_name_is_another_one() -> None:
    assert "## v2.1" in with_entry("# Changelog\n\n## v2.1\n", ENTRY)


def test_the_entry_of_the_demo_has_the_groups_and_says_what_breaks(demo: Path) -> None:
    page = to_markdown(changelog_entry(review_revisions("rev-b", "rev-c", repository=demo)).blocks)
    assert page.startswith("## rev-c - 2025-11-28\n")
    assert re.findall(r"^### (.*)", page, re.MULTILINE) == ["Added", "Changed", "Removed"]
    assert "- VALVE2 ↔ VALVE5: signals trade pins; can hurt or destroy: irrigation." in page
    assert "joint removed; will not work" in page.partition("### Removed")[2]
