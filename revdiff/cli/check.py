"""``revdiff check``"""

from __future__ import annotations

from pathlib import Path

import click

from revdiff.cli.options import write_text


@click.command(
    "check",
    help="Check a change against the revision it is based on: contradictions between documents that it brings, and "
    "what it breaks. BASE and CHANGE are named as in compare (default of CHANGE: worktree).",
)
@click.argument("base")
@click.argument("change", default="worktree")
@click.option("--repo", "repository", type=click.Path(path_type=Path), default=Path(), help="The git repository.")
@click.option("--design", default="", help="The folder of the design inside the repository or folder.")
@click.option("--fail-on", type=click.Choice(["break", "drift"]), help="End with status 1 on a break, or on either.")
@click.option("--allow-faults", is_flag=True, help="End with status 0 although the data has faults (they are told).")
def command(base: str, change: str, repository: Path, design: str, fail_on: str | None, allow_faults: bool) -> int:
    from revdiff.app import review_revisions
    from revdiff.report.drift import check_text
    from revdiff.rules.drift import drifts

    review = review_revisions(base, change, repository=repository, design=design)
    before = {item.id: item for item in drifts(review.comparison.old)}
    after = {item.id: item for item in drifts(review.comparison.new)}
    brought = tuple(item for key, item in after.items() if key not in before or before[key].message != item.message)
    cured = tuple(item for key, item in before.items() if key not in after)
    write_text(check_text(review, brought, cured), None)
    if review.faulty and not allow_faults:
        return 3
    broken = any(item.severity == "break" for item in review.findings)
    return 1 if (fail_on and broken) or (fail_on == "drift" and brought) else 0
