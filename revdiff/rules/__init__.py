"""Changes and pairings to findings."""

from revdiff.rules.finding import Finding, NotChecked
from revdiff.rules.judge import Judgement, judge

__all__ = ["Finding", "Judgement", "NotChecked", "judge"]
