"""Who is who among the parts of one board."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from revdiff.compare.change import Match
from revdiff.compare.part_class import Kinds
from revdiff.compare.renumbering import Pairing, match_class, match_names
from revdiff.design import Board, Part, Reading
from revdiff.quantities.designator import parse_designator

# Class letters whose parts are named by their place in the circuit rather than by what they are.
PASSIVE = frozenset({"R", "C", "L", "FB", "RN", "RV", "RT", "TP", "JP"})


@dataclass(frozen=True, slots=True)
class PartMatches:
    """Who is who among the parts of a board: old designator to (new designator, why), and the renumberings."""

    pairs: Mapping[str, tuple[str, Match]]
    pairing: tuple[Pairing, ...]


def match_parts(
    old: Board, new: Board, stated: Mapping[str, str], renamed: Callable[[str], str] = str, *, strict: bool
) -> PartMatches:
    """Matches the parts of one board, class letter by class letter.

    ``stated``: pairs that are known already (renumbered connectors and controllers). ``renamed``: the new name of
    an old signal, for the nets at the terminals, which count where both revisions have a netlist. ``strict``: by
    name only.
    """
    known = {
        one: (two, Match("stated", 1.0, "told by the connector or pin map"))
        for one, two in stated.items()
        if one in old.parts and two in new.parts
    }
    taken = {two for two, _ in known.values()}
    kinds = Kinds()
    wired = bool(old.nodes and new.nodes)
    before_nets = _nets(old, renamed) if wired else {}
    after_nets = _nets(new, str) if wired else {}
    before = _by_class({ref: part for ref, part in old.parts.items() if ref not in known}, kinds, before_nets)
    after = _by_class({ref: part for ref, part in new.parts.items() if ref not in taken}, kinds, after_nets)
    pairs: dict[str, tuple[str, Match]] = dict(known)
    pairings = []
    for prefix in sorted({*before, *after}):
        one, two = before.get(prefix, {}), after.get(prefix, {})
        pairing = match_names(one, two) if strict else match_class(one, two, kinds.data, passive=prefix in PASSIVE)
        pairings.append(pairing)
        pairs.update({ref: (other, match) for ref, other, match in pairing.pairs})
    return PartMatches(pairs, tuple(pairings))


def _nets(board: Board, renamed: Callable[[str], str]) -> dict[str, Reading]:
    """The nets at the terminals of each part, as one reading."""
    found: dict[str, set[str]] = {}
    for node in board.nodes.values():
        if node.net:
            found.setdefault(node.ref, set()).add(renamed(node.net.word))
    return {ref: Reading(", ".join(sorted(nets)), tuple(sorted(nets))) for ref, nets in found.items()}


def _by_class(parts: Mapping[str, Part], kinds: Kinds, nets: Mapping[str, Reading]) -> dict[str, dict[str, int]]:
    found: dict[str, dict[str, int]] = {}
    for ref, part in parts.items():
        designator = parse_designator(ref)
        data = replace(part.data, nets=nets[ref]) if ref in nets else part.data
        found.setdefault(designator.prefix if designator is not None else "", {})[ref] = kinds.of(data)
    return found
