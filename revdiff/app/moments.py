"""The moment by which waivers lapse: never the clock's, so that the same input gives the same answer."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path

from revdiff.errors import RevdiffError
from revdiff.judge.waivers import TagMoment, moment_of
from revdiff.sources import Identity, open_revision


def moment_and_tags(
    identities: Iterable[Identity], repository: Path, today: date | None
) -> tuple[datetime | None, TagMoment]:
    """The end of ``today``, else the newest commit among what is judged; and how to find the moment of a tag.

    The work tree and the index are as old as the commit they start from. A folder has no date.
    """

    def commit_date(asked: str) -> str:
        try:
            return open_revision(asked, repository=repository).identity.date
        except RevdiffError:
            return ""

    def tag(name: str) -> datetime | None:
        return moment_of([commit_date(f"tag:{name}")])

    dates = [commit_date("HEAD") if item.kind in ("work tree", "index") else item.date for item in identities]
    return moment_of(dates, today), tag
