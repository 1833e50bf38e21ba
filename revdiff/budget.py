"""What one run may take: bytes, cells, records, designators, elements, and time.

A few bytes can stand for much work (ranges, archives, one table that is named many times), so that the size of a
file limits nothing. One budget is handed along a run; going beyond it ends the run in one fault, never in less than
the whole answer.
"""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from types import FrameType
from typing import Literal

from revdiff.errors import RevdiffError

What = Literal["bytes", "cells", "records", "designators", "elements"]

_AGAIN = 0.2  # seconds after which a stop that some library swallowed is asked for again
_REMEDY = {
    "bytes": "Name fewer files, or keep what is no table out of the manifest.",
    "cells": "Keep only the rows and columns that are meant, or name fewer tables.",
    "records": "Correct the manifest if it names one table many times; else look at fewer boards at once.",
    "designators": "Correct the ranges of designators; else look at fewer boards at once.",
    "elements": "Save only the worksheets and the netlists that are meant.",
}


class LimitFault(RevdiffError):
    """A run needs more than its budget. It ends the run: what was found until then is no answer."""

    exit_status = 3


@dataclass(frozen=True, slots=True)
class Limits:
    """The most of each that one run may take, all its revisions and files together.

    Set several times above honest work: two revisions of 20 boards of 20,000 parts with 50 columns each.
    """

    bytes: int = 1024 * 1024 * 1024  # after unpacking; a file that is read twice counts twice
    cells: int = 50_000_000
    records: int = 4_000_000
    designators: int = 1_000_000  # expanded; those named again too
    elements: int = 20_000_000  # of XML, counted by the work that each takes


class Budget:
    """What is left of the limits of one run. Not for several threads."""

    def __init__(self, limits: Limits | None = None) -> None:
        self._limits = limits or Limits()
        self._left = {item.name: getattr(self._limits, item.name) for item in fields(Limits)}

    def spend(self, what: What, amount: int, place: str) -> None:
        """Takes ``amount`` for what is at ``place`` (file, line). Raises LimitFault where less than that is left."""
        self._left[what] -= amount
        if self._left[what] < 0:
            most = getattr(self._limits, what)
            raise LimitFault(
                f"{place}: found more than {most:,} {what} up to here, in all files of this run together; "
                f"expected {most:,} at most. {_REMEDY[what]} Nothing was judged."
            )


@contextmanager
def ending_after(seconds: float, remedy: str) -> Iterator[None]:
    """Ends the work inside after so many seconds of the clock; 0 sets no limit. Raises LimitFault with ``remedy``.

    Work that ended in time is what it would be without a limit. Outside the main thread, and on a system without
    interval timers, the work is stopped only after its end.
    """
    message = f"stopped: this run took more than its limit of {seconds:g} seconds. {remedy} Nothing was judged."
    began, stopped, ended = time.monotonic(), False, False

    def stop(_number: int, _frame: FrameType | None) -> None:
        nonlocal stopped
        stopped = True
        if not ended:
            raise LimitFault(message)

    timed = seconds > 0 and hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGALRM, stop) if timed else None
    try:
        if timed:
            signal.setitimer(signal.ITIMER_REAL, seconds, _AGAIN)
        yield
    finally:
        ended = True
        if timed:
            signal.setitimer(signal.ITIMER_REAL, 0)
            signal.signal(signal.SIGALRM, before)
    # Some library may have swallowed the stop; whatever came of the work after it isn't whole.
    if stopped or (0 < seconds < time.monotonic() - began):
        raise LimitFault(message)
