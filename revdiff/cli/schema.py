"""``revdiff schema``"""

from __future__ import annotations

import click

from revdiff.cli.options import write_text


@click.command("schema", help="Print the JSON Schema of the JSON output.")
def command() -> int:
    from revdiff.report.document import schema_text

    write_text(schema_text(), None)
    return 0
