"""The group of all commands. Each command is one short module, imported only when it is called."""

from __future__ import annotations

from importlib import import_module

import click

from revdiff.cli.overview import ABOUT, COMMANDS, STATUS
from revdiff.cli.paging import no_pager_option
from revdiff.version import __version__


class LazyGroup(click.Group):
    """A group that imports a command only to run it, so that --help costs what click costs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"revdiff.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        if all(option.name != "no_pager" for option in command.params):
            command.params.append(no_pager_option())
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and self.get_command(ctx, args[0]) is None:
            from revdiff.cli.near import meant

            raise click.UsageError(f"there is no command {args[0]!r}. {meant(args)}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]}, help=f"{ABOUT}\n\n\b\n{STATUS}")
@click.version_option(__version__, message="%(prog)s %(version)s")
def cli() -> None:
    pass


cli.params.append(no_pager_option())
