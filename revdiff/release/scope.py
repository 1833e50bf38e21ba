"""What of two revisions could be held against each other at all: no sentence promises more than that."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from revdiff.compare.comparison import Comparison
from revdiff.design import Board, Design, Joint
from revdiff.readers.faults import counted


class Scope(Struct, frozen=True):
    """Numbers of what both revisions have, and what only one has or none.

    ``joints``: those of either revision whose two connectors have contacts. ``runnable``: whether either revision says
    what firmware relies on, by a contract with needs, or by a pin map that both have.
    """

    boards: int
    parts: int
    pins: int
    contacts: int
    terminals: int
    joints: int
    contracts: int
    runnable: bool
    declared: int
    alone: tuple[str, ...]
    faults: int

    @property
    def counts(self) -> str:
        """``140 parts, 48 pins, 40 contacts, 2 joints, 1 firmware contract``; what there is none of is left out."""
        told = [
            (self.parts, "part"),
            (self.pins, "pin"),
            (self.contacts, "contact"),
            (self.terminals, "terminal"),
            (self.joints, "joint"),
            (self.contracts, "firmware contract"),
        ]
        return ", ".join(counted(number, noun) for number, noun in told if number)

    @property
    def not_stacked(self) -> str:
        """Why nothing was judged of boards on each other; empty where it was."""
        if self.joints:
            return ""
        if self.declared:
            return "the connectors of the joints have no contacts"
        return "no joints are declared" if self.boards != 1 else "there is one board, and no joint to another"

    @property
    def not_run(self) -> str:
        """Why nothing was judged of firmware; empty where it was."""
        return "" if self.runnable else "there is no firmware contract, and no pin map of both revisions"

    @property
    def not_compared(self) -> str:
        """What only one revision has, so that it was held against nothing, and what faults hide; empty: nothing."""
        return "; ".join((*self.alone, *([self.left_out] if self.faults else ())))

    @property
    def left_out(self) -> str:
        """What nobody could read."""
        return f"what {counted(self.faults, 'fault')} in the data left out"


def scope_of(comparison: Comparison) -> Scope:
    """What the two designs of a comparison have in common."""
    old, new = comparison.old, comparison.new
    pairs = [(board, new.boards[name]) for name, board in old.boards.items() if name in new.boards]
    joints = {frozenset(joint.ends) for design in (old, new) for joint in design.joints if _carries(design, joint)}
    contracts = {key for design in (old, new) for key, item in design.contracts.items() if item.needs}
    pins = sum(len(two.pins) for one, two in pairs if one.pins and two.pins)
    return Scope(
        boards=len(pairs),
        parts=sum(len(two.parts) for one, two in pairs if one.parts and two.parts),
        pins=pins,
        contacts=sum(_contacts(two) for one, two in pairs if _contacts(one) and _contacts(two)),
        terminals=sum(len(two.nodes) for one, two in pairs if one.nodes and two.nodes),
        joints=len(joints),
        contracts=len(contracts),
        runnable=bool(contracts or pins),
        declared=len(old.joints) + len(new.joints),
        alone=tuple(_alone(pairs)),
        faults=len(
            {
                (item.code, item.origin, item.message)
                for design in (old, new)
                for item in design.diagnostics
                if item.severity == "fault"
            }
        ),
    )


def nothing_changed(comparison: Comparison) -> str:
    """What is said where no change was found: in how much, and what was held against nothing."""
    scope = scope_of(comparison)
    said = f"No change was found in {scope.counts}." if scope.counts else "Nothing was compared: no table is in both."
    return f"{said} Not compared: {scope.not_compared}." if scope.not_compared else said


def nets_compared(comparison: Comparison) -> str:
    """Of how many terminals the nets were compared; empty where not both revisions of any board have a netlist."""
    terminals = scope_of(comparison).terminals
    return f"Of the netlists {counted(terminals, 'terminal')} were compared." if terminals else ""


def documents_agree(design: Design) -> str:
    """What is said where no contradiction was found between documents: how many could be held against each other."""
    pairs = 0
    for board in design.boards.values():
        maps = [board.pins, board.connectors]
        pairs += sum(bool(board.parts and item) for item in maps)
        pairs += sum(bool(board.nodes and item) for item in (board.parts, *maps))
    for contract in design.contracts.values():
        held = design.boards.get(contract.board)
        pairs += bool(contract.needs and held is not None and held.pins)
    if not pairs:
        return "Not judged: no two documents of a board could be held against each other."
    return f"No contradiction was found, in {counted(pairs, 'pair')} of documents that were held against each other."


def _contacts(board: Board) -> int:
    return sum(len(item.contacts) for item in board.connectors.values())


def _carries(design: Design, joint: Joint) -> bool:
    ends = joint.ends
    found = [design.boards[board].connectors.get(name) for board, name in ends if board in design.boards]
    return len(found) == 2 and all(item is not None and item.contacts for item in found)


def _alone(pairs: list[tuple[Board, Board]]) -> Iterator[str]:
    for one, two in pairs:
        for what, before, after in (
            ("the parts list", len(one.parts), len(two.parts)),
            ("the pin map", len(one.pins), len(two.pins)),
            ("the contacts", _contacts(one), _contacts(two)),
            ("the netlist", len(one.nodes), len(two.nodes)),
        ):
            if bool(before) != bool(after):
                yield f"{what} of {two.name}, which only the {'old' if before else 'new'} revision has"
