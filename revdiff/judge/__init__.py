"""The judge: facts once, one engine, causes. ``judge_stack`` for boards as they are, ``judge_change`` for a change."""

from __future__ import annotations

from collections.abc import Iterable

from revdiff.judge.arrangement import Arrangement, Belonging, Member, Program, member
from revdiff.judge.causes import Cause
from revdiff.judge.change import ChangeVerdict, judge_change
from revdiff.judge.engine import Answer, Judged, Verdict, judge

__all__ = [
    "Answer",
    "Arrangement",
    "Cause",
    "ChangeVerdict",
    "Judged",
    "Member",
    "Program",
    "Verdict",
    "judge",
    "judge_change",
    "judge_stack",
    "member",
]


def judge_stack(members: Iterable[Member], taught: Belonging = frozenset()) -> Verdict:
    """The verdict of boards stacked as they are, each a ``member``; the order of naming has no effect."""
    return judge(Arrangement.of(members, taught=taught))
