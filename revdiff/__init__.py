"""revdiff: what changed between two revisions of a published board design, and what it breaks.

``open`` reads one revision and holds it against itself, ``compare`` two revisions; ``review`` is what both commands and
programs work with::

    import revdiff

    review = revdiff.compare("rev-c", "rev-d", repository=Path("demo"))
    for finding in review.findings:
        print(finding.pairing, finding.subject, finding.message)
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import revdiff.compare  # noqa: F401  now: else the folder of this name takes the place of the function later
from revdiff.version import __version__

if TYPE_CHECKING:
    from revdiff.judge import ChangeVerdict
    from revdiff.release.review import Look, Review

__all__ = ["__version__", "compare", "open", "review"]


def open(revision: str | None = None, *, repository: Path = Path(), design: str = "") -> Look:
    """One revision by itself: its design, its contradictions, and the verdict of its own boards and firmware.

    ``revision``: a tag, branch, commit, ``worktree``, ``index`` or a folder; without one, the work tree, or the folder.
    ``design``: the folder of the design inside the repository. Raises UsageFault for a revision that can't be opened,
    FaultyDesign with all faults where it can't be read at all.
    """
    from revdiff.app.review import look_at_revision

    return look_at_revision(revision, repository=repository, design=design)


def compare(
    old: str,
    new: str,
    *,
    repository: Path = Path(),
    design: str = "",
    manifest: str = "",
    strict_names: bool = False,
) -> Review:
    """Two revisions compared and judged: ``changes``, ``findings``, ``verdict`` with its causes, ``not_checked``.

    ``manifest``: a file, or REV:FILE, that both are read by; without it, one that has none is lent one. Raises as
    ``open`` does, with the faults of both revisions.
    """
    from revdiff.app.review import review_revisions

    return review_revisions(
        old, new, repository=repository, design=design, manifest=manifest, strict_names=strict_names
    )


def review(old: Look, new: Look) -> ChangeVerdict:
    """What the change from one opened revision to another breaks; neither is read again."""
    from revdiff.compare.comparison import compare_designs
    from revdiff.judge import judge_change

    names = [old.identity.name, new.identity.name]
    if names[0] == names[1]:
        names = [f"{name} ({which})" for name, which in zip(names, ("old", "new"), strict=True)]
    return judge_change(compare_designs(old.design, new.design), *names)
