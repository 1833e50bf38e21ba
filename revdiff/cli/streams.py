"""Standard output and standard error: UTF-8 whatever the locale, a closed pipe is no error, a full disk is one."""

from __future__ import annotations

import errno
import io
import os
import sys

from revdiff.errors import RevdiffError


class UnwritableOutput(RevdiffError):
    """Standard output can't take what was written to it."""


def install() -> None:
    """Puts the two streams in the place of those that Python made."""
    for name, number in (("stdout", 1), ("stderr", 2)):
        given = getattr(sys, name)
        if given is None:
            _occupy(number)
        page = io.BufferedWriter(_Stream(number, absent=given is None))
        at_once = number == 2 or os.isatty(number)
        setattr(sys, name, io.TextIOWrapper(page, "utf-8", "backslashreplace", line_buffering=at_once))


def _occupy(number: int) -> None:
    """Takes the number of a stream that was closed, or the next file that is opened would be written to instead."""
    descriptor = os.open(os.devnull, os.O_WRONLY)
    if descriptor != number:
        os.dup2(descriptor, number)
        os.close(descriptor)


class _Stream(io.FileIO):
    """The bytes of a stream. Once they can't be written, the rest goes nowhere, and Python ends quietly."""

    def __init__(self, number: int, *, absent: bool) -> None:
        super().__init__(number, "wb", closefd=False)
        self._absent = absent

    def write(self, data: object) -> int:
        try:
            if self._absent:
                self._absent = False
                raise OSError(errno.EBADF, os.strerror(errno.EBADF))
            return super().write(data)  # type: ignore[arg-type]
        except OSError as error:
            os.dup2(os.open(os.devnull, os.O_WRONLY), self.fileno())
            if self.fileno() == 1 and not isinstance(error, BrokenPipeError):
                raise UnwritableOutput(f"the output can't be written: {error.strerror}") from None
            return memoryview(data).nbytes  # type: ignore[arg-type]
