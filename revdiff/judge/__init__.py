"""The judge: facts once, one engine, causes. ``judge_stack`` for boards as they are, ``judge_change`` for a change."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

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


def judge_stack(members: Iterable[Member], taught: Belonging = frozenset()) -> Verdict:
    """The verdict of boards stacked as they are, each a ``member`` that runs its own firmware.

    The order of naming has no effect. ``taught``: ends that belong together though their names differ.
    """
    stack = Arrangement.of(_settled(members), taught=taught)
    programs = tuple(program for item in stack.members for program in own_programs(item))
    return replace(judge(replace(stack, programs=programs)), missing=tuple(missing_of(stack.members)))


def _settled(members: Iterable[Member]) -> list[Member]:
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

    most = sorted(designs.values(), key=lambda design: -sum(holds(design, item) for item in given))
    of = [next(design for design in most if holds(design, item)) for item in given]
    return [
        replace(item, design=design, board=design.boards[item.board.name])
        for item, design in zip(given, of, strict=True)
    ]
