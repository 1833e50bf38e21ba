"""``revdiff explain``"""

from __future__ import annotations

import click

from revdiff.cli.options import write_text
from revdiff.errors import UsageFault


@click.command(
    "explain", help="Explain a rule: why it matters, how it is worked out, what to do. Without a name, list all."
)
@click.argument("rule", required=False)
@click.option("--coverage", is_flag=True, help="List how new revisions fail, which rule finds it, with which data.")
def command(rule: str | None, coverage: bool) -> int:
    if coverage:
        from revdiff.report.coverage_text import coverage_text

        write_text(coverage_text(), None)
        return 0
    from revdiff.judge.registry import ALL, rule_named
    from revdiff.report.rule_text import rule_list, rule_text

    if rule is None:
        write_text(rule_list(), None)
        return 0
    found = rule_named(rule)
    if found is None:
        import difflib

        near = difflib.get_close_matches(rule, [item.name for item in ALL], 3)
        hint = f"Near it: {', '.join(near)}." if near else "revdiff explain lists all."
        raise UsageFault(f"no rule is called {rule!r}. {hint}")
    write_text(rule_text(found), None)
    return 0
