"""Who is who among the parts of one board."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from collections.abc import Set as AbstractSet

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.change import Match, OtherReading
from revdiff.compare.match.costs import ANOTHER, DESCRIBED, difference, nothing_kept
from revdiff.compare.match.identity import Kinds, known_columns
from revdiff.compare.match.pairing import EXACT, Pairing, match_class, match_names, named
from revdiff.compare.match.wiring import Terminals, terminals_of
from revdiff.compare.nets.pairing import NetPairs
from revdiff.compare.stated import STATED, stated_pairs
from revdiff.design import Board
from revdiff.quantities.designator import letters_of

# Class letters whose parts are named by their place in the circuit rather than by what they are.
PASSIVE = frozenset({"R", "C", "L", "FB", "RN", "RV", "RT", "TP", "JP"})


class PartMatches(Struct, frozen=True):
    """Who is who among the parts of a board: old designator to (new designator, why), and the renumberings.

    ``changed``: the old designators of pairs whose data differ in anything. ``other_readings``: of what was told as
    removed and added.
    """

    pairs: Mapping[str, tuple[str, Match]]
    pairing: tuple[Pairing, ...]
    changed: tuple[str, ...]
    other_readings: tuple[OtherReading, ...] = ()


def match_parts(
    old: Board, new: Board, stated: Mapping[str, str], nets: NetPairs | None = None, *, strict: bool
) -> PartMatches:
    """Matches the parts of one board, class letter by class letter.

    ``stated``: pairs that are known already (renumbered connectors and controllers). ``nets``: who is who among the
    nets, as far as known, where both revisions have a netlist. ``strict``: by name only.
    """
    pairs: dict[str, tuple[str, Match]] = {
        one: (two, Match("stated", 1.0, "told by the connector or pin map"))
        for one, two in stated.items()
        if one in old.parts and two in new.parts
    }
    by_user = {
        one: two
        for one, two in ({} if strict else stated_pairs(old, new)).items()
        if one in old.parts and two in new.parts and one not in pairs
    }
    pairs.update({one: (two, STATED) for one, two in by_user.items()})
    taken = {two for two, _ in pairs.values()}
    kinds = Kinds(known_columns(old.parts.values(), new.parts.values()))
    before = {ref: kinds.of(part.data) for ref, part in old.parts.items()}
    after = {ref: kinds.of(part.data) for ref, part in new.parts.items()}
    one_side = {ref: kind for ref, (kind, _) in before.items() if ref not in pairs}
    other_side = {ref: kind for ref, (kind, _) in after.items() if ref not in taken}
    pairings = [named(by_user)] if by_user else []
    classes = _Classes(old, new, kinds, nets, lambda one, two: before[one][1] == after[two][1], strict=strict)
    for pairing in classes.pairings(one_side, other_side):
        pairings.append(pairing)
        pairs.update({ref: (other, match) for ref, other, match in pairing.pairs})
    changed = tuple(ref for ref, (other, _) in pairs.items() if before[ref][1] != after[other][1])
    readings = tuple(replace(item, board=old.name) for pairing in pairings for item in pairing.other_readings)
    return PartMatches(pairs, tuple(pairings), changed, readings)


def _on_other_names(old: Board, new: Board, both: AbstractSet[str], nets: NetPairs) -> Iterator[str]:
    """The parts with a terminal on a net of another name now. ``both``: the names that both revisions know."""
    for terminal, node in old.nodes.items():
        there = new.nodes.get(terminal)
        if there is None or there.net is node.net:
            continue
        net, other = node.net.word, there.net.word
        if other != net and net in both and other in both and not nets.old.nameless(net):
            yield node.ref


class _Classes:
    """The classes of one board, each matched where anything in it went, came or changed."""

    def __init__(
        self,
        old: Board,
        new: Board,
        kinds: Kinds,
        nets: NetPairs | None,
        twins: Callable[[str, str], bool],
        *,
        strict: bool,
    ) -> None:
        self._twins = twins
        self._kinds = kinds
        self._strict = strict
        self._wires: tuple[Terminals, Terminals] | None = None
        self._moved: frozenset[str] = frozenset()
        if nets is None or strict:
            return
        # A name that both revisions know tells more than terminals, which go by the very numbers that are in doubt.
        before, after = ({node.net.word for node in board.nodes.values()} for board in (old, new))
        known = before & after
        if moved := nets.moved | set(_on_other_names(old, new, known, nets)):
            both = {name for name in known if not nets.old.nameless(name)}
            paired = {
                one: two for one, two in nets.pairs.items() if one == two or (one not in both and two not in both)
            }
            self._wires = terminals_of(old, paired), terminals_of(new, {net: net for net in paired.values()})
            self._moved = moved

    def pairings(self, old: Mapping[str, int], new: Mapping[str, int]) -> Iterator[Pairing]:
        """One pairing for each class letter, and one for the classes in which all stayed."""
        touched = {letters_of(ref) for ref, kind in old.items() if new.get(ref) != kind}
        touched |= {letters_of(ref) for ref in new if ref not in old}
        touched.update(map(letters_of, self._moved))
        stayed = []
        before: dict[str, dict[str, int]] = {prefix: {} for prefix in sorted(touched)}
        after: dict[str, dict[str, int]] = {prefix: {} for prefix in before}
        for ref, kind in old.items():
            members = before.get(letters_of(ref))
            if members is None:
                stayed.append((ref, ref, EXACT))
            else:
                members[ref] = kind
        for ref, kind in new.items():
            members = after.get(letters_of(ref))
            if members is not None:
                members[ref] = kind
        yield Pairing(tuple(stayed))
        for prefix, members in before.items():
            yield self._matched(prefix, members, after[prefix])

    def _matched(self, prefix: str, old: Mapping[str, int], new: Mapping[str, int]) -> Pairing:
        if self._strict:
            return match_names(old, new)
        identities = self._kinds.identities
        passive = prefix in PASSIVE
        differences: dict[tuple[int, int], int] = {}

        def cost(one: int, two: int) -> int:
            known = differences.get((one, two))
            if known is None:
                known = differences[one, two] = self._difference(one, two, passive=passive)
            return known

        return match_class(
            old,
            new,
            cost,
            lambda kind: identities[kind].blank,
            lambda kind: [(item.meaning, item.unclear) for item in identities[kind]],
            self._wires,
            self._twins,
        )

    def _difference(self, one: int, two: int, *, passive: bool) -> int:
        before, after = self._kinds.identities[one], self._kinds.identities[two]
        words = self._kinds.words
        if not passive and nothing_kept(before, after) and not words[one] & words[two]:
            return ANOTHER
        return difference(before, after) + (0 if words[one] == words[two] else DESCRIBED)
