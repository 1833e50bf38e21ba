"""The judge: facts once, one engine, causes. ``judge_stack`` for boards as they are, ``judge_change`` for a change."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from revdiff.design import Design
from revdiff.judge.arrangement import Arrangement, Belonging, Member, Program, member
from revdiff.judge.causes import Cause
from revdiff.judge.change import ChangeVerdict, groups, judge_change
from revdiff.judge.engine import Answer, Judged, Verdict, judge
from revdiff.judge.programs import own_programs

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
    stack = Arrangement.of(members, taught=taught)
    programs = tuple(program for item in stack.members for program in own_programs(item))
    return judge(replace(stack, programs=programs))
