"""Where the bytes of a design come from: a git revision, the index, the work tree, a folder.

Nothing here knows a file format, and nothing read here runs a program that the repository names.
"""

from revdiff.sources.base import Blob, Identity, Revision, Source
from revdiff.sources.change import (
    ChangedPath,
    Message,
    Submission,
    changed_paths,
    default_base,
    open_submission,
    tag_before,
)
from revdiff.sources.open import open_revision, tags

__all__ = [
    "Blob",
    "ChangedPath",
    "Identity",
    "Message",
    "Revision",
    "Source",
    "Submission",
    "changed_paths",
    "default_base",
    "open_revision",
    "open_submission",
    "tag_before",
    "tags",
]
