"""Can software tell a board from its predecessor, and from every other revision that was ever made?"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from revdiff.design import Board
from revdiff.design.derived import show_value, work_out
from revdiff.design.sections import Identity
from revdiff.judge.arrangement import Member
from revdiff.judge.fact import Ask, unknown
from revdiff.judge.facts import Facts
from revdiff.judge.names import words_of
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import WHOLE_BOARD, ChangeRule, Item, Margin, Record, Rule, holds
from revdiff.judge.side import stated_pull
from revdiff.quantities.formula import FormulaFault
from revdiff.quantities.text import as_number, fold
from revdiff.readers.faults import counted

_VISIBLE = ("stacking", "firmware", "wiring")
_NOT_ELECTRICAL = (
    "signal.renamed",
    "net.renamed",
    "net.part_renumbered",
    "contract.added",
    "contract.removed",
    "contract.changed",
    "joint.added",
)
_WORDS = ("note", "purpose")


def visible(revisions: Revisions, board: str) -> tuple[str, ...]:
    """The ids of what firmware or stacked boards can see of a board's changes."""
    return tuple(
        change.id
        for change in revisions.changes
        if board in change.boards
        and change.group in _VISIBLE
        and change.kind not in _NOT_ELECTRICAL
        and not (change.kind == "pin.field" and all(item.name in _WORDS for item in change.fields))
    )


def changed_boards(revisions: Revisions) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every board of both revisions that firmware or stacked boards can tell apart, with the ids of its changes."""
    for name in revisions.new.boards:
        if name in revisions.old.boards and (changes := visible(revisions, name)):
            yield name, changes


def _recognised(revisions: Revisions) -> Iterator[Item]:
    """By the identity in the manifest; where there is none, by what the contracts say of how they recognise a board."""
    before, after = revisions.old.sections.identities, revisions.new.sections.identities
    for name, changes in changed_boards(revisions):
        old, new = revisions.both(name)
        was, now = before.get(name), after.get(name)
        if was is not None or now is not None:
            codes = was.code if was is not None else "", now.code if now is not None else ""
            places: tuple[tuple[Member, Record], ...] = ((old, was or old.board), (new, now or new.board))
            yield Item(name, (name,), (old, new), places, codes, changes=changes)
            continue
        for key, contract in revisions.new.contracts.items():
            earlier = revisions.old.contracts.get(key)
            if contract.board == name and earlier is not None and contract.recognises:
                codes = earlier.recognises.raw, contract.recognises.raw
                subject = f"{name}: {contract.name}"
                places = ((old, earlier), (new, contract))
                yield Item(subject, (name, key), (old, new), places, codes, changes=changes)


def _unrecognised(_ask: Ask, item: Item) -> Margin | None:
    one, two = item.what
    message = (
        f"software can't tell the board from its predecessor: {counted(len(item.changes), 'change')} can be seen by "
        f"firmware or stacked boards, and it is told as before: {two or 'by nothing'}"
    )
    return holds(bool(two) and as_number(one) != as_number(two), message, f"{one or 'nothing'} → {two or 'nothing'}")


def _identities(facts: Facts) -> Iterator[tuple[Member, Identity]]:
    for member in facts.arrangement.members:
        found = member.design.sections.identities.get(member.board.name)
        if found is not None:
            yield member, found


def _told_apart(facts: Facts) -> Iterator[Item]:
    """Two codes, two windows, a code and its place in the list, a divider and a window: each a margin of its own."""
    for member, identity in _identities(facts):
        for subject, key, margin in (*_codes(member, identity), *_windows(identity), *_divider(member, identity)):
            yield Item(f"{member.name} {subject}", (member.name, *key), (member,), ((member, identity),), margin)


Apart = tuple[str, tuple[str, ...], Margin | str]
"""The subject, the key, and the margin, or what keeps it from being worked out."""


def _codes(member: Member, identity: Identity) -> Iterator[Apart]:
    codes = identity.codes
    for one, two in combinations(codes, 2):
        message = f"revisions {one} and {two} answer the same code"
        apart = as_number(codes[one]) != as_number(codes[two])
        yield f"{one}/{two}", ("codes", one, two), holds(apart, message, f"{codes[one]} = {codes[two]}")
    label = member.board.revision
    if label in codes and identity.code:
        message = f"the list of codes has {codes[label]} for revision {label}, and the board answers {identity.code}"
        same = as_number(codes[label]) == as_number(identity.code)
        yield label, ("listed",), holds(same, message, f"{codes[label]} → {identity.code}")


def _windows(identity: Identity) -> Iterator[Apart]:
    windows = identity.windows
    for one, two in combinations(windows, 2):
        low, high = max(windows[one][0], windows[two][0]), min(windows[one][1], windows[two][1])
        message = f"the windows of revisions {one} and {two} overlap: {low:f} V to {high:f} V belongs to both"
        yield f"{one}/{two}", ("windows", one, two), Margin(low - high or _NONE, message, f"{low:f} V − {high:f} V")


# Two windows that share one voltage don't part it.
_NONE = Decimal("-1e-9")


def _divider(member: Member, identity: Identity) -> Iterator[Apart]:
    """The divider's voltage, in the worst case, lies in the window of its revision and in no other."""
    item = member.design.sections.derived.get(identity.derived)
    label = member.board.revision
    if item is None or not identity.windows:
        if identity.windows and identity.by == "divider":
            yield label, ("divider",), f"identity.{member.board.name}.derived, the quantity that is its voltage"
        return
    try:
        result = work_out(item, member.design.boards)
    except FormulaFault as fault:
        yield label, ("divider",), f"derived.{item.name}: {fault}"
        return
    spread = f"{show_value(result.low, item.unit)} to {show_value(result.high, item.unit)}"
    for revision, (low, high) in identity.windows.items():
        window = f"{low:f} V to {high:f} V"
        if revision == label:
            message = f"the divider of revision {label} leaves its window in the worst case: {spread}"
            margin = Margin(
                min(result.low - low, high - result.high), message, f"{item.formula.text}: {spread}", window
            )
            yield label, ("divider", ""), margin
        else:
            message = f"the divider of revision {label} reaches into the window of revision {revision}: {spread}"
            left = max(result.low - high, low - result.high) or _NONE
            margin = Margin(left, message, f"{item.formula.text}: {spread}", f"outside {window}")
            yield f"{label}/{revision}", ("divider", revision), margin


