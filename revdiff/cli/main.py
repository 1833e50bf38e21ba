"""The entry point. Each command is one short module, imported only when it is called."""

from __future__ import annotations

import gc
import sys
from importlib import import_module

import click

from revdiff.cli import streams
from revdiff.errors import RevdiffError
from revdiff.version import __version__

INTERNAL = 4

# name -> (module below revdiff.cli, one line of help); listed in the order of the work
COMMANDS = {
    "init": ("init", "Look through a folder and write its revdiff.toml."),
    "compare": ("compare", "Tell what changed between two revisions, and what it breaks."),
    "ready": ("ready", "Tell where the documents of one revision contradict each other."),
    "check": ("check", "Check a change against the revision it is based on."),
    "notes": ("notes", "Draft the release notes of a revision."),
    "stack": ("stack", "Tell whether boards at given revisions can be stacked, and why."),
    "matrix": ("matrix", "Judge every tagged revision of each board against every one of its partners."),
    "pins": ("pins", "Tell firmware developers which pins changed; export pin maps."),
    "contract": ("contract", "Write a firmware contract from a pin map, a C header or devicetree source."),
    "explain": ("explain", "Explain a rule, or list all rules."),
    "schema": ("schema", "Print the JSON Schema of the JSON output."),
    "demo": ("demo", "Make a git repository with the demo design."),
}


class LazyGroup(click.Group):
    """A group that imports a command only to run it, so that --help costs what click costs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"revdiff.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="%(prog)s %(version)s")
def cli() -> None:
    """Tell what changed between two revisions of a published board design, and what it breaks.

    \b
    Exit status:
      0  done
      1  there are findings that --fail-on names
      2  the request can't be carried out: usage, no such revision, no repository
      3  faults in the design's data
      4  an error of revdiff itself
    """


def main() -> None:
    """Runs the command line and leaves with its exit status; whatever goes wrong ends in one message."""
    streams.install()
    # Nearly all that a run makes it keeps to its end, so looking for garbage early only costs.
    gc.set_threshold(100_000, 20, 100)
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
    sys.exit(status)


def _run() -> int:
    """Runs the command line and gives its exit status."""
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
