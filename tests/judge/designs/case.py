"""A record of the table."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Literal

from tests.judge.designs.worked import Figure

PRACTICE = "common practice, no source"
MEMORY = "from memory"


class Answer(Enum):
    """What must come out. SOUND leaves open whether care is asked for, UNFIT whether it is a hazard."""

    FITS = "fits"
    CARE = "fits with care"
    SOUND = "fits, perhaps with care"
    TELL = "cannot tell"
    TOLD = "told as a caution or more"
    BREAK = "does not fit, no hazard"
    UNFIT = "does not fit"
    HAZARD = "does not fit, and can hurt or destroy"


FITS, CARE, SOUND, TELL = Answer.FITS, Answer.CARE, Answer.SOUND, Answer.TELL
TOLD, BREAK, UNFIT, HAZARD = Answer.TOLD, Answer.BREAK, Answer.UNFIT, Answer.HAZARD
COMPATIBLE = frozenset({FITS, CARE, SOUND})
Edit = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Case:
    """``change``: edits of the text that make the second revision; without any, the boards are stacked as they are.

    ``rules``: one of them must be the one that says it. ``figures``: each must be told with it. ``needs``: what an
    answer "cannot tell" must ask for. ``ask``: ``compare`` goes through the command of that name.
    """

    name: str
    text: str
    answer: Answer
    rules: tuple[str, ...] = ()
    figures: tuple[Figure, ...] = ()
    source: str = PRACTICE
    change: tuple[Edit, ...] = ()
    needs: str = ""
    ask: Literal["", "compare"] = ""

    @property
    def second(self) -> str:
        """The text of the second revision."""
        text = self.text
        for before, after in self.change:
            assert before in text, f"{self.name}: {before!r} isn't there"
            text = text.replace(before, after)
        return text
