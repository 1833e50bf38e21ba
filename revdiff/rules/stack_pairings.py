"""Every stack that two revisions make possible, beside the stack of old boards that was known to work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from revdiff.compare.comparison import Comparison
from revdiff.design import Design
from revdiff.rules.finding import Role
from revdiff.rules.stack_digest import digest
from revdiff.rules.stack_joints import Layer
from revdiff.rules.stack_model import Stack

_MOST = 4  # changed boards up to which every combination is judged; beyond that, one against the others


@dataclass(frozen=True, slots=True)
class StackPairing:
    """The stack of old boards, None where there was none, and the stacks with at least one new board."""

    old: Stack | None
    new: tuple[Stack, ...]


def stack_pairings(comparison: Comparison, old_name: str, new_name: str) -> tuple[StackPairing, ...]:
    """One for each group of boards that joints hold together, where anything in it changed for its neighbours."""
    old, new = comparison.old, comparison.new
    sides: Mapping[bool, tuple[Design, str, Role]] = {False: (old, old_name, "old"), True: (new, new_name, "new")}
    found = []
    for boards in _groups(new):
        faces = {name: (digest(old, name) if name in old.boards else "", digest(new, name)) for name in boards}
        changed = [name for name in boards if faces[name][0] != faces[name][1]]
        if not changed:
            continue
        before = None
        if all(name in old.boards for name in boards):
            before = Stack(tuple(Layer.of(old, name, old_name, role="old") for name in boards), fresh=False)
        stacks = []
        for choice in _choices(tuple(name in old.boards for name in changed)):
            picked = dict(zip(changed, choice, strict=True))
            origin = new if all(choice) else old
            layers = []
            for name in boards:
                if name in picked:
                    design, revision, role = sides[picked[name]]
                    layers.append(Layer.of(design, name, revision, new=picked[name], role=role))
                else:
                    layers.append(Layer.of(origin, name, f"{old_name}/{new_name}"))
            stacks.append(Stack(tuple(layers), fresh=False, trusted=old))
        found.append(StackPairing(before, tuple(stacks)))
    return tuple(found)


def _choices(has_old: tuple[bool, ...]) -> Iterator[tuple[bool, ...]]:
    """Which of the changed boards are new: all of them first, never none."""
    if len(has_old) <= _MOST:
        options = [(True, False) if old else (True,) for old in has_old]
        yield from (choice for choice in product(*options) if any(choice))
        return
    yield (True,) * len(has_old)
    for index, old in enumerate(has_old):
        if old and all(has_old):
            yield tuple(position == index for position in range(len(has_old)))
            yield tuple(position != index for position in range(len(has_old)))


def _groups(design: Design) -> list[list[str]]:
    """The boards that joints hold together, in the order of the manifest."""
    groups: dict[str, set[str]] = {}
    for joint in design.joints:
        if joint.board_a in design.boards and joint.board_b in design.boards:
            one = groups.setdefault(joint.board_a, {joint.board_a})
            two = groups.setdefault(joint.board_b, {joint.board_b})
            if one is not two:
                one |= two
                groups.update(dict.fromkeys(two, one))
    order = list(design.boards)
    return [sorted(group, key=order.index) for group in {id(item): item for item in groups.values()}.values()]
