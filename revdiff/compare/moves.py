"""Where signals went among numbered places: the pins of devices or the contacts of connectors.

Works on places and signal names alone, so that pins and contacts are traced by the same rules.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping

from msgspec import Struct

from revdiff.compare.patterns import Pattern, likely_patterns, turned
from revdiff.quantities.designator import natural_key

_ROTATION = 5  # places of the longest rotation that is believed as one event
_FEW = 3  # places of a signal, up to which it is followed from one connector to another

Places = Mapping[str, str]  # name of the place -> folded signal name, empty where unused
Pair = tuple[str, str]  # a place before, a place after
Unlike = Callable[[str, str], bool]


class Links(Struct, frozen=True):
    """Which places carry the same signal, before any judgement of what that means.

    ``matched``: old place to new place; unused places that stayed unused are matched too. ``home``: where a
    pattern puts an old place, empty where it puts it nowhere; a place it doesn't name is expected where it
    was. ``pattern`` and ``shaped``: the pattern in words and the places that followed it.
    """

    matched: Mapping[str, str]
    home: Mapping[str, str] = {}
    pattern: str = ""
    shaped: tuple[Pair, ...] = ()


class Moves(Struct, frozen=True):
    """What became of every place. All pairs are (old place, new place).

    ``matched``: the same signal, wherever it is now. ``cycles``: moves that trade places, in order. ``moved``:
    single moves. ``replaced``: one place in both revisions, whose old signal is found nowhere any more or whose
    new one was nowhere before. ``lost`` and ``gained``: places that only one revision has, unless their signal
    moved. ``vacated``: places whose signal moved away, still there and unused. ``listed`` and ``unlisted``: places that
    appear or disappear by themselves, beside the signal that moved to or from them.
    """

    matched: tuple[Pair, ...]
    cycles: tuple[tuple[Pair, ...], ...]
    moved: tuple[Pair, ...]
    replaced: tuple[Pair, ...]
    lost: tuple[str, ...]
    gained: tuple[str, ...]
    vacated: tuple[Pair, ...]
    listed: frozenset[str]
    unlisted: frozenset[str]

    def sources(self) -> frozenset[str]:
        """The old places whose signal was found again."""
        return frozenset(number for number, _ in self.matched)

    def targets(self) -> frozenset[str]:
        """The new places whose signal was there before."""
        return frozenset(number for _, number in self.matched)


def link(old: Places, new: Places, *, patterns: bool, strict: bool = False, unlike: Unlike | None = None) -> Links:
    """Links the places of one device or connector.

    ``patterns``: look first for a renumbering of the whole, and judge everything from where it puts things.
    ``strict``: only equal numbers are the same place. ``unlike``: whether an old and a new place differ in more than
    their signal; between patterns that explain as much, it decides.
    """
    if strict:
        return Links({number: number for number, signal in old.items() if new.get(number) == signal})
    # Both directions are worked out in one of them, so that B to A tells the mirror image of A to B.
    if sorted(old.items()) > sorted(new.items()):
        back = None if unlike is None else lambda one, two: unlike(two, one)
        return _turned(link(new, old, patterns=patterns, unlike=back), old)
    plain = Links(_pair_signals(old, new))
    if not patterns:
        return plain
    found = [_shaped(old, new, pattern) for pattern in likely_patterns(old, new)]
    found += [_turned(_shaped(new, old, pattern), old) for pattern in likely_patterns(new, old)]
    if not found:
        return plain

    def cost(links: Links) -> tuple[int, int, int]:
        events = bool(links.pattern) + _events(trace(old, new, links))
        differing = sum(1 for pair in links.matched.items() if unlike is not None and unlike(*pair))
        return events, differing, sum(1 for place, target in links.home.items() if place != target)

    return min([plain, *found], key=cost)


def _turned(links: Links, old: Places) -> Links:
    """Links from new to old as links from ``old`` to new."""
    matched = {target: place for place, target in links.matched.items()}
    if not links.pattern:
        return Links(matched)
    back = {target: place for place, target in links.home.items() if target}
    home = {place: back.get(place, "") for place in old}
    shaped = _sorted((target, place) for place, target in links.shaped)
    return Links(matched, home, turned(links.pattern), shaped)


def _shaped(old: Places, new: Places, pattern: Pattern) -> Links:
    """The links as seen from where a pattern puts every place."""
    home = {number: pattern.places.get(number, "") for number in old}
    there = {target or _nowhere(number): number for number, target in home.items()}
    found = _pair_signals({target: old[number] for target, number in there.items()}, new)
    shaped = [(there[place], target) for place, target in found.items() if place == target != there[place]]
    return Links({there[place]: target for place, target in found.items()}, home, pattern.name, _sorted(shaped))


def _events(moves: Moves) -> int:
    """How many changes a person would have to be told; a long rotation is hardly one that anybody made as such."""
    singles = sum(len(items) for items in (moves.moved, moves.replaced, moves.lost, moves.gained))
    return singles + sum(max(1, len(cycle) - _ROTATION + 1) for cycle in moves.cycles)


def link_across(old: Places, new: Places, matched: Mapping[str, str]) -> dict[str, str]:
    """Signals that left one device or connector and came to another one of the board, each exactly once.

    Only signals on few places: nobody follows one ground among many across connectors.
    """
    leaving = _by_signal(old, matched)
    coming = _by_signal(new, frozenset(matched.values()))
    found = {}
    for signal, places in leaving.items():
        everywhere = sum(1 for item in old.values() if item == signal)
        if len(places) == len(coming.get(signal, ())) == 1 and everywhere <= _FEW:
            found[places[0]] = coming[signal][0]
    return found


def trace(old: Places, new: Places, links: Links) -> Moves:
    """Tells what became of every place, given which ones carry the same signal."""
    matched = links.matched
    home = {place: links.home.get(place, place) for place in old}
    targets = frozenset(matched.values())
    at_home = {target: place for place, target in home.items() if target}
    moves = {place: target for place, target in matched.items() if target != home[place]}
    cycles, single = _split_cycles(moves, home)
    replaced, vacated, gained = [], [], []
    for target, signal in new.items():
        place = at_home.get(target)
        if place is None:
            if target not in targets:
                gained.append(target)
        elif (place not in matched and old[place]) or (target not in targets and signal):
            replaced.append((place, target))
        elif place in matched and target not in targets:
            vacated.append((place, target))
    lost = [place for place, target in home.items() if place not in matched and target not in new]
    rows = (set(old) - set(lost)) | targets | set(gained) | {target for _, target in replaced}
    return Moves(
        matched=_sorted(matched.items()),
        cycles=tuple(tuple(cycle) for cycle in cycles),
        moved=_sorted(single.items()),
        replaced=_sorted(replaced),
        lost=tuple(sorted(lost, key=natural_key)),
        gained=tuple(sorted(gained, key=natural_key)),
        vacated=_sorted(vacated),
        listed=frozenset(set(new) - rows),
        unlisted=frozenset(rows - set(new)),
    )


def _sorted(pairs: Iterable[Pair]) -> tuple[Pair, ...]:
    return tuple(sorted(pairs, key=lambda pair: natural_key(pair[0])))


def _nowhere(place: str) -> str:
    """A name for a place that a pattern puts nowhere; no place of a design has such a name."""
    return f"\0{place}"


def _pair_signals(old: Places, new: Places) -> dict[str, str]:
    """Old place to new place of the same signal: where it stayed, else where it went."""
    matched = {number: number for number, signal in old.items() if number in new and new[number] == signal}
    leaving = _by_signal(old, matched)
    coming = _by_signal(new, set(matched.values()))
    for signal, places in leaving.items():
        targets = coming.get(signal, [])
        # A signal on several places (a ground) is followed where it trades places, and where as many places
        # came as went; otherwise some were given up or added, and none moved.
        for number in list(places):
            trade = next((target for target in targets if old.get(target) and old[target] == new.get(number)), None)
            if trade is not None:
                matched[number] = trade
                places.remove(number)
                targets.remove(trade)
        if len(places) == len(targets):
            matched.update(zip(places, targets, strict=True))
    return matched


def _by_signal(places: Places, settled: Container[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for number in sorted(places, key=natural_key):
        if places[number] and number not in settled:
            found.setdefault(places[number], []).append(number)
    return found


def _split_cycles(moves: Mapping[str, str], home: Mapping[str, str]) -> tuple[list[list[Pair]], dict[str, str]]:
    """Moves that close into cycles, and the others. A cycle closes where a signal goes to the home of the first."""
    single = dict(moves)
    owner = {home[place] or _nowhere(place): place for place in moves}
    cycles = []
    for start in sorted(moves, key=natural_key):
        if start not in single:
            continue
        path = [start]
        while True:
            step = owner.get(single[path[-1]])
            if step is None or step not in single or step in path:
                break
            path.append(step)
        if owner.get(single[path[-1]]) == start:
            cycles.append([(place, single.pop(place)) for place in path])
    return cycles, single
