"""One sentence for each reader, and the pairings that the sentences rest on."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from textwrap import shorten

from msgspec import Struct

from revdiff.compare.nets.reach import reached
from revdiff.compare.part_changes import REPLACED
from revdiff.judge.causes import stem
from revdiff.judge.effects import unjudged_parts
from revdiff.judge.engine import NOT_STATED, Judged, Unmade
from revdiff.judge.finding import Finding
from revdiff.judge.names import ById
from revdiff.quantities.designator import natural_key
from revdiff.release.review import Review
from revdiff.release.scope import Scope, scope_of
from revdiff.release.standing import Standing, broken_together, sees, standing
from revdiff.release.stock import stock_rows

_LISTED = 4  # combinations that are named
_REASON = 110  # characters of the reason for which nobody can tell
_NEVER = "nobody can tell, and nobody could before; revdiff ready tells what is missing"


class Verdict(Struct, frozen=True):
    """``answer`` is yes, no or unknown; ``sentence`` says it in words, bounded by what was compared."""

    reader: str
    answer: str
    sentence: str


def counted(number: int, noun: str) -> str:
    """``1 change``, ``2 changes``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def verdicts(review: Review) -> tuple[Verdict, ...]:
    """The verdicts for those who stack boards, write firmware, and build or buy, in this order."""
    return _verdicts(ById(review.whole))


@lru_cache(maxsize=1)
def _verdicts(key: ById) -> tuple[Verdict, ...]:
    review: Review = key.design
    scope, stood = scope_of(review.comparison), standing(review)
    return (_stacking(review, scope, stood), _firmware(review, scope, stood), _parts(review, scope))


def _stacking(review: Review, scope: Scope, stood: Standing) -> Verdict:
    reader = "Stacking"
    found = [item for item in review.findings if item.severity == "break" and sees(item, "stacking")]
    if broken := [item for item in found if item.audience == "stacking"] or found:
        return Verdict(reader, "no", _unfit(broken))
    if scope.not_stacked:
        return Verdict(reader, "unknown", f"Not judged: {scope.not_stacked}.")
    if told := _stood(reader, stood.of("stacking"), review.new.name):
        return told
    if behind := _failing(review, stood):
        sentence = f"Between boards nothing was found broken, but no stack works with {behind}: firmware doesn't fit."
        return Verdict(reader, "no", sentence)
    if doubts := review.verdict.doubts("stacking"):
        return Verdict(reader, "unknown", f"Nobody can tell whether old and new boards fit: {_why(doubts)}.")
    if stood.of("stacking").doubted:
        return Verdict(reader, "unknown", f"Whether old and new boards fit, {_NEVER}.")
    if behind := _reached(review, pins=False):
        sentence = f"The boards changed behind {behind}: somebody has to look whether what is stacked on them minds."
        return Verdict(reader, "unknown", sentence)
    cautions = (item for item in review.findings if item.severity == "caution" and item.crossing)
    seen = any(item.audience == "stacking" for item in cautions)
    if seen or any(change.group == "stacking" for change in review.changes):
        sentence = f"What changed between boards breaks no pairing of old and new ones, over {_joined(scope)}."
        return Verdict(reader, "yes", sentence)
    return Verdict(reader, "yes", f"Nothing changed that stacked boards can see, in {_joined(scope)}.")


def _why(doubts: Iterable[Judged | Unmade]) -> str:
    """The first reason, one that may stand behind others first, and how many more there are."""
    told = list(dict.fromkeys(map(_reason, sorted(doubts, key=lambda item: not _of_the_data(item)))))
    return told[0] + (f"; and {len(told) - 1} more" if len(told) > 1 else "")


def _of_the_data(doubt: Judged | Unmade) -> bool:
    """Whether it is a fault, of which other checks may be in want."""
    return isinstance(doubt, Unmade) and bool(doubt.subject) and doubt.why != NOT_STATED


