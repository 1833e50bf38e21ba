"""``revdiff schema``"""

from __future__ import annotations

import click

from revdiff.cli.options import write_text
from revdiff.errors import UsageFault


@click.command("schema", help="Print the JSON Schema of what COMMAND prints as JSON (default: compare).")
@click.argument("command_name", metavar="[COMMAND]", default="compare")
def command(command_name: str) -> int:
    from revdiff.report.schemas import COMMANDS, schema_text

    if command_name not in COMMANDS:
        raise UsageFault(f"{command_name!r} prints no JSON. These commands do: {', '.join(COMMANDS)}.")
    write_text(schema_text(command_name), None)
    return 0
