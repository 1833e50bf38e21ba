"""Connectors that no declared board mates with: cables, and boards that nobody named, go by their pinout."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.change import Change
from revdiff.design import Board
from revdiff.judge.fact import Ask
from revdiff.judge.names import words_of
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Item, Margin, holds
from revdiff.quantities.text import fold

_NOTHING = ("", "unused")
_PLUGS = ("connector.pitch", "connector.gender", "connector.count", "connector.position")
_KINDS = ("contact.swapped", "contact.moved", "contact.removed", "contact.signal")


def _joined(revisions: Revisions) -> frozenset[tuple[str, str]]:
    """The ends of all joints of both revisions: (board, connector)."""
    return frozenset(end for design in (revisions.old, revisions.new) for joint in design.joints for end in joint.ends)


def _leaving(revisions: Revisions) -> Iterator[Item]:
    """The changes of what a contact carried, on connectors that neither revision joins to a board."""
    joined = _joined(revisions)
    for change in revisions.of_kind(*_KINDS):
        ends = {(change.board, name.rpartition(".")[0]) for pair in change.pairs for name in pair if name}
        old, *new = revisions.both(change.board)
        if ends and not ends & joined and new and _carried(change, old.board, new[0].board):
            subject = f"{change.board}.{min(name for _, name in ends)}"
            yield Item(subject, (change.board, change.subject), (old, *new), (), change, changes=(change.id,))


def _carried(change: Change, old: Board, new: Board) -> bool:
    """Whether a signal is no longer where it was: another name alone may be the same signal, and no plug sees it.

    It is no other name of the same where one of the two signals is on the board in both revisions.
    """
    if change.kind != "contact.signal" or (change.before not in _NOTHING and change.after in _NOTHING):
        return True
    stays = words_of(old) & words_of(new)
    return change.before not in _NOTHING and bool({fold(change.before), fold(change.after)} & stays)


def _other_pinout(_ask: Ask, item: Item) -> Margin | None:
    change: Change = item.what
    message = f"cables for {item.subject} meet another signal there, or none"
    return holds(False, message, f"{change.before} → {change.after or 'nothing'}")


def _plugs(revisions: Revisions) -> Iterator[Item]:
    """The connectors for cables that are another one now, or elsewhere, as far as both revisions say."""
    joined = _joined(revisions)
    for change in revisions.of_kind(*_PLUGS):
        ends = {(change.board, name) for pair in change.pairs for name in pair if name}
        members = revisions.both(change.board)
        fields = [item for item in change.fields if item.before and item.after]
        if ends and not ends & joined and len(members) > 1 and fields:
            subject = f"{change.board}.{change.subject}"
            what = (change.kind, fields)
            yield Item(subject, (change.board, change.subject, change.kind), members, (), what, changes=(change.id,))


def _other_plug(_ask: Ask, item: Item) -> Margin | None:
    kind, fields = item.what
    figures = ", ".join(f"{one.name} {one.before.raw} → {one.after.raw}" for one in fields)
    effect = "leave the board elsewhere, or the other way" if kind == "connector.position" else "don't plug any more"
    return holds(False, f"cables for {item.subject} {effect}", figures)


RULES = (
    ChangeRule(
        name="cable-connector-changed",
        about=("pitch", "gender", "count", "position"),
        title="A connector for cables is another one, or elsewhere",
        audience="stacking",
        step="major",
        over=_plugs,
        margin=_other_plug,
        danger="caution",
        needs=("Pitch, Gender, Contacts, Rows, X, Y and Rotation of the connectors",),
        why="Cables, harnesses, enclosures and boards that nobody declared are made for the old connector.",
        how="Pitch, gender, contacts, rows, place and rotation of connectors without a joint, where both revisions "
        "state them.",
        remedy="Keep the connector, or say in the notes which cables and enclosures have to be made anew.",
        witness="The field connector has a pitch of 3.5 mm in the place of 3.81 mm: no plug in the field fits.",
    ),
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
        how="The contacts of connectors without a joint: a signal that moved, traded places or left, or gave way to "
        "another one of the board; another name alone is none of it.",
        remedy="Keep the pinout, or change plug or key; say in the notes which cables have to be made anew.",
        witness="The flow meter's supply and its signal traded contacts; the old cable shorts the supply through it.",
        silent=True,
    ),
)
