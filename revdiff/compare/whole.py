"""Changes of what belongs to the whole design: boards, joints, firmware contracts, the manifest's own fields."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from revdiff.compare.change import Change, FieldChange, Unclear
from revdiff.compare.fields import changed_extra, changed_fields, changed_values
from revdiff.compare.records import all_fields, side
from revdiff.compare.signals import Renames
from revdiff.design import EMPTY, Board, Contract, Design, Joint, Need, Reading
from revdiff.design.model import readings_of
from revdiff.quantities.text import fold

Names = Mapping[str, Mapping[str, str]]


def board_changes(old: Design, new: Design) -> Iterator[Change]:
    """Boards that came or went as a whole; their parts and connectors are not listed one by one."""
    for name, board in old.boards.items():
        if name not in new.boards:
            yield Change(
                kind="board.removed",
                boards=(name,),
                subject=name,
                before=_board_text(board),
                origin_before=board.origin,
            )
    for name, board in new.boards.items():
        if name not in old.boards:
            yield Change(
                kind="board.added",
                boards=(name,),
                subject=name,
                after=_board_text(board),
                origin_after=board.origin,
            )


def _board_text(board: Board) -> str:
    return f"{len(board.parts)} parts, {len(board.connectors)} connectors"


# joints


def joint_changes(old: Design, new: Design, connectors: Names) -> Iterator[Change]:
    """Joints that came, went, or pair their contacts in another way. ``connectors``: renumbered ones per board."""
    before = {_joint_key(joint, connectors): joint for joint in old.joints}
    after = {_joint_key(joint, {}): joint for joint in new.joints}
    for key, joint in before.items():
        other = after.get(key)
        if other is None:
            yield Change(
                kind="joint.removed",
                boards=(),
                subject=joint.name,
                before=joint.name,
                fields=_joint_fields(joint, None, connectors),
                origin_before=joint.origin,
            )
            continue
        fields = _joint_fields(joint, other, connectors)
        if fields:
            yield Change(
                kind="joint.changed",
                boards=(),
                subject=other.name,
                before=side(fields, "before"),
                after=side(fields, "after"),
                fields=fields,
                pairs=((joint.name, other.name),),
                origin_before=joint.origin,
                origin_after=other.origin,
            )
    for key, joint in after.items():
        if key not in before:
            yield Change(
                kind="joint.added",
                boards=(),
                subject=joint.name,
                after=joint.name,
                fields=_joint_fields(None, joint, {}),
                origin_after=joint.origin,
            )


def _end(board: str, connector: str, connectors: Names) -> tuple[str, str]:
    return board, connectors.get(board, {}).get(connector, connector)


def _joint_key(joint: Joint, connectors: Names) -> frozenset[tuple[str, str]]:
    ends = joint.ends
    return frozenset(_end(*end, connectors) for end in ends)


def _joint_fields(old: Joint | None, new: Joint | None, connectors: Names) -> tuple[FieldChange, ...]:
    extra = changed_extra(old.extra if old else (), new.extra if new else ())
    if old is not None and new is not None:
        turned = _end(old.board_a, old.connector_a, connectors) != (new.board_a, new.connector_a)
        before, after = _pairing(old, turned=False), _pairing(new, turned=turned)
        return (*(() if before == after else (FieldChange("contacts", before, after),)), *extra)
    before = EMPTY if old is None else _pairing(old, turned=False)
    after = EMPTY if new is None else _pairing(new, turned=False)
    return (*_joint_ends(old, new), FieldChange("contacts", before, after), *extra)


def _joint_ends(old: Joint | None, new: Joint | None) -> tuple[FieldChange, ...]:
    """The four names of a joint that came or went."""
    names = ("board_a", "connector_a", "board_b", "connector_b")
    return tuple(
        FieldChange(
            name,
            Reading(getattr(old, name), getattr(old, name)) if old is not None else EMPTY,
            Reading(getattr(new, name), getattr(new, name)) if new is not None else EMPTY,
        )
        for name in names
    )


def _pairing(joint: Joint, *, turned: bool) -> Reading:
    """How contacts pair, seen from the same side in both revisions."""
    if not isinstance(joint.contacts, tuple):
        return Reading(joint.contacts, joint.contacts)
    pairs = sorted((two, one) if turned else (one, two) for one, two in joint.contacts)
    return Reading(", ".join(f"{one}={two}" for one, two in pairs), tuple(pairs))


# firmware contracts


def contract_changes(
    old: Design, new: Design, renames: Renames, devices: Names, unclear: list[Unclear]
) -> Iterator[Change]:
    """One change for each contract that came, went or relies on something else."""
    for key, contract in old.contracts.items():
        if key not in new.contracts:
            yield Change(
                kind="contract.removed",
                boards=(contract.board,) if contract.board else (),
                subject=contract.name,
                before=contract.title,
                fields=contract_fields(contract, None, renames, devices, unclear),
                pairs=((key, ""),),
                origin_before=contract.origin,
            )
    for key, contract in new.contracts.items():
        before = old.contracts.get(key)
        if before is None:
            yield Change(
                kind="contract.added",
                boards=(contract.board,) if contract.board else (),
                subject=contract.name,
                after=contract.title,
                fields=contract_fields(None, contract, renames, devices, unclear),
                pairs=(("", key),),
                origin_after=contract.origin,
            )
            continue
        if old.lent_by or new.lent_by:  # a lent manifest can't know the version
            before, contract = replace(before, version=""), replace(contract, version="")
        fields = contract_fields(before, contract, renames, devices, unclear)
        if fields:
            yield Change(
                kind="contract.changed",
                boards=(contract.board,) if contract.board else (),
                subject=contract.name,
                before=before.title,
                after=contract.title,
                fields=fields,
                pairs=((key, key),),
                origin_before=before.origin,
                origin_after=contract.origin,
            )


def contract_fields(
    old: Contract | None, new: Contract | None, renames: Renames, devices: Names, unclear: list[Unclear]
) -> tuple[FieldChange, ...]:
    """Every field of a contract that differs; the needs as ``needs.SIGNAL.field``."""
    before = _contract_values(old, devices, new) if old is not None else {}
    after = _contract_values(new, {}, None) if new is not None else {}
    fields, unknown = changed_fields(before, after)
    if new is not None:
        unclear += [
            Unclear(new.board, new.name, item.name, item.before.raw, item.after.raw, new.origin) for item in unknown
        ]
    found = [*fields, *changed_values(old.extra if old else {}, new.extra if new else {})]
    needs_new = dict(new.needs) if new is not None else {}
    needs_old = {}
    if old is not None:
        # A contract that goes on naming the old signal did not change, though the boards did.
        for key, need in old.needs.items():
            renamed = renames.of(old.board, key) if new is not None else key
            followed = key not in needs_new and renamed in needs_new and renamed not in old.needs
            needs_old[renamed if followed else key] = need
    for key in sorted({*needs_old, *needs_new}):
        found += _need_fields(needs_old.get(key), needs_new.get(key))
    return tuple(found)


def _need_fields(old: Need | None, new: Need | None) -> Iterator[FieldChange]:
    if old == new:
        return
    shown = new if new is not None else old
    assert shown is not None
    name = f"needs.{shown.signal.raw}"
    if old is None or new is None:
        for item in all_fields(old, new):
            yield FieldChange(f"{name}.{item.name}", item.before, item.after)
        return
    before, after = readings_of(old), readings_of(new)
    before.pop("signal")
    after.pop("signal")
    different, _ = changed_fields(before, after)
    for item in (*different, *changed_extra(old.extra, new.extra)):
        yield FieldChange(f"{name}.{item.name}", item.before, item.after)


def _contract_values(contract: Contract, devices: Names, later: Contract | None) -> dict[str, Reading]:
    device = contract.device
    if later is None or later.device != device:
        device = devices.get(contract.board, {}).get(device, device)
    values = {
        "name": _word(contract.name),
        "version": _word(contract.version),
        "board": _word(contract.board),
        "device": _word(device),
        "clock": contract.clock,
        "recognises": contract.recognises,
    }
    values.update({f"constants.{name}": item for name, item in sorted(contract.constants.items())})
    values.update({f"addresses.{name}": item for name, item in sorted(contract.addresses.items())})
    return values


def _word(text: str) -> Reading:
    return Reading(text, fold(text)) if text else EMPTY


# the manifest's own fields


def manifest_changes(old: Design, new: Design) -> Iterator[Change]:
    """Titles, printed revisions and the fields that are the user's own, one change for each.

    None where one of the two was read by a manifest that isn't its own.
    """
    if old.lent_by or new.lent_by:
        return
    yield from _values(
        "",
        "design",
        {"name": old.name, "title": old.title, **old.sections.texts, **old.extra},
        {"name": new.name, "title": new.title, **new.sections.texts, **new.extra},
        old.origin,
        new.origin,
    )
    for name, before in old.boards.items():
        after = new.boards.get(name)
        if after is not None:
            yield from _values(
                name,
                name,
                {"title": before.title, "revision": before.revision, **before.sections.texts, **before.extra},
                {"title": after.title, "revision": after.revision, **after.sections.texts, **after.extra},
                before.origin,
                after.origin,
            )


def _values(
    board: str, subject: str, old: Mapping[str, Any], new: Mapping[str, Any], origin_old: Any, origin_new: Any
) -> Iterator[Change]:
    for item in changed_values(old, new):
        yield Change(
            kind="design.field",
            boards=(board,) if board else (),
            subject=f"{subject}.{item.name}",
            before=item.before.raw,
            after=item.after.raw,
            fields=(item,),
            origin_before=origin_old,
            origin_after=origin_new,
        )
