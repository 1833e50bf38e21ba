"""``revdiff demo``"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import click

from revdiff.cli.options import write_text


@click.command("demo", help="Make a git repository of the demo design, a greenhouse controller, in the new folder DIR.")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
def command(folder: Path) -> int:
    from revdiff.demo import make_demo
    from revdiff.report.visible import visible

    tags = make_demo(folder)
    place = visible(str(folder))
    lines = [f"{place} holds the demo design with the tags {', '.join(tags)}.", "Try:"]
    lines += [f"  revdiff compare {old} {new} --repo {place}" for old, new in pairwise(tags)]
    write_text("\n".join([*lines, f"  revdiff notes {tags[-2]} {tags[-1]} --repo {place}", ""]), None)
    return 0
