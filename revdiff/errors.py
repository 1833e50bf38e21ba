"""The errors a user can cause, each with the exit status it ends in.

Nothing else in the package prints or exits: a command lets these rise to the entry point, which shows
the message and leaves with the status.
"""

from __future__ import annotations


class RevdiffError(Exception):
    """Something the user can put right. The message says what was found, what was expected, what to do."""

    exit_status = 2


class UsageFault(RevdiffError):
    """The request itself can't be carried out: no such revision, no repository, contradicting options."""

    exit_status = 2


class DataFault(RevdiffError):
    """The design data can't be read: missing, too large, not the format it says, leading outside the design."""

    exit_status = 3
