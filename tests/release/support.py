"""The release notes as the text of a fresh draft."""

from __future__ import annotations

from revdiff.release.notes import release_notes
from revdiff.release.review import Review
from revdiff.report.draft import draft


def notes_text(review: Review) -> str:
    return draft(release_notes(review)).text
