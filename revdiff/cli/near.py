"""What somebody may have meant who typed no command that there is."""

from __future__ import annotations

import difflib
import shlex
from collections.abc import Sequence

from revdiff.cli.overview import COMMANDS

# Words of the trade for what a command does (common practice, no source).
_ALIKE = {
    "changelog": "notes",
    "changes": "compare",
    "diff": "compare",
    "difference": "compare",
    "help": "",
    "lint": "ready",
    "pinmap": "pins",
    "pinout": "pins",
    "release": "notes",
    "rules": "explain",
    "start": "init",
    "setup": "init",
    "validate": "ready",
    "verify": "check",
}


def meant(words: Sequence[str]) -> str:
    """A sentence with the nearest command; two words that are none at all may be the revisions to compare."""
    word, rest = words[0].casefold(), list(words[1:])
    near = difflib.get_close_matches(word, [*COMMANDS, *_ALIKE], 1, 0.7)
    command = _ALIKE.get(near[0], near[0]) if near else ""
    if command:
        return f"Near it: {shlex.join(['revdiff', command, *rest])}"
    if not near and len(rest) == 1 and not rest[0].startswith("-"):
        return f"To compare two revisions: {shlex.join(['revdiff', 'compare', *words])}"
    return "revdiff --help lists all."
