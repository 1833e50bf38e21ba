"""What no change brought and yet doesn't fit: nobody is told "not broken" of what was broken before.

The new revision by itself is judged as ``revdiff ready`` judges it, so that no two commands answer differently.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from revdiff.judge import ChangeVerdict
from revdiff.judge.engine import Judged, Unmade, Verdict
from revdiff.judge.finding import Audience, Finding
from revdiff.release.review import Review

_FRESH = ("new", "worse")


class Standing(Struct, frozen=True):
    """Findings that are neither new nor worse.

    ``before``: breaks that both revisions have by themselves; ``mixed``: those of the old one that the new one cured,
    and that old with new still has. ``itself``: breaks of the new revision by its own tables alone, where what is known
    from the old one explains them away. ``doubted``: whom nobody can tell of some combination that
    isn't broken anyway; ``new_doubted``: of the new revision by itself. Nobody could before, either.
    """

    before: tuple[Finding, ...] = ()
    mixed: tuple[Finding, ...] = ()
    itself: tuple[Finding, ...] = ()
    doubted: frozenset[Audience] = frozenset()
    new_doubted: frozenset[Audience] = frozenset()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All of them."""
        return (*self.before, *self.mixed, *self.itself)

    def of(self, audience: Audience) -> Standing:
        """What those readers see: who stacks boards, also what firmware breaks among several."""
        return Standing(
            tuple(item for item in self.before if sees(item, audience)),
            tuple(item for item in self.mixed if sees(item, audience)),
            tuple(item for item in self.itself if sees(item, audience)),
            self.doubted & {audience},
            self.new_doubted & {audience},
        )


def sees(item: Finding, audience: Audience) -> bool:
    """Whether a finding is for those readers; of several boards, also for those who stack them."""
    boards = sum(not party.firmware for party in item.parties)
    return item.audience == audience or (audience == "stacking" and boards > 1)


def standing(review: Review) -> Standing:
    """Of all arrangements of two revisions that the change makes possible, and of the new one by itself."""
    verdict = review.verdict
    crossed = {_same(item): item for item in verdict.judged}
    told = {key for key, item in crossed.items() if item.state in _FRESH}
    stood = {key: item for key, item in crossed.items() if key not in told and _breaks(item)}
    own = {_same(item): item for one in verdict.own for item in one.judged if _breaks(item) and _same(item) not in told}
    known = {*stood}
    if own.keys() - known:
        known |= {_same(item) for one in verdict.own_before for item in one.judged if _breaks(item)}
    new_doubted = frozenset(_new_doubted(verdict))
    return Standing(
        tuple(item.finding() for key, item in own.items() if key in known),
        tuple(item.finding() for key, item in stood.items() if key not in own),
        tuple(item.finding() for key, item in own.items() if key not in known),
        new_doubted.union(one.audience for one in _unknown(verdict.crossings) if one.stood),
        new_doubted,
    )


def broken_together(review: Review) -> tuple[Finding, ...]:
    """What the change breaks where every board is new and runs what is released for it.

    Not what one board by itself is to others that nobody named, a socket with another voltage.
    """
    own = {_same(item) for one in review.verdict.own for item in one.judged if _breaks(item)}
    fresh = (item for one in review.verdict.together for item in one.judged if item.state in _FRESH and _breaks(item))
    met = (item for item in fresh if _same(item) in own or len({party.name for party in item.own}) > 1)
    return tuple(dict.fromkeys(item.finding() for item in met))


def _same(item: Judged) -> tuple[object, ...]:
    return item.rule.name, item.item.key


def _breaks(item: Judged) -> bool:
    return item.danger in ("hazard", "break")


def _unknown(verdicts: Iterable[Verdict]) -> Iterator[Unmade]:
    """What could not be checked where nothing else says that it doesn't fit."""
    for one in verdicts:
        if one.answer != "does not fit":
            yield from (item for item in one.unmade if item.essential or item.stood)


def _new_doubted(verdict: ChangeVerdict) -> Iterator[Audience]:
    """Of the new revision by itself; what the old one explains is no doubt."""
    own = dict(_doubts(verdict.own))
    if own:
        yield from (own[key] for key, _ in _doubts(verdict.own_before) if key in own)


def _doubts(verdicts: Iterable[Verdict]) -> Iterator[tuple[object, Audience]]:
    for one in verdicts:
        yield from (((item.check, item.subject), item.audience) for item in _unknown((one,)))
        yield from ((_same(item), item.rule.audience) for item in one.judged if item.danger == "doubt")
