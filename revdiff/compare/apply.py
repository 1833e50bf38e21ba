"""The changes between two designs, applied to the first of them: the proof that a comparison loses nothing.

What belongs to the whole design is done here; the tables of one board in ``apply_board``.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from typing import Any

from msgspec.structs import replace

from revdiff.compare.apply_board import apply_to_board
from revdiff.compare.apply_rows import with_fields
from revdiff.compare.change import Change, FieldChange
from revdiff.design import EMPTY, Contract, Design, Joint, Need, Reading
from revdiff.errors import DataFault
from revdiff.quantities.text import fold
from revdiff.readers.sections import DESIGN_KEYS
from revdiff.readers.sections_board import BOARD_KEYS

_ENDS = ("board_a", "connector_a", "board_b", "connector_b")


def apply_changes(changes: Iterable[Change], design: Design) -> Design:
    """The design after the changes of a comparison whose first design it is.

    ``compare_designs`` finds nothing between the result and the comparison's second design, and the records of
    the two are equal, but for: places in files; fields that could not be compared because a text has two
    meanings; values of the manifest's own fields, which are given back as text; which side of a joint is
    named first; netlists, which stay as they are, and with them names that programs made from parts. A board that
    was added is refused, since a change doesn't carry all its tables.

    Raises DataFault for an added board, and where the changes don't fit the design.
    """
    found = list(changes)
    added = [change.subject for change in found if change.kind == "board.added"]
    if added:
        raise DataFault(f"a change that adds the board {added[0]} doesn't carry its tables, so it can't be applied")
    by_board: dict[str, list[Change]] = {}
    for change in found:
        for name in change.boards:
            by_board.setdefault(name, []).append(change)
    removed = {change.subject for change in found if change.kind == "board.removed"}
    try:
        boards = {
            name: apply_to_board(by_board.get(name, []), board)
            for name, board in design.boards.items()
            if name not in removed
        }
        contracts = _contracts(found, design)
        joints = _joints(found, design)
    except (KeyError, IndexError, StopIteration) as error:
        raise DataFault(f"these changes don't fit the design: {error} is not there") from None
    result = dataclasses.replace(design, boards=boards, contracts=contracts, joints=joints)
    return _manifest(found, result)


# joints


def _joints(changes: list[Change], design: Design) -> tuple[Joint, ...]:
    renumbered = {
        (change.board, one): two
        for change in changes
        if change.kind == "connector.renumbered"
        for one, two in change.pairs
    }
    gone = {_joint_name(change, "before") for change in changes if change.kind == "joint.removed"}
    altered = {change.pairs[0][0]: change for change in changes if change.kind == "joint.changed"}
    found = []
    for joint in design.joints:
        if joint.name in gone:
            continue
        change = altered.get(joint.name)
        later = dataclasses.replace(
            joint,
            connector_a=renumbered.get((joint.board_a, joint.connector_a), joint.connector_a),
            connector_b=renumbered.get((joint.board_b, joint.connector_b), joint.connector_b),
        )
        found.append(later if change is None else _altered_joint(later, change))
    for change in changes:
        if change.kind == "joint.added":
            board_a, connector_a, board_b, connector_b = (_after(change, name).raw for name in _ENDS)
            origin = change.origin_after or design.origin
            joint = Joint(board_a, connector_a, board_b, connector_b, "same", origin)
            found.append(_altered_joint(joint, change))
    return tuple(found)


def _joint_name(change: Change, side: str) -> str:
    ends = [getattr(item, side).raw for name in _ENDS if (item := change.field(name)) is not None]
    return "{}.{}–{}.{}".format(*ends)


def _altered_joint(joint: Joint, change: Change) -> Joint:
    contacts = joint.contacts
    extra = []
    for item in change.fields:
        if item.name == "contacts":
            contacts = item.after.meaning  # type: ignore[assignment]
        elif item.name not in _ENDS:
            extra.append(item)
    return dataclasses.replace(with_fields(joint, extra), contacts=contacts)


def _after(change: Change, name: str) -> Reading:
    item = change.field(name)
    return item.after if item is not None else EMPTY


# firmware contracts


def _contracts(changes: list[Change], design: Design) -> dict[str, Contract]:
    found = dict(design.contracts)
    for change in changes:
        if change.kind in ("signal.renamed", "part.renumbered"):
            for item in change.fields:
                if item.name.startswith("firmware."):
                    key = item.name.removeprefix("firmware.")
                    found[key] = _followed(found[key], change, item)
    for change in changes:
        if not change.kind.startswith("contract."):
            continue
        before, after = change.pairs[0]
        if not after:
            del found[before]
            continue
        blank = Contract(
            key=after, name="", version="", board="", device="", needs={}, origin=change.origin_after or design.origin
        )
        found[after] = _altered_contract(found[before] if before else blank, change)
    return found


def _followed(contract: Contract, change: Change, item: FieldChange) -> Contract:
    """A contract that names a renamed signal or a renumbered controller as the boards do."""
    if change.kind == "part.renumbered":
        return dataclasses.replace(contract, device=item.after.raw)
    before, after = item.before.word, item.after.word
    needs = {
        after if name == before else name: dataclasses.replace(need, signal=item.after) if name == before else need
        for name, need in contract.needs.items()
    }
    return dataclasses.replace(contract, needs=needs)


def _altered_contract(contract: Contract, change: Change) -> Contract:
    own: dict[str, Any] = {}
    values = {"constants": dict(contract.constants), "addresses": dict(contract.addresses)}
    needs: dict[str, list[FieldChange]] = {}
    extra = []
    known = {fold(name.removeprefix("needs.").rpartition(".")[0]) for name in (item.name for item in change.fields)}
    known |= set(contract.needs)
    for item in change.fields:
        group, _, rest = item.name.partition(".")
        if item.name in ("clock", "recognises"):
            own[item.name] = item.after
        elif item.name in ("name", "version", "board", "device"):
            own[item.name] = item.after.raw
        elif rest and group in values:
            values[group][rest] = item.after
            if not item.after:
                del values[group][rest]
        elif rest and group == "needs":
            signal = max((name for name in known if fold(rest).startswith(f"{name}.")), key=len)
            needs.setdefault(signal, []).append(FieldChange(rest[len(signal) + 1 :], item.before, item.after))
        else:
            extra.append(item)
    return dataclasses.replace(
        contract,
        **own,
        constants=values["constants"],
        addresses=values["addresses"],
        needs=_altered_needs(contract, needs),
        extra=_with_values(contract.extra, extra),
    )


def _altered_needs(contract: Contract, changed: Mapping[str, list[FieldChange]]) -> dict[str, Need]:
    found = dict(contract.needs)
    for signal, items in changed.items():
        need = found.get(signal) or Need(signal=EMPTY, origin=contract.origin)
        altered = with_fields(need, items)
        if altered.signal:
            found[signal] = altered
        else:
            del found[signal]
    return found


# the manifest's own fields


def _manifest(changes: list[Change], design: Design) -> Design:
    boards = dict(design.boards)
    own: list[FieldChange] = []
    for change in changes:
        if change.kind != "design.field":
            continue
        if not change.board:
            own += change.fields
        elif change.board in boards:
            boards[change.board] = _titled(boards[change.board], change.fields, ("title", "revision"))
    result: Design = _titled(dataclasses.replace(design, boards=boards), own, ("name", "title"))
    return result


def _titled(record: Any, items: Iterable[FieldChange], names: tuple[str, ...]) -> Any:
    texts = {item.name: item.after.raw for item in items if item.name in names}
    known = [item for item in items if item.name.partition(".")[0] in (*BOARD_KEYS, *DESIGN_KEYS)]
    own = [item for item in items if item.name not in names and item not in known]
    sections = replace(record.sections, texts=_with_values(record.sections.texts, known))
    return dataclasses.replace(record, **texts, extra=_with_values(record.extra, own), sections=sections)


def _with_values(values: Mapping[str, Any], items: Iterable[FieldChange]) -> dict[str, Any]:
    """Nested values with some leaves set or taken out; a leaf is named by its dotted path."""
    found = _copy(values)
    for item in items:
        *sections, leaf = _steps(found, item.name)
        within = found
        for section in sections:
            if not isinstance(within.get(section), dict):
                within[section] = {}
            within = within[section]
        if item.after:
            within[leaf] = item.after.raw
        else:
            within.pop(leaf, None)
    return found


def _steps(values: Mapping[str, Any], path: str) -> list[str]:
    """A dotted path as keys; a key that holds a dot itself is known by being there."""
    for name, value in values.items():
        if path == name:
            return [name]
        if path.startswith(f"{name}.") and isinstance(value, dict):
            return [name, *_steps(value, path[len(name) + 1 :])]
    return path.split(".")


def _copy(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _copy(value) if isinstance(value, Mapping) else value for name, value in values.items()}
