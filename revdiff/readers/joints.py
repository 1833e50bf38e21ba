"""Joints, from their table and from the manifest, and whether what they name exists."""

from __future__ import annotations

from collections.abc import Mapping

from revdiff.design import Board, Joint
from revdiff.quantities.text import clean, fold
from revdiff.readers.cells import CellContext, text_reading
from revdiff.readers.columns import JOINTS
from revdiff.readers.entries import JointEntry
from revdiff.readers.faults import Faults
from revdiff.readers.rows import RowReader
from revdiff.readers.spec import TableSpec
from revdiff.readers.table import Table

_ENDS = ("board_a", "connector_a", "board_b", "connector_b")
_SHOWN = 12


def read_joints(table: Table, spec: TableSpec, faults: Faults) -> list[Joint]:
    """The joints of a list of joints."""
    rows = RowReader(table, spec, JOINTS, faults)
    joints = []
    for line, row in table.rows:
        board_a, connector_a, board_b, connector_b = (clean(rows.cell(row, name)) for name in _ENDS)
        order = fold(rows.cell(row, "contacts")) or "same"
        origin = table.origin(line, "connector_a")
        if not (board_a and connector_a and board_b and connector_b) or order not in ("same", "mirrored"):
            faults.fault(
                "wrong-joint",
                "this joint can't be read",
                origin,
                found=clean(" ".join(row)),
                expected='board, connector, board, connector, and "same" or "mirrored"',
                remedy="Correct the row; a joint whose contacts pair otherwise goes into the manifest.",
            )
            continue
        joints.append(Joint(board_a, connector_a.upper(), board_b, connector_b.upper(), order, origin, rows.extra(row)))
    return joints


def joint_of(entry: JointEntry) -> Joint:
    """The joint that an entry of the manifest describes."""
    extra = tuple((key, text_reading(str(value), CellContext())) for key, value in sorted(entry.extra.items()))
    return Joint(
        entry.board_a, entry.connector_a, entry.board_b, entry.connector_b, entry.contacts, entry.origin, extra
    )


def check_joint(joint: Joint, boards: Mapping[str, Board], faults: Faults) -> None:
    """Tells the boards, connectors and contacts that a joint names and the design lacks."""
    sides = joint.ends
    for index, (name, connector) in enumerate(sides):
        board = boards.get(name)
        if board is None:
            _unknown(faults, "unknown-board", f"the board {name}", joint, name, boards)
        elif connector not in board.connectors:
            _unknown(faults, "unknown-connector", f"{name}.{connector}", joint, f"{name}.{connector}", board.connectors)
        elif isinstance(joint.contacts, tuple):
            listed = board.connectors[connector].contacts
            for pair in joint.contacts:
                if listed and pair[index] not in listed:
                    what = f"{name}.{connector}.{pair[index]}"
                    _unknown(faults, "unknown-contact", what, joint, pair[index], listed)


def _unknown(faults: Faults, code: str, what: str, joint: Joint, found: str, known: Mapping[str, object]) -> None:
    names = list(known)
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    faults.fault(
        code,
        f"the joint {joint.name} names {what}, which does not exist",
        joint.origin,
        found=found,
        expected=", ".join(names[:_SHOWN]) + more,
        remedy="Correct the joint.",
    )
