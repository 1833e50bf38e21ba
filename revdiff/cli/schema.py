"""``revdiff schema``"""

from __future__ import annotations

import click

from revdiff.cli.options import write_text


@click.command("schema", help="Print the JSON Schema of the JSON output.")
@click.option("--stacks", is_flag=True, help="Of what stack and matrix print, instead of compare.")
def command(stacks: bool) -> int:
    if stacks:
        from revdiff.report.stack_schema import stack_schema_text

        write_text(stack_schema_text(), None)
        return 0
    from revdiff.report.document import schema_text

    write_text(schema_text(), None)
    return 0
