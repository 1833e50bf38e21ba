"""Connectors that no declared board mates with: cables, and boards that nobody named, go by their pinout."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.change import Change
from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Item, Margin, holds

_NOTHING = ("", "unused")
_KINDS = ("contact.swapped", "contact.moved", "contact.removed", "contact.signal")


def _leaving(revisions: Revisions) -> Iterator[Item]:
    """The changes of what a contact carried, on connectors that neither revision joins to a board."""
    joined = {
        end
        for design in (revisions.old, revisions.new)
        for joint in design.joints
        for end in ((joint.board_a, joint.connector_a), (joint.board_b, joint.connector_b))
    }
    for change in revisions.of_kind(*_KINDS):
        ends = {(change.board, name.rpartition(".")[0]) for pair in change.pairs for name in pair if name}
        old, *new = revisions.both(change.board)
        if ends and not ends & joined and new and _carried(change):
            subject = f"{change.board}.{min(name for _, name in ends)}"
            yield Item(subject, (change.board, change.subject), (old, *new), (), change, changes=(change.id,))


def _carried(change: Change) -> bool:
    """Whether a signal is no longer where it was: another name alone may be the same signal, and no plug sees it."""
    return change.kind != "contact.signal" or (change.before not in _NOTHING and change.after in _NOTHING)


def _other_pinout(_ask: Ask, item: Item) -> Margin | None:
    change: Change = item.what
    message = f"cables for {item.subject} meet another signal there, or none"
    return holds(False, message, f"{change.before} → {change.after or 'nothing'}")


RULES = (
    ChangeRule(
        name="cable-pinout-changed",
        about=("swapped", "moved", "removed", "signal"),
        title="A signal is no longer at its contact of a connector for cables",
        audience="stacking",
        step="major",
        over=_leaving,
        margin=_other_pinout,
        danger="caution",
        needs=("Signal of the contacts",),
        why="Cables, harnesses and boards that nobody declared are made for the old pinout, and their plugs still fit.",
        how="The contacts of connectors without a joint: a signal that moved, traded places or left; another name "
        "alone is none of it.",
        remedy="Keep the pinout, or change plug or key; say in the notes which cables have to be made anew.",
        witness="The flow meter's supply and its signal traded contacts; the old cable shorts the supply through it.",
        silent=True,
    ),
)
