"""revdiff: what changed between two revisions of a published board design, and what it breaks."""

__version__ = "0.1.0"
