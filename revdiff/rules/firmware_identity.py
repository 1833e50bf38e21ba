"""Can software tell the board from its predecessor, and from every other revision that was ever made?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from revdiff.design import Design, Origin
from revdiff.design.derived import show_value, work_out
from revdiff.design.sections import Identity
from revdiff.quantities.formula import FormulaFault
from revdiff.readers.faults import counted
from revdiff.rules.finding import Finding
from revdiff.rules.firmware_board import address
from revdiff.rules.rule import Rule
from revdiff.rules.situation import Situation

PRACTICE = "common practice, no source"
_VISIBLE = ("stacking", "firmware")
_NOT_ELECTRICAL = ("signal.renamed", "contract.added", "contract.removed", "contract.changed", "joint.added")
_WORDS = ("note", "purpose")


def _visible(situation: Situation, board: str) -> tuple[str, ...]:
    """The ids of what firmware or stacked boards can see of a board's changes."""
    return tuple(
        change.id
        for change in situation.changes
        if board in change.board.split(", ")
        and change.group in _VISIBLE
        and change.kind not in _NOT_ELECTRICAL
        and not (change.kind == "pin.field" and all(item.name in _WORDS for item in change.fields))
    )


def _unrecognised(rule: Rule, situation: Situation) -> Iterator[Finding]:
    """By the identity in the manifest; where there is none, by what the contracts say of how they recognise a board."""
    old, new = situation.old.sections.identities, situation.new.sections.identities
    for name, board in situation.new.boards.items():
        before = situation.old.boards.get(name)
        changes = _visible(situation, name)
        if before is None or not changes:
            continue
        was, now = old.get(name), new.get(name)
        if was is not None or now is not None:
            same = _code(was), _code(now)
            told_apart = bool(same[1]) and address(same[0]) != address(same[1])
            found: list[tuple[str, str, str, Origin | None]] = []
            if not told_apart:
                found = [(name, same[0] or "nothing", same[1] or "nothing", None)]
        else:
            found = list(_by_contracts(situation, name))
        for subject, one, two, origin in found:
            yield rule.found(
                parties=situation.both(name),
                subject=subject,
                message="software can't tell the board from its predecessor: "
                f"{counted(len(changes), 'change')} can be seen by "
                f"firmware or stacked boards, and what it is recognised by is still {two}",
                arithmetic=f"{one} → {two}",
                limit="another code wherever firmware or stacked boards can tell a difference",
                changes=changes,
                origin_before=before.origin,
                origin_after=origin or (now.origin if now is not None else board.origin),
            )


def _code(identity: Identity | None) -> str:
    return identity.code if identity is not None else ""


def _by_contracts(situation: Situation, board: str) -> Iterator[tuple[str, str, str, Origin | None]]:
    """Releases that say how they recognise the board, and say the same of both revisions."""
    for key, contract in situation.new.contracts.items():
        before = situation.old.contracts.get(key)
        if contract.board != board or before is None or not contract.recognises:
            continue
        if before.recognises == contract.recognises:
            yield f"{board}: {contract.name}", before.recognises.raw, contract.recognises.raw, contract.origin


def _ambiguous(rule: Rule, situation: Situation) -> Iterator[Finding]:
    old, new = situation.old.sections.identities, situation.new.sections.identities
    for name, identity in new.items():
        known = {subject for subject, *_ in _clashes(situation.old, name, old.get(name))}
        for subject, message, arithmetic in _clashes(situation.new, name, identity):
            if subject in known:
                continue
            yield rule.found(
                parties=situation.both(name),
                subject=f"{name} {subject}",
                message=message,
                arithmetic=arithmetic,
                limit="one code, or one window, for each revision that was ever made",
                changes=tuple(
                    change.id for change in situation.changes if change.kind == "design.field" or change.board == name
                ),
                origin_after=identity.origin,
            )


def _clashes(design: Design, name: str, identity: Identity | None) -> Iterator[tuple[str, str, str]]:
    if identity is None:
        return
    codes = dict(identity.codes)
    for one, two in combinations(codes, 2):
        if address(codes[one]) == address(codes[two]):
            yield f"{one}/{two}", f"revisions {one} and {two} answer the same code", f"{codes[one]} = {codes[two]}"
    windows = identity.windows
    for one, two in combinations(windows, 2):
        low, high = max(windows[one][0], windows[two][0]), min(windows[one][1], windows[two][1])
        if low <= high:
            yield (
                f"{one}/{two}",
                f"the windows of revisions {one} and {two} overlap",
                f"{low:f} V to {high:f} V belongs to both",
            )
    yield from _voltage(design, name, identity)
    board = design.boards.get(name)
    stated = codes.get(board.revision) if board is not None else None
    if board is not None and stated is not None and identity.code and address(stated) != address(identity.code):
        yield (
            board.revision,
            f"the list of codes has {stated} for revision {board.revision}, and the board answers {identity.code}",
            f"{stated} → {identity.code}",
        )


def _voltage(design: Design, name: str, identity: Identity) -> Iterator[tuple[str, str, str]]:
    """Whether the divider's voltage, in the worst case, lies in the window of its revision and in no other."""
    item = design.sections.derived.get(identity.derived)
    label = design.boards[name].revision if name in design.boards else ""
    if item is None or not identity.windows:
        return
    try:
        result = work_out(item, design.boards)
    except FormulaFault:
        return  # told as not checked
    spread = f"{show_value(result.low, item.unit)} to {show_value(result.high, item.unit)}"
    for revision, (low, high) in identity.windows.items():
        window = f"{low:f} V to {high:f} V"
        if revision == label and not low <= result.low <= result.high <= high:
            yield label, f"the divider of revision {label} leaves its window in the worst case", f"{spread}; {window}"
        elif revision != label and result.low <= high and result.high >= low:
            told = f"the divider of revision {label} reaches into the window of revision {revision}"
            yield f"{label}/{revision}", told, f"{spread}; {window}"


RULES = (
    Rule(
        name="firmware-identity-ambiguous",
        title="Two revisions of a board answer the same code",
        severity="break",
        audience="firmware",
        step="major",
        why="Firmware that asks the board for its revision gets an answer that fits two, and takes the wrong pin map.",
        how="The codes of all revisions in [identity.BOARD] have to differ, their voltage windows must not overlap, "
        "the code of this revision has to be the one in the list, and the voltage of a divider ([derived.NAME]) has to "
        "lie in the window of its revision in the worst case.",
        remedy="Give the revision a code of its own: another strap, another resistor pair, another memory content.",
        witness="The divider of revision C may give 0.41 V, and so may that of revision D.",
        source=PRACTICE,
        check=_ambiguous,
    ),
    Rule(
        name="firmware-unrecognised",
        title="Software can't tell the board from its predecessor",
        severity="caution",
        audience="firmware",
        step="minor",
        why="A release that serves both revisions has nothing to choose by; whoever flashes the wrong one isn't told.",
        how="Where anything changed that firmware or stacked boards can see, the code in [identity.BOARD], or what the "
        "firmware contracts recognise the board by, has to change, too.",
        remedy="Change the strap, the resistor pair or the memory content that the board is recognised by.",
        witness="The board-ID resistor is still the one of revision B, and four pins moved.",
        source=PRACTICE,
        check=_unrecognised,
    ),
)
