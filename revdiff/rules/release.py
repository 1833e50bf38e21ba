"""Rules of the release itself: can people tell the boards apart?"""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.rules.finding import Finding
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"
_VISIBLE = ("stacking", "firmware")
_NOT_ELECTRICAL = ("signal.renamed", "contract.added", "contract.removed", "contract.changed", "joint.added")


def _same_label(rule: Rule, situation: Situation) -> Iterator[Finding]:
    for name, board in situation.new.boards.items():
        before = situation.old.boards.get(name)
        if before is None or not board.revision or before.revision != board.revision:
            continue
        visible = [
            change
            for change in situation.changes
            if change.board == name and change.group in _VISIBLE and change.kind not in _NOT_ELECTRICAL
        ]
        if not visible:
            continue
        yield rule.found(
            parties=situation.both(name),
            subject=name,
            message=f"the board still says revision {board.revision}, and firmware or stacked boards can "
            f"see what changed on it ({len(visible)} in all)",
            arithmetic=f"{len(visible)} changes, revision {before.revision} → {board.revision}",
            limit="another revision label wherever firmware or stacked boards can tell a difference",
            changes=tuple(change.id for change in visible),
            origin_before=before.origin,
            origin_after=board.origin,
        )


RULES = (
    Rule(
        name="release-same-label",
        title="A board changed and its printed revision did not",
        severity="caution",
        audience="documentation",
        step="minor",
        why="People who hold the board can't tell which pin map, which firmware and which partners go with it.",
        how="The revision in the manifest is compared where pins, contacts or connectors of the board changed.",
        remedy="Raise the revision that is printed on the board, and say how to recognise it.",
        witness="A user corrects the right pin map, because his board has the same letter.",
        source=PRACTICE,
        check=_same_label,
    ),
)
