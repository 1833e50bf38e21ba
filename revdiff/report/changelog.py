"""An entry put into a change log that is there, of which nothing else is touched."""

from __future__ import annotations

import re

from revdiff.errors import UsageFault
from revdiff.quantities.pattern import pattern
from revdiff.release.document import Section
from revdiff.report.markdown import to_markdown

_ENTRY = pattern(r"^## ", re.MULTILINE)
_UNRELEASED = pattern(r"^## \[?unreleased\b", re.MULTILINE | re.IGNORECASE)


def with_entry(text: str, entry: Section) -> str:
    """The change log with the entry above those that are there, below what is not released yet.

    Raises UsageFault where it has an entry of that name already.
    """
    page = to_markdown(entry.blocks)
    heading = page.partition("\n")[0]
    name = heading.removeprefix("## ").partition(" - ")[0]
    if re.search(rf"^## \[?{re.escape(name)}(?![\w.-])", text, re.MULTILINE):
        raise UsageFault(f"the change log has an entry for {name} already. Take it out, or change it by hand.")
    end = "\r\n" if "\r\n" in text else "\n"
    page = page.replace("\n", end)
    unreleased = _UNRELEASED.search(text)
    following = _ENTRY.search(text, unreleased.end() if unreleased else 0)
    if following:
        return f"{text[: following.start()]}{page}{end}{text[following.start() :]}"
    head = text if text.strip() else f"# Changelog{end}"
    return f"{head.rstrip()}{end}{end}{page}"
