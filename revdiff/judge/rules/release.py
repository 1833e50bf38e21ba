"""Rules of the release itself: can people tell the boards apart?"""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import WHOLE_BOARD, ChangeRule, Item, Margin, holds
from revdiff.judge.rules.identity import changed_boards
from revdiff.readers.faults import counted


def _printed(revisions: Revisions) -> Iterator[Item]:
    seen = dict(changed_boards(revisions))
    for name in revisions.new.boards:
        changes = (*seen.get(name, ()), *_electrical(revisions, name))
        if name not in revisions.old.boards or not changes:
            continue
        old, new = revisions.both(name)
        if new.board.revision:
            places = ((old, old.board), (new, new.board))
            yield Item(name, (name,), (old, new), places, (old.board, new.board), changes=changes)


def _electrical(revisions: Revisions, board: str) -> tuple[str, ...]:
    """The ids of changes of its parts that a tester can measure: another value, fitted or not."""
    found = (item for item in revisions.changes if item.board == board and item.kind in ("part.value", "part.fitted"))
    return tuple(item.id for item in found)


def _same_label(_ask: Ask, item: Item) -> Margin | None:
    old, new = item.what
    message = (
        f"the board still says revision {new.revision}, and firmware, stacked boards or a tester can see what changed "
        f"on it ({len(item.changes)} in all)"
    )
    figures = f"{counted(len(item.changes), 'change')}, revision {old.revision} → {new.revision}"
    return holds(old.revision != new.revision, message, figures)


RULES = (
    ChangeRule(
        name="release-same-label",
        about=WHOLE_BOARD,
        title="A board changed and its printed revision did not",
        audience="documentation",
        step="minor",
        over=_printed,
        margin=_same_label,
        danger="caution",
        needs=("revision in [boards.NAME]",),
        why="People who hold the board can't tell which pin map, which firmware and which partners go with it.",
        how="The revision in the manifest is compared where pins, contacts or connectors of the board changed.",
        remedy="Raise the revision that is printed on the board, and say how to recognise it.",
        witness="A user corrects the right pin map, because his board has the same letter.",
    ),
)
