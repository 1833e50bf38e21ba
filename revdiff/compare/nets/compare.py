"""The nets of one board in two revisions: who is who, then what differs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from revdiff.compare.change import Change
from revdiff.compare.nets.changes import net_changes
from revdiff.compare.nets.pairing import NetPairs, pair_nets, same_names
from revdiff.compare.nets.refs import drawn_parts, renumbered_change
from revdiff.compare.nets.wires import nowhere, wires_of
from revdiff.compare.parts import PartMatches
from revdiff.design import Board


def first_pairs(old: Board, new: Board, names: Mapping[str, str], *, strict: bool) -> NetPairs:
    """Who is who among the nets while parts are known by name only.

    ``names``: renumbered connectors and controllers. ``strict``: by the names of the nets only.
    """
    after = {ref for ref, _ in new.nodes}
    taken = set(names.values())
    refs: dict[str, str] = {}
    for ref in {ref for ref, _ in old.nodes}:
        other = names.get(ref) or (nowhere(ref) if ref in taken or ref not in after else ref)
        if other != ref:
            refs[ref] = other
    return _pairs(old, new, refs, strict=strict)


def _pairs(old: Board, new: Board, refs: Mapping[str, str], *, strict: bool) -> NetPairs:
    whole = old.whole and new.whole
    wires = wires_of(old, refs, whole=whole), wires_of(new, {}, whole=whole)
    return same_names(*wires) if strict else pair_nets(*wires, (old, new))


def compare_nets(
    old: Board,
    new: Board,
    parts: PartMatches,
    names: Mapping[str, str],
    first: NetPairs,
    changes: Sequence[Change],
    follow: Callable[[str], str],
    *,
    strict: bool,
) -> tuple[NetPairs, list[Change]]:
    """Who is who among the nets now that the parts are known, and all changes: ``changes`` and those of the nets.

    ``changes``: of the tables, of which nothing is told again. ``follow``: what a signal of the tables is called now.
    """
    known = {one: two for one, (two, _) in parts.pairs.items()} | dict(names)
    drawn = drawn_parts(old, new, known, first)
    before = {node.ref: ref for (ref, _), node in first.old.nodes.items()}
    same = all(drawn.names.get(ref, ref) == known_as for ref, known_as in before.items())
    pairs = first if same else _pairs(old, new, drawn.names, strict=strict)
    mine = [item for item in changes if item.board == old.name]
    found = [item for item in changes if item.board != old.name]
    found += net_changes(old, new, pairs, mine, follow)
    if drawn.renumbered and not strict:
        found.append(renumbered_change(old, new, drawn))
    return pairs, found
