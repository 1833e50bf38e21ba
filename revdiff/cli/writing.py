"""Where ``--output`` goes: a file is replaced whole or left as it was; a pipe or a device is written through to."""

from __future__ import annotations

import os
import signal
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from revdiff.errors import UsageFault


def stands_for_stream(output: Path) -> bool:
    """Whether a path is no regular file, or one of this program's own streams (``/dev/stdout``)."""
    try:
        status = output.stat()
    except OSError:
        return False
    return not (stat.S_ISREG(status.st_mode) or stat.S_ISDIR(status.st_mode)) or _stream(status) is not None


def write_file(text: str, output: Path) -> None:
    """Writes the text. Of a link, the file that it leads to is written; a file that is there keeps its mode.

    Raises UsageFault where it can't be written; nothing half-written is left.
    """
    try:
        if not stands_for_stream(output):
            _replace(text, Path(os.path.realpath(output)))
        elif (number := _stream(output.stat())) is not None:
            (sys.stdout if number == 1 else sys.stderr).write(text)
        else:
            with output.open("w", encoding="utf-8", errors="backslashreplace", newline="\n") as stream:
                stream.write(text)
    except BrokenPipeError:
        return  # who reads the pipe has seen enough
    except OSError as error:
        raise UsageFault(f"{output} can't be written: {error.strerror}. Name a file in a folder that exists.") from None


def _stream(status: os.stat_result) -> int | None:
    """The number of the own stream that a file is."""
    return next((number for number in (1, 2) if os.path.samestat(status, os.fstat(number))), None)


def _replace(text: str, target: Path) -> None:
    try:
        mode = stat.S_IMODE(target.stat().st_mode)
        os.close(os.open(target, os.O_WRONLY | os.O_NONBLOCK))  # what may not be written is not replaced either
    except FileNotFoundError:
        mode = 0o666 & ~_umask()
    with _undisturbed():
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:100]}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n") as stream:
                stream.write(text)
            Path(name).chmod(mode)
            Path(name).replace(target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise


@contextmanager
def _undisturbed() -> Iterator[None]:
    """A signal that ends the program waits until the file is whole and has its name."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGTERM, signal.SIGINT, signal.SIGHUP})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
