"""The judge: facts once, one engine, causes. ``judge_stack`` for boards as they are, ``judge_change`` for a change."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from functools import partial
from typing import Any, TypeAlias

from msgspec.structs import replace

from revdiff.design import Design
from revdiff.judge.arrangement import Arrangement, Belonging, Member, Program, member
from revdiff.judge.causes import Cause
from revdiff.judge.change import ChangeVerdict, groups, judge_change
from revdiff.judge.digest import digest
from revdiff.judge.engine import Answer, Judged, Verdict, judge
from revdiff.judge.missing import missing_of
from revdiff.judge.programs import own_programs
from revdiff.quantities.designator import natural_key

__all__ = [
    "Answer",
    "Arrangement",
    "Belonging",
    "Cause",
    "ChangeVerdict",
    "Judged",
    "Member",
    "Program",
    "Shared",
    "Verdict",
    "judge",
    "judge_change",
    "judge_itself",
    "judge_stack",
    "member",
]


def judge_itself(design: Design, revision: str) -> tuple[Verdict, ...]:
    """A revision against itself: its boards stacked by its joints, each with its own firmware; one for each stack."""
    stacks = groups(design, design)
    return tuple(judge_stack(member(design, board, revision) for board in boards) for boards in stacks)


Shared: TypeAlias = dict[object, dict[object, Any]]
"""What has been worked out already, by the limits that it rests on."""


def judge_stack(members: Iterable[Member], taught: Belonging = frozenset(), shared: Shared | None = None) -> Verdict:
    """The verdict of boards stacked as they are, each a ``member`` that runs its own firmware.

    The order of naming has no effect. ``taught``: ends that belong together though their names differ. ``shared``:
    given again with further stacks of the same members, what they have in common is worked out once.
    """
    known = {} if shared is None else shared
    stack = Arrangement.of(_settled(members, known.setdefault("", {})), taught=taught)
    worked = known.setdefault(stack.policy, {})
    stack = dataclasses.replace(stack, shared=worked)
    own = (stack.once("programs", partial(tuple, own_programs(item)), item) for item in stack.members)
    programs = tuple(program for found in own for program in found)
    verdict = judge(dataclasses.replace(stack, programs=programs))
    return replace(verdict, missing=tuple(missing_of(stack.members)))


def _settled(members: Iterable[Member], worked: dict[object, Any]) -> list[Member]:
    """Each as of the design that holds most of the boards as they are here.

    A board that has not changed from one revision to the other is one thing, whichever of the two names it.
    """
    given = sorted(members, key=lambda item: natural_key(item.name))
    designs = {id(item.design): item.design for item in given}
    if len(designs) < 2:
        return given

    def holds(design: Design, item: Member) -> bool:
        name = item.board.name
        return design is item.design or (name in design.boards and digest(design, name) == digest(item.design, name))

    def as_of(design: Design, item: Member) -> Member:
        return item if design is item.design else replace(item, design=design, board=design.boards[item.board.name])

    most = sorted(designs.values(), key=lambda design: -sum(holds(design, item) for item in given))
    of = [next(design for design in most if holds(design, item)) for item in given]
    memory = Arrangement((), shared=worked)
    return [
        memory.once("as of", partial(as_of, design, item), design, item) for item, design in zip(given, of, strict=True)
    ]
