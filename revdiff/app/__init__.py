"""The whole line from bytes to a result: this folder alone opens, loads, compares and judges; all else calls it."""

from revdiff.app.check import check_change
from revdiff.app.review import look_at_revision, review_revisions

__all__ = ["check_change", "look_at_revision", "review_revisions"]
