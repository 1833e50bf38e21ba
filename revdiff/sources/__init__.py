"""Where the bytes of a design come from: a git revision, the index, the work tree, a folder.

Nothing here knows a file format, and nothing read here runs a program that the repository names.
"""

from revdiff.sources.base import Blob, Identity, Revision
from revdiff.sources.open import open_revision, tags

__all__ = ["Blob", "Identity", "Revision", "open_revision", "tags"]
