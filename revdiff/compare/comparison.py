"""Two designs to the changes between them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from msgspec import Struct

from revdiff.compare.change import Change, OtherReading, Unclear, with_ids
from revdiff.compare.columns import settle_columns
from revdiff.compare.connector_match import match_connectors
from revdiff.compare.connectors import connector_changes
from revdiff.compare.controllers import replaced_controllers, replacements, without
from revdiff.compare.devices import device_names
from revdiff.compare.headers import aligned
from revdiff.compare.kinds import order_of
from revdiff.compare.nets.compare import compare_nets, first_pairs
from revdiff.compare.nets.pairing import NetPairs
from revdiff.compare.packages import settle_packages
from revdiff.compare.part_changes import controller_changes, part_changes
from revdiff.compare.parts import PartMatches, match_parts
from revdiff.compare.pins import pin_changes
from revdiff.compare.signals import Renames, find_renames
from revdiff.compare.whole import board_changes, contract_changes, joint_changes, manifest_changes
from revdiff.design import Design
from revdiff.quantities.designator import natural_key


class Comparison(Struct, frozen=True, kw_only=True):
    """The changes between two designs, and who was taken for whom on the way.

    ``devices`` and ``connectors``: per board, old name to new name where that differs. ``parts``: per board.
    ``nets``: per board with a netlist in both revisions. ``unclear``: fields that could mean two things and were not
    compared.
    """

    old: Design
    new: Design
    changes: tuple[Change, ...]
    unclear: tuple[Unclear, ...]
    renames: Renames
    devices: Mapping[str, Mapping[str, str]]
    connectors: Mapping[str, Mapping[str, str]]
    parts: Mapping[str, PartMatches]
    nets: Mapping[str, NetPairs]

    @property
    def other_readings(self) -> tuple[OtherReading, ...]:
        """What was told as parts removed and added, and may be the same parts under other numbers."""
        return tuple(item for matches in self.parts.values() for item in matches.other_readings)


def compare_designs(old: Design, new: Design, *, strict_names: bool = False) -> Comparison:
    """Compares two designs. ``strict_names``: what has another name is another thing; nothing is inferred."""
    old, new = settle_packages(old, new)
    stated, given = old, new
    unclear: list[Unclear] = []
    columns = settle_columns(old, aligned(old, new), unclear, strict=strict_names)
    old, new = columns.old, columns.new
    shared = [name for name in old.boards if name in new.boards]
    # What may be told as packing only is the old revision's word: a change must not judge itself.
    packing = old.sections.packing_suffixes
    changes: list[Change] = [*board_changes(old, new), *columns.changes]
    matches = {name: match_connectors(old.boards[name], new.boards[name], strict=strict_names) for name in shared}
    connectors = {name: item.names() for name, item in matches.items()}
    devices = {name: {} if strict_names else device_names(old.boards[name], new.boards[name]) for name in shared}
    nets = {
        name: first_pairs(
            old.boards[name], new.boards[name], {**connectors[name], **devices[name]}, strict=strict_names
        )
        for name in shared
        if old.boards[name].nodes and new.boards[name].nodes
    }
    renames = Renames({}) if strict_names else find_renames(old, new, devices, matches, nets)
    changes += renames.changes
    parts: dict[str, PartMatches] = {}
    for name in shared:
        one, two = old.boards[name], new.boards[name]
        changes += connector_changes(one, two, matches[name], renames, unclear, strict=strict_names)
        other = {} if strict_names else replaced_controllers(one, two, devices[name])
        changes += replacements(one, two, other, renames)
        kept, there = without(one, other), without(two, other.values())
        changes += pin_changes(kept, there, renames, devices[name], unclear, strict=strict_names)
        known = {**connectors[name], **devices[name]}
        parts[name] = match_parts(one, two, known, nets.get(name), strict=strict_names)
        changes += controller_changes(old, new, name, devices[name])
        changes += part_changes(one, two, parts[name], unclear, packing)
        if name in nets:
            nets[name], changes = compare_nets(
                one, two, parts[name], known, nets[name], changes, partial(renames.follow, name), strict=strict_names
            )
    changes += joint_changes(old, new, connectors)
    changes += contract_changes(old, new, renames, devices, unclear)
    changes += manifest_changes(old, new)
    boards = {name: index for index, name in enumerate(sorted({*old.boards, *new.boards}))}
    changes.sort(
        key=lambda item: (
            order_of(item.kind),
            boards.get(item.boards[0], -1) if item.boards else -1,
            natural_key(item.subject),
            item.before,
            item.after,
        )
    )
    return Comparison(
        old=stated,
        new=given,
        changes=with_ids(changes),
        unclear=tuple(sorted(unclear, key=lambda item: (item.board, natural_key(item.subject), item.field))),
        renames=renames,
        devices=devices,
        connectors=connectors,
        parts=parts,
        nets=nets,
    )
