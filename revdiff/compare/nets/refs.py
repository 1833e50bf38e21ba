"""Who is who among the parts that netlists draw: by the parts list where it has them, else by name and by place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct

from revdiff.compare.change import Change, Match
from revdiff.compare.nets.changes import RENUMBERED
from revdiff.compare.nets.pairing import NetPairs
from revdiff.compare.nets.wires import nowhere
from revdiff.design import Board
from revdiff.quantities.designator import compress, letters_of, natural_key


class DrawnParts(Struct, frozen=True):
    """``names``: old designator to new one, where the two differ. ``renumbered``: those that no parts list tells of."""

    names: Mapping[str, str]
    renumbered: Mapping[str, str]


def drawn_parts(old: Board, new: Board, known: Mapping[str, str], first: NetPairs) -> DrawnParts:
    """Who is who. ``known``: from the parts list, the pin map, the connector map. ``first``: the nets, before that."""
    before, after = ({ref: None for ref, _ in board.nodes} for board in (old, new))
    names = {one: two for one, two in known.items() if one in before}
    taken = set(names.values())
    for ref in before:
        if ref in names:
            continue
        if ref in after and ref not in taken and not (ref in old.parts and ref in new.parts):
            names[ref] = ref
        else:
            names[ref] = nowhere(ref)
    taken = set(names.values())
    gone = [ref for ref, other in names.items() if other == nowhere(ref) and ref not in old.parts]
    come = [ref for ref in after if ref not in taken and ref not in new.parts]
    renumbered = dict(_by_place(old, new, gone, come, first))
    return DrawnParts({one: two for one, two in {**names, **renumbered}.items() if one != two}, renumbered)


def _by_place(
    old: Board, new: Board, gone: Iterable[str], come: Iterable[str], nets: NetPairs
) -> Iterable[tuple[str, str]]:
    """Parts of one class between the same nets, where no other could be meant."""

    def at(board: Board, refs: Iterable[str], follow: Mapping[str, str]) -> dict[object, list[str]]:
        wanted = set(refs)
        pins: dict[str, list[tuple[str, str]]] = {}
        for (ref, pin), node in board.nodes.items():
            if ref in wanted:
                pins.setdefault(ref, []).append((pin, follow.get(node.net.word, node.net.word)))
        places: dict[object, list[str]] = {}
        for ref, found in pins.items():
            places.setdefault((letters_of(ref), frozenset(found)), []).append(ref)
        return places

    before, after = at(old, gone, nets.pairs), at(new, come, {})
    for place, refs in before.items():
        others = after.get(place, [])
        if len(refs) == len(others) == 1:
            yield refs[0], others[0]


def renumbered_change(old: Board, new: Board, parts: DrawnParts) -> Change:
    """Parts that have other designators in the netlist, and are in no parts list."""
    pairs = tuple(sorted(parts.renumbered.items(), key=lambda item: natural_key(item[0])))
    first, second = (
        next(node for (ref, _), node in board.nodes.items() if ref == name)
        for board, name in zip((old, new), pairs[0], strict=True)
    )
    return Change(
        kind="net.part_renumbered",
        boards=(old.name,),
        subject=compress([one for one, _ in pairs]),
        before=compress([one for one, _ in pairs]),
        after=compress([two for _, two in pairs]),
        pairs=pairs,
        pattern=RENUMBERED,
        origin_before=first.origin,
        origin_after=second.origin,
        match=Match("inferred", 0.9, "between the same nets"),
    )
