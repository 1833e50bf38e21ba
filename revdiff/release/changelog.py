"""An entry for a change log, with the groups of Keep a Changelog 1.1.0: what came, what changed, what went."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.release.cause_text import ToldCause, everything_else, said_of, told_causes
from revdiff.release.document import Block, Heading, Items, Section
from revdiff.release.review import Review


def changelog_entry(review: Review) -> Section:
    """The entry of the new revision. What was fixed only a person knows, so that group is a person's to add."""
    day = f" - {review.new.date[:10]}" if review.new.date else ""
    return Section("entry", (Heading(f"{review.new.name}{day}", 2), *_groups(review)))


def _groups(review: Review) -> Iterator[Block]:
    causes = told_causes(review)
    rest = everything_else(review)
    for title, ending in (("Added", ".added"), ("Changed", ""), ("Removed", ".removed")):
        lines = [_line(item) for item in causes if _ending(item.cause.kind) == ending]
        others = [item for item in rest if _ending(item.kind) == ending]
        if others:
            lines.append(f"{said_of(others)}.")
        if lines:
            yield Heading(title, 3)
            yield Items(tuple(lines))


def _ending(kind: str) -> str:
    return next((item for item in (".added", ".removed") if kind.endswith(item)), "")


def _line(item: ToldCause) -> str:
    """Breaking changes say so: it is what a change log is read for."""
    title = item.title or f"{item.hits}: {item.findings[0].message}"
    return f"{title}; {item.cause.outcome}: {item.hits}." if item.word in ("hazard", "break") else f"{title}."