def _reason(doubt: Judged | Unmade) -> str:
    if isinstance(doubt, Judged):
        return shorten(f"{doubt.item.subject}: {doubt.rule.title[0].lower()}{doubt.rule.title[1:]}", _REASON)
    if doubt.why != NOT_STATED:
        return shorten(f"{doubt.subject or doubt.needs}: {doubt.why}", _REASON)
    return shorten(f"nothing states {doubt.needs}" + (f", for {doubt.subject}" if doubt.subject else ""), _REASON)


def _failing(review: Review, stood: Standing) -> str:
    """The boards of joints that don't work with the firmware that the new revision has for them; else empty."""
    joined = {name for one in review.comparison.new.joints for name in (one.board_a, one.board_b)}
    boards = {
        party.name: None
        for item in (*broken_together(review), *stood.before)
        if sees(item, "firmware")
        for party in item.parties
        if not party.firmware and party.name in joined
    }
    return ", ".join(f"new {name}" for name in sorted(boards, key=natural_key))


def _stood(reader: str, stood: Standing, name: str) -> Verdict | None:
    """What no change brought, where the new revision doesn't fit all the same."""
    if stood.before:
        return Verdict(reader, "no", f"Nothing was newly broken, but already broken: {unfit_before(stood.before)}.")
    if stood.mixed:
        still = "still broken where old meets new, as it was before"
        return Verdict(reader, "no", f"Nothing was newly broken; {still}: {unfit_before(stood.mixed)}.")
    if stood.itself:
        told = (
            f"By the tables of {name} alone, this doesn't fit: {unfit_before(stood.itself)}; revdiff ready tells why."
        )
        return Verdict(reader, "unknown", told)
    return None


def unfit_before(broken: Iterable[Finding]) -> str:
    """``base + blink, radio``: what doesn't fit, without revisions."""
    sets = dict.fromkeys(frozenset(stem(party.name) for party in item.parties) for item in broken)
    return _named(sets, sets)


def _joined(scope: Scope) -> str:
    return f"{counted(scope.joints, 'joint')} and {counted(scope.contacts, 'contact')}"


def _reached(review: Review, *, pins: bool) -> str:
    """The pins or contacts whose nets lead elsewhere now, as far as no table tells of them; else empty."""
    listed = sorted(reached(review.comparison, review.changes, pins=pins), key=natural_key)
    more = f" and {len(listed) - _LISTED} more" if len(listed) > _LISTED else ""
    return ", ".join(listed[:_LISTED]) + more


def is_alone(finding: Finding) -> bool:
    """Whether it is about one thing by itself, whatever that is combined with."""
    return len({party.name for party in finding.parties}) == 1


def _firmware(review: Review, scope: Scope, stood: Standing) -> Verdict:
    reader = "Firmware"
    broken = [item for item in review.findings if item.audience == "firmware" and item.severity == "break"]
    if broken:
        return Verdict(reader, "no", _unfit(broken))
    if told := _stood(reader, stood.of("firmware"), review.new.name):
        return told
    if doubts := review.verdict.doubts("firmware"):
        return Verdict(reader, "unknown", f"Nobody can tell whether firmware and board fit: {_why(doubts)}.")
    if stood.of("firmware").doubted:
        return Verdict(reader, "unknown", f"Whether firmware and board fit, {_NEVER}.")
    if not scope.pins:
        return Verdict(reader, "unknown", "Not judged: there is no pin map of both revisions.")
    kinds = {change.kind for change in review.changes}
    if behind := _reached(review, pins=True):
        sentence = f"The nets of {behind} lead elsewhere now: somebody has to look whether released firmware minds."
        return Verdict(reader, "unknown", sentence)
    if any(kind.startswith("pin.") and kind != "pin.field" for kind in kinds):
        if not scope.contracts:
            return Verdict(
                reader, "unknown", "Pins changed; no firmware contract says whether released firmware minds."
            )
        held = counted(scope.contracts, "firmware contract")
        return Verdict(reader, "yes", f"Pins changed; of {held}, none was found broken.")
    alone = "" if scope.contracts else " No firmware contract is declared."
    renamed = ", but signals were renamed" if "signal.renamed" in kinds else ""
    return Verdict(reader, "yes", f"None of {counted(scope.pins, 'pin')} changed{renamed}.{alone}")


