"""``revdiff explain``"""

from __future__ import annotations

import click

from revdiff.cli.options import write_text
from revdiff.cli.showing import page_width
from revdiff.errors import UsageFault


@click.command(
    "explain",
    help="Explain a name that an output shows: a rule, a code, a kind of change, a word. Without a name, list all.",
)
@click.argument("rule", metavar="NAME", required=False)
@click.option("--coverage", is_flag=True, help="List how new revisions fail, which rule finds it, with which data.")
def command(rule: str | None, coverage: bool) -> int:
    if coverage:
        from revdiff.report.coverage_text import coverage_text

        write_text(coverage_text(min(page_width(), 88)), None)
        return 0
    from revdiff.report.explain_text import everything, explained, names

    width = page_width()
    if rule is None:
        write_text(everything(width), None)
        return 0
    told = explained(rule, min(width, 88))
    if not told:
        import difflib

        near = difflib.get_close_matches(rule, names(), 3)
        hint = f"Near it: {', '.join(near)}." if near else "revdiff explain lists all."
        raise UsageFault(f"no rule, code, kind of change or word is called {rule!r}. {hint}")
    write_text(told, None)
    return 0
