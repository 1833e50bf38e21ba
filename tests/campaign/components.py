"""Which entries and which events hang together, directly or through others."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from typing import TypeVar

One = TypeVar("One")
Two = TypeVar("Two")


def components(
    ones: Sequence[One], twos: Sequence[Two], keys: Callable[[One | Two], Iterable[Hashable]]
) -> Iterator[tuple[list[One], list[Two]]]:
    """Groups of items that share a key, or share one with an item of the group."""
    items: list[One | Two] = [*ones, *twos]
    leader = list(range(len(items)))

    def head(index: int) -> int:
        while leader[index] != index:
            leader[index] = leader[leader[index]]
            index = leader[index]
        return index

    owner: dict[Hashable, int] = {}
    for index, item in enumerate(items):
        for key in keys(item):
            leader[head(index)] = head(owner.setdefault(key, index))
    groups: dict[int, tuple[list[One], list[Two]]] = {}
    for index in range(len(items)):
        group = groups.setdefault(head(index), ([], []))
        if index < len(ones):
            group[0].append(ones[index])
        else:
            group[1].append(twos[index - len(ones)])
    yield from groups.values()