def _unfit(broken: Iterable[Finding]) -> str:
    """What must not be put together, without revisions: old with new, and what doesn't fit though all of it is new."""
    mixed: dict[frozenset[str], None] = {}
    new: dict[frozenset[str], None] = {}
    for item in broken:
        names = frozenset(stem(party.name) for party in item.parties)
        own = {party.role for party in item.parties} <= {"new", ""}
        (new if own else mixed).setdefault(names)
    sets = {**mixed, **new}
    told = []
    if pairs := [item for item in mixed if len(item) > 1]:
        told.append(f"don't mix {_named(pairs, sets)}")
    if pairs := [item for item in new if len(item) > 1 and item not in mixed]:
        told.append(f"new {_named(pairs, sets)} {_plural(len(pairs), 'doesn', 'don')}'t fit")
    alone = [item for item in sets if len(item) == 1 and not any(item < other for other in sets)]
    if alone:
        itself = _plural(len(alone), "itself doesn", "themselves don")
        told.append(f"{_named(alone, sets)} by {itself}'t work as before")
    text = "; ".join(told)
    return f"{text[0].upper()}{text[1:]}."


def _plural(number: int, one: str, many: str) -> str:
    return one if number == 1 else many


def _named(sets: Iterable[frozenset[str]], among: Iterable[frozenset[str]]) -> str:
    """``base + valves, radio``: the largest sets, a few by name."""
    most = [one for one in sets if not any(one < other for other in among)]
    names = sorted((" + ".join(sorted(one, key=natural_key)) for one in most), key=natural_key)
    rest = len(names) - _LISTED
    return ", ".join(names[:_LISTED]) + (f" and {rest} more" if rest > 0 else "")


def _parts(review: Review, scope: Scope) -> Verdict:
    reader = "Parts"
    if not scope.parts:
        return Verdict(reader, "unknown", "Not judged: there is no parts list of both revisions.")
    if doubts := review.verdict.doubts("assembly"):
        return Verdict(reader, "unknown", f"Nobody can tell whether the same parts are placed: {_why(doubts)}.")
    kinds = {change.kind for change in review.changes if change.kind.startswith("part.")}
    pieces = len(stock_rows(review))
    unjudged = sum(map(len, unjudged_parts(review.verdict.revisions).values()))
    does = "does" if unjudged == 1 else "do"
    effect = f"; what {counted(unjudged, 'part')} now {does} is not judged" if unjudged else ""
    others = sum(1 for change in review.changes if change.kind in ("part.cost", "part.lifecycle"))
    rest = effect + (f"; {counted(others, 'change')} of price or life cycle" if others else "")
    if not pieces and kinds & {"part.added", "part.removed", "part.fitted", *REPLACED}:
        return Verdict(reader, "no", f"What is placed changed: old and new boards need different parts{rest}.")
    if pieces or kinds & {"part.added", "part.removed", "part.fitted", *REPLACED}:
        changes = _plural(pieces, "changes", "change")
        return Verdict(reader, "no", f"{counted(pieces, 'part number')} {changes} in count{effect or rest}.")
    if "part.renumbered" in kinds:
        told = "By the parts list the same parts are placed; designators were renumbered or exchanged"
        return Verdict(reader, "yes", f"{told}{rest}.")
    but = f", but for {scope.left_out}" if scope.faults else ""
    return Verdict(reader, "yes", f"The same parts are placed, {counted(scope.parts, 'part')} in all{but}{rest}.")
