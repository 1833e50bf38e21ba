"""Regular expressions that are compiled when they are first used.

A small comparison is mostly start-up, and most of the two hundred expressions of this program are for data that a
design doesn't hold.
"""

from __future__ import annotations

import re
from typing import Any, AnyStr, cast


class Waiting:
    """Stands for a compiled expression. What is asked of it once is an attribute of its own from then on."""

    def __init__(self, text: str | bytes, flags: int) -> None:
        self._wanted = (text, flags)

    def compiled(self) -> Any:
        """The expression itself."""
        text, flags = self._wanted
        return re.compile(text, flags)  # which keeps what it has compiled

    def __getattr__(self, name: str) -> Any:
        found = getattr(self.compiled(), name)
        setattr(self, name, found)
        return found


def pattern(text: AnyStr, flags: int = 0) -> re.Pattern[AnyStr]:
    """What ``re.compile`` gives, raising ``re.error`` where it is used first."""
    return cast("re.Pattern[AnyStr]", Waiting(text, flags))
