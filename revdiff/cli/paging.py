"""Long output on a terminal goes through the pager that the user's environment names, as with git."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import subprocess
import sys

import click

_META = "revdiff.no_pager"
_USUAL = "less"
_DEFAULTS = {"LESS": "FRX", "LV": "-c"}  # quit where one screen holds it, colours, no clearing


def no_pager_option() -> click.Option:
    """The option by which the user does without."""

    def keep(context: click.Context, _option: click.Parameter, value: bool) -> None:
        context.meta[_META] = value or context.meta.get(_META, False)

    return click.Option(
        ["--no-pager"], is_flag=True, expose_value=False, callback=keep, help="Never show long output in a pager."
    )


def pages() -> bool:
    """Whether output is for a terminal that a pager may be put before."""
    context = click.get_current_context(silent=True)
    wanted = context is None or not context.meta.get(_META)
    return wanted and sys.stdout.isatty() and os.environ.get("TERM") != "dumb" and bool(_pager())


def show(text: str) -> None:
    """Writes to standard output; through the pager where that is a terminal with fewer lines than the text."""
    command = _pager() if pages() and text.count("\n") >= shutil.get_terminal_size().lines else []
    if not command or not _paged(text, command):
        sys.stdout.write(text)


def _pager() -> list[str]:
    """What GIT_PAGER names, else PAGER, else the usual one; none for nothing and for cat.

    Never what a repository's configuration names: that may be a stranger's.
    """
    named = next((os.environ[name] for name in ("GIT_PAGER", "PAGER") if name in os.environ), _USUAL)
    try:
        words = shlex.split(named)
    except ValueError:  # a quote without its partner
        return []
    return [] if words in ([], ["cat"]) or shutil.which(words[0]) is None else words


def _paged(text: str, command: list[str]) -> bool:
    """Whether the pager could be started; it is waited for, and what interrupts it doesn't end us."""
    sys.stdout.flush()
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        running = subprocess.Popen(command, stdin=subprocess.PIPE, env={**_DEFAULTS, **os.environ})
    except OSError:
        return False
    else:
        running.communicate(text.encode("utf-8", "backslashreplace"))  # who has seen enough closes the pipe
        return True
    finally:
        signal.signal(signal.SIGINT, before)