def _ambiguous(ask: Ask, item: Item) -> Margin | None:
    found: Margin | str = item.what
    if isinstance(found, str):
        ask(unknown(found, essential=True))
        return None
    return found


def _named_straps(revisions: Revisions) -> Iterator[Item]:
    """The signals that a contract goes on recognising a board by, and that resistors hold in either revision."""
    for key, contract in revisions.new.contracts.items():
        earlier, name = revisions.old.contracts.get(key), contract.board
        if earlier is None or name not in revisions.old.boards or earlier.recognises != contract.recognises:
            continue
        old, new = revisions.both(name)
        said = frozenset(map(fold, re.findall(r"[\w+#/-]+", contract.recognises.raw)))
        for word in sorted(said & words_of(old.board) & words_of(new.board)):
            before, after = _held(old.board, word), _held(new.board, word)
            if before or after:
                refs = [item.ref for board in (old.board, new.board) for item in board.sections.pulls.get(word, ())]
                pins = [pin.name for board in (old.board, new.board) for pin in board.pins.values()]
                told = revisions.touching((name, place) for place in dict.fromkeys((*refs, *pins, word)))
                what = (word.upper(), before, after, contract)
                yield Item(f"{name}: {word.upper()}", (name, word), (new,), (), what, changes=told)


def _held(board: Board, word: str) -> tuple[str, ...]:
    """Which ways fitted resistors of the manifest, and those that the pin map states, pull a signal."""
    listed = {item.way for item in board.sections.pulls.get(word, ()) if item.fitted}
    stated = {given[0] for pin in board.pins.values() if pin.signal.word == word and (given := stated_pull(pin))}
    return (*(f"{way} by a resistor" for way in sorted(listed)), *(f"{way} by the pin map" for way in sorted(stated)))


def _same_strap(_ask: Ask, item: Item) -> Margin | None:
    signal, before, after, contract = item.what
    was, now = (" and ".join(held) or "held by nothing" for held in (before, after))
    message = (
        f"{signal} was {was}, and is {now} now; {contract.title} recognises the board by it as before: "
        f"{contract.recognises.raw}"
    )
    return holds(before == after, message, f"{was} → {now}")


RULES = (
    Rule(
        name="firmware-identity-ambiguous",
        title="Two revisions of a board answer the same code",
        audience="firmware",
        step="major",
        over=_told_apart,
        margin=_ambiguous,
        danger="break",
        needs=("codes or windows in [identity.BOARD]",),
        why="Firmware that asks the board for its revision gets an answer that fits two, and takes the wrong pin map.",
        how="The codes of all revisions in [identity.BOARD] have to differ, their voltage windows must not overlap, "
        "the code of this revision has to be the one in the list, and the voltage of a divider ([derived.NAME]) has to "
        "lie in the window of its revision in the worst case.",
        remedy="Give the revision a code of its own: another strap, another resistor pair, another memory content.",
        witness="The divider of revision C may give 0.41 V, and so may that of revision D.",
    ),
)
CHANGE_RULES = (
    ChangeRule(
        name="firmware-identity-changed",
        title="A board answers firmware as another revision",
        audience="firmware",
        step="major",
        over=_named_straps,
        margin=_same_strap,
        danger="break",
        needs=("recognises in [firmware.NAME]", "boards.NAME.pulls", "Pull"),
        why="Firmware takes the board for another revision, and uses that one's pins.",
        how="The signals of the board that a contract names in what it recognises the board by: whether resistors hold "
        "them the same way as before. A contract that says something else now isn't held against this.",
        remedy="Put the strap back, or give the revision an answer of its own and say it in recognises.",
        witness="The board-ID resistor is left out, and revision D answers as revision C.",
    ),
    ChangeRule(
        name="firmware-unrecognised",
        about=WHOLE_BOARD,
        title="Software can't tell the board from its predecessor",
        audience="firmware",
        step="minor",
        over=_recognised,
        margin=_unrecognised,
        danger="caution",
        needs=("[identity.BOARD]", "recognises in [firmware.NAME]"),
        why="A release that serves both revisions has nothing to choose by; whoever flashes the wrong one isn't told.",
        how="Where anything changed that firmware or stacked boards can see, the code in [identity.BOARD], or what the "
        "firmware contracts recognise the board by, has to change, too.",
        remedy="Change the strap, the resistor pair or the memory content that the board is recognised by.",
        witness="The board-ID resistor is still the one of revision B, and four pins moved.",
    ),
)
