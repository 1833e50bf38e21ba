"""Which checks of stacking the data of a new revision does not allow, told in few lines."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.rules.finding import NotChecked
from revdiff.rules.situation import Situation
from revdiff.rules.stack_rules import OF_ONE_STACK
from revdiff.rules.stack_scene import Unmade


def stacking_not_checked(situation: Situation) -> Iterator[NotChecked]:
    """One line for each kind of data that is missing from the new boards, where anything about stacking changed."""
    for pairing in situation.stacks:
        stack = pairing.new[0]
        missing: dict[str, list[Unmade]] = {}
        for rule in OF_ONE_STACK:
            for item in rule.core(rule, stack):
                if isinstance(item, Unmade):
                    missing.setdefault(item.needs, []).append(item)
        for needs, items in missing.items():
            others = len(items) - 1
            more = f", and {others} more check{'s' if others > 1 else ''} of stacking" if others else ""
            yield NotChecked(f"{items[0].what}{more}", items[0].why, needs)
