"""The entry point."""

from __future__ import annotations

import gc
import sys

from revdiff.cli import streams
from revdiff.cli.overview import is_wide, overview
from revdiff.errors import RevdiffError

INTERNAL = 4
RARELY = (1_000_000, 20, 100)  # nearly all that a run makes it keeps: looking for garbage only costs


def main() -> None:
    """Runs the command line and leaves with its exit status; whatever goes wrong ends in one message."""
    streams.install()
    gc.set_threshold(*RARELY)
    try:
        status = _run()
        sys.stdout.flush()
    except RevdiffError as error:
        from revdiff.cli.faults import show_error

        show_error(error)
        status = error.exit_status
    except KeyboardInterrupt:
        status = 130
    except Exception as error:
        from revdiff.cli.faults import show_internal

        show_internal(error)
        status = INTERNAL
    gc.freeze()  # all of it goes with the process: Python would look through everything for garbage before it ends
    sys.exit(status)


def _run() -> int:
    """Runs the command line and gives its exit status."""
    if sys.argv[1:] in (["--help"], ["-h"]) and is_wide():
        sys.stdout.write(overview())
        return 0
    import click

    from revdiff.cli.group import cli

    try:
        status = cli.main(prog_name="revdiff", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("revdiff: stopped", err=True)
        return 130
    except click.ClickException as error:
        from revdiff.cli.faults import show_mistake

        show_mistake(error)
        return error.exit_code
    return status if isinstance(status, int) else 0


if __name__ == "__main__":
    main()
