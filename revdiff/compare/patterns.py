"""The shapes in which a whole connector, or a run of its contacts, is numbered anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

# A pattern is looked at where it accounts for this share of the contacts whose signal did not stay, and for at least
# so many; it is taken where it makes the account shorter.
_SHARE = 0.3
_LEAST = 3
_NEAR = 6  # contacts before a run from which a shift is tried
_INSIDE = 4  # contacts of the run itself, which may have met their signal by chance


class Pattern(NamedTuple):
    """``places``: old number to new number, for the contacts that the pattern puts anywhere."""

    name: str
    places: Mapping[str, str]


def likely_patterns(old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[Pattern]:
    """The renumberings that account for most of the signals that did not stay, the whole connector's first.

    ``old`` and ``new``: contact number to folded signal name. Only contacts with plain numbers are renumbered; a pad
    with a name (a shield, a mounting tab) stays what it is.
    """
    before, after = ({name: signal for name, signal in side.items() if name.isdecimal()} for side in (old, new))
    restless = [number for number, signal in before.items() if signal and after.get(number) != signal]
    if len(restless) < _LEAST or not after:
        return
    named = {name: name for name in old if name not in before}
    still_there = set(after.values())
    needed = max(_LEAST, _SHARE * sum(1 for number in restless if before[number] in still_there))
    for name, places in _candidates(sorted(before, key=int), before, after):
        if sum(1 for number in restless if after.get(places.get(number, "")) == before[number]) >= needed:
            yield Pattern(name, {**places, **named})


def _candidates(numbers: Sequence[str], old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[Pattern]:
    for name, shift in _whole(len(old), len(new)):
        yield Pattern(name, {number: str(shift(int(number))) for number in numbers})
    for offset in _shifts(len(old), len(new)):
        start, end = _run(numbers, old, new, offset)
        if start == end:
            continue
        first, last = _grown(start, end, numbers, old, new)
        # What came or went beside the run hides how far the shift went: it could be any of the contacts there.
        starts = [0, *range(max(first, start - _NEAR), min(start + _INSIDE, end))]
        spans = [(one, two) for one in starts for two in (end, last, len(numbers))]
        for span in dict.fromkeys(spans):
            yield Pattern(f"shifted by {offset:+d}", _shifted(numbers, span, offset))


def _run(numbers: Sequence[str], old: Mapping[str, str], new: Mapping[str, str], offset: int) -> tuple[int, int]:
    """The run of contacts that a shift explains best."""
    best, span, total, start = 0, (0, 0), 0, 0
    for index, number in enumerate(numbers):
        if total <= 0:
            total, start = 0, index
        total += _speaks(old[number], new.get(number), new.get(str(int(number) + offset)))
        if total > best:
            best, span = total, (start, index + 1)
    return span


def _grown(
    first: int, last: int, numbers: Sequence[str], old: Mapping[str, str], new: Mapping[str, str]
) -> tuple[int, int]:
    """A run with the contacts beside it that did not stay."""
    while first > 0 and not _stays(numbers[first - 1], old, new):
        first -= 1
    while last < len(numbers) and not _stays(numbers[last], old, new):
        last += 1
    return first, last


def _shifted(numbers: Sequence[str], span: tuple[int, int], offset: int) -> dict[str, str]:
    """A shift of some contacts; the others keep their numbers, but for those that another one comes to lie on."""
    shifted = {number: str(int(number) + offset) for number in numbers[slice(*span)]}
    taken = set(shifted.values())
    return {number: shifted.get(number, number) for number in numbers if number in shifted or number not in taken}


def _speaks(signal: str, stayed: str | None, shifted: str | None) -> int:
    """What one contact says for a shift: its signal is where the shift puts it, or where it was, or neither."""
    if not signal:
        return 0
    if shifted == signal:
        return 1
    return -2 if stayed == signal else -1


def _stays(number: str, old: Mapping[str, str], new: Mapping[str, str]) -> bool:
    return bool(old[number]) and new.get(number) == old[number]


def _whole(old_size: int, new_size: int) -> Iterator[tuple[str, Callable[[int], int]]]:
    """Ways in which connectors are numbered anew (common practice, no source)."""
    for size in dict.fromkeys((new_size, old_size)):
        yield "numbered from the other end", lambda number, size=size: size + 1 - number  # type: ignore[misc]
    yield "odd and even rows exchanged", lambda number: number + 1 if number % 2 else number - 1
    if old_size == new_size and old_size % 2 == 0:
        half = old_size // 2
        yield "row by row instead of zig-zag", lambda number: (number + 1) // 2 + (0 if number % 2 else half)
        yield (
            "zig-zag instead of row by row",
            lambda number: 2 * number - 1 if number <= half else 2 * (number - half),
        )
        yield (
            "counter-clockwise instead of zig-zag",
            lambda number: (number + 1) // 2 if number % 2 else old_size + 1 - number // 2,
        )
        yield (
            "zig-zag instead of counter-clockwise",
            lambda number: 2 * number - 1 if number <= half else 2 * (old_size + 1 - number),
        )
        yield (
            "second row numbered from the other end",
            lambda number: number if number <= half else old_size + half + 1 - number,
        )


def _shifts(old_size: int, new_size: int) -> Sequence[int]:
    grown = new_size - old_size
    return tuple(dict.fromkeys(shift for shift in (grown, -grown, 2, -2, 1, -1, 4, -4) if shift))


def turned(name: str) -> str:
    """The name of the pattern that undoes another one."""
    if name.startswith("shifted by "):
        return f"shifted by {-int(name.removeprefix('shifted by ')):+d}"
    after, _, before = name.partition(" instead of ")
    return f"{before} instead of {after}" if before else name
