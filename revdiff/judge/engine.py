"""The one engine: every rule over every item of an arrangement, what could not be checked, and what is new in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cached_property
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from revdiff.judge.arrangement import Arrangement, Member, Program
from revdiff.judge.doubts import doubts
from revdiff.judge.fact import Ask, Unknown
from revdiff.judge.facts import Facts
from revdiff.judge.finding import Audience, Finding, NotChecked, Party, Severity
from revdiff.judge.registry import OF_ARRANGEMENTS, OF_CHANGES
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import PRACTICE, ChangeRule, Danger, Declared, Item, Margin, Outcome, Rule
from revdiff.judge.waivers import Waived, WaiverUse
from revdiff.quantities.designator import natural_key

Answer = Literal["fits", "fits with care", "does not fit", "cannot tell", "not judged"]
State = Literal["", "new", "worse", "still so", "better, still over"]
_ORDER: tuple[Danger, ...] = ("hazard", "break", "doubt", "caution", "info")
SEVERITY_OF: Mapping[Danger, Severity] = {
    "hazard": "break",
    "break": "break",
    "doubt": "caution",
    "caution": "caution",
    "info": "info",
}
Key = tuple[object, ...]
NOT_STATED = "nothing states it"
_LISTED = 4  # places of one kind of check that are named


class Judged(Struct, frozen=True):
    """A predicate that doesn't hold. ``state``: against the arrangement that worked; empty where there is none.

    ``around``: the boards, or else the releases, of the whole arrangement that are new: what it comes from where
    nothing of its own is new; ``more``: how many other places are alike.
    """

    rule: Declared
    item: Item
    margin: Margin
    danger: Danger
    state: State
    assumed: tuple[str, ...]
    sources: tuple[str, ...]
    around: tuple[Member | Program, ...] = ()
    more: int = 0

    @property
    def own(self) -> tuple[Party, ...]:
        """The firmware releases and boards that it is about."""
        return _parties((*self.item.programs, *self.item.members))

    @property
    def parties(self) -> tuple[Party, ...]:
        """The same, with what is new around them where it comes from that."""
        if any(party.role == "new" for party in self.own):
            return self.own
        return _parties((*self.item.programs, *self.item.members, *self.around))

    def finding(self, changes: tuple[str, ...] = ()) -> Finding:
        """For people."""
        parties = self.parties
        crossing = " with ".join(map(str, parties)) if any(item.role for item in parties) else ""
        source = "; ".join(self.sources) or (self.rule.source if self.rule.source != PRACTICE else "")
        places: dict[str, object] = {}
        for member, record in self.item.records:
            cells = [name for name in self.rule.about if name in record.origin.columns]
            place = record.origin.of(cells[0]) if len(cells) == 1 else record.origin
            places.setdefault("origin_before" if member.role == "old" else "origin_after", place)
        others = f" (and {self.more} more alike)" if self.more else ""
        resting = f"; assumed: {'; '.join(self.assumed)}" if self.assumed else ""
        return Finding(
            rule=self.rule.name,
            severity=SEVERITY_OF[self.danger],
            audience=self.rule.audience,
            step=self.rule.step if SEVERITY_OF[self.danger] == "break" else "minor",
            parties=parties,
            subject=self.item.subject,
            message=self.margin.message + others + resting,
            crossing="" if isinstance(self.rule, ChangeRule) else crossing,
            arithmetic=self.margin.arithmetic,
            limit=self.margin.limit,
            source=source,
            remedy=self.rule.remedy,
            changes=self.item.changes or changes,
            assumed=self.assumed,
            hazard=self.danger == "hazard",
            doubt=self.danger == "doubt",
            **places,  # type: ignore[arg-type]
        )


def _parties(found: Iterable[Member | Program]) -> tuple[Party, ...]:
    """Releases first, then boards in their order, each once."""
    parties = dict.fromkeys(item.party for item in found)
    return tuple(
        sorted(parties, key=lambda party: (not party.firmware, [] if party.firmware else natural_key(party.name)))
    )


class Unmade(Struct, frozen=True):
    """A check that could not be made; ``essential``: without it nobody can tell whether things fit.

    ``stood``: nobody could tell in the arrangement that worked either, so that it is no longer essential to a change.
    """

    check: str
    subject: str
    needs: str
    essential: bool
    why: str = NOT_STATED
    audience: Audience = "stacking"
    stood: bool = False


class Verdict(Struct, frozen=True, dict=True):
    """Of one arrangement: what was found, how many checks were made, and which could not be.

    ``missing``: what no rule could ask about.
    """

    title: str
    judged: tuple[Judged, ...]
    made: int
    unmade: tuple[Unmade, ...]
    missing: tuple[NotChecked, ...] = ()
    accepted: Waived | None = None

    @property
    def waivers(self) -> tuple[WaiverUse, ...]:
        """What became of every waiver, where somebody has held the findings against them."""
        return self.accepted.uses if self.accepted is not None else ()

    def __eq__(self, other: object) -> bool:
        mine, theirs = self._told, other._told if isinstance(other, Verdict) else None
        return mine == theirs

    __hash__ = None  # type: ignore[assignment]

    @property
    def _told(self) -> object:
        return self.title, self.findings, self.made, self.unmade, self.missing

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """For people, the strongest first."""
        if self.accepted is not None:
            return self.accepted.findings
        return tuple(item.finding() for item in self.judged)

    @property
    def not_checked(self) -> tuple[NotChecked, ...]:
        """What could not be checked, things of one kind that need the same together."""
        return (*self.missing, *told_together(self.unmade))

    @property
    def checks(self) -> int:
        """Those that were made and those that could not be."""
        return self.made + len(self.unmade)

    @property
    def coverage(self) -> str:
        """``41 of 44 checks made``."""
        return f"{self.made} of {self.checks} checks made"

    @property
    def answer(self) -> Answer:
        """The verdict."""
        dangers = {item.danger for item in self.judged if item.state in ("", "new", "worse")}
        return answer(dangers, self.made, essential=any(item.essential for item in self.unmade))


def told_together(unmade: Iterable[Unmade]) -> tuple[NotChecked, ...]:
    """Checks that could not be made, for people: those of one kind that need the same on one line."""
    groups: dict[tuple[str, str, str], list[Unmade]] = {}
    for item in unmade:
        groups.setdefault((item.check, item.why, item.needs), []).append(item)
    found = []
    for (check, why, needs), items in groups.items():
        listed = list(dict.fromkeys(item.subject for item in items if item.subject))
        more = f" and {len(listed) - _LISTED} more" if len(listed) > _LISTED else ""
        places = f": {', '.join(listed[:_LISTED])}{more}" if listed else ""
        found.append(NotChecked(f"{check}{places}", why, needs, tuple(dict.fromkeys(item.audience for item in items))))
    return tuple(found)


def answer(dangers: Iterable[Danger], made: int, *, essential: bool) -> Answer:
    """The verdict of what was found and what could not be checked."""
    found = set(dangers)
    if found & {"hazard", "break"}:
        return "does not fit"
    if essential or "doubt" in found:
        return "cannot tell"
    if not made:
        return "not judged"
    return "fits with care" if "caution" in found else "fits"


class Worked(Struct, frozen=True):
    """Of an arrangement that worked: the worst margin of each predicate, and those that nobody could tell.

    ``unknown``: the essential ones of these; ``unmade``: all, even where another place of the same key could be told.
    """

    margins: Mapping[Key, Margin]
    unknown: frozenset[Key]
    unmade: frozenset[Key] = frozenset()


def judge(arrangement: Arrangement, worked: Worked | None = None) -> Verdict:
    """Every rule over every item. ``worked``: the arrangement that worked, for what is new to be told from the rest."""
    return _Run(arrangement, worked).verdict()


def judge_revisions(revisions: Revisions) -> Verdict:
    """What a change means by itself, whatever the boards are stacked with. Every finding is new."""
    run = _Run(Arrangement(()), Worked({}, frozenset()))
    for rule in OF_CHANGES:
        if rule.name not in revisions.old.sections.policy.allow:
            for item in rule.over(revisions):
                run.check(rule, item)
    return run.result(f"{revisions.old_name} to {revisions.new_name}")


def worked_of(arrangement: Arrangement) -> Worked:
    """What is known of an arrangement that worked."""
    run = _Run(arrangement, None)
    run.verdict()
    return Worked(run.margins, frozenset(run.unknown), frozenset(run.untold))


class _Run:
    """One pass of all rules over one arrangement."""

    def __init__(self, arrangement: Arrangement, worked: Worked | None) -> None:
        self.arrangement = arrangement
        self.worked = worked
        self.margins: dict[Key, Margin] = {}
        self.unknown: set[Key] = set()
        self.untold: set[Key] = set()
        self._judged: dict[Key, Judged] = {}
        self._unmade: dict[tuple[str, str], Unmade] = {}
        self._made = 0
        boards: tuple[Member | Program, ...] = tuple(item for item in arrangement.members if item.role == "new")
        self._around = boards or tuple(item for item in arrangement.programs if item.role == "new")

    def verdict(self) -> Verdict:
        facts = Facts(self.arrangement)
        if len(self.arrangement.members) > 1 and not self.arrangement.connected:
            why = "no joint connects all of them"
            needs = "[[joints]] in revdiff.toml"
            self._unmade["", ""] = Unmade("how the boards are stacked", "", needs, essential=True, why=why)
        for member in self.arrangement.members:
            self._doubted(member)
        listed: dict[object, tuple[Item, ...]] = {}
        for rule in OF_ARRANGEMENTS:
            if rule.name not in self.arrangement.policy.allow:
                if rule.over not in listed:
                    listed[rule.over] = tuple(rule.over(facts))
                for item in listed[rule.over]:
                    self.check(rule, item)
        return self.result(self.arrangement.title)

    def _doubted(self, member: Member) -> None:
        """What stands in a cell that can't be read may be what doesn't fit."""
        for item in doubts(member.design, member.board.name):
            key = ("doubt", member.board.name, *item.key)
            self.unknown.add(key)
            stood = self.worked is not None and key in self.worked.unknown
            unmade = Unmade(item.check, item.place, item.needs, not stood, item.why, item.audience, stood)
            self._unmade.setdefault(("doubt", f"{member.name} {item.place}"), unmade)

    def result(self, title: str) -> Verdict:
        """What was found so far."""
        return Verdict(
            title,
            tuple(sorted(self._judged.values(), key=loudness)),
            self._made,
            tuple(sorted(self._unmade.values(), key=_gravity)),
        )

    def check(self, rule: Declared, item: Item) -> None:
        """One rule about one item."""
        outcome = item.outcomes.get(rule.name)
        if outcome is None:
            outcome = item.outcomes[rule.name] = _tried(rule, item)
        ask, margin = outcome
        if margin is None:
            return
        key = (rule.name, item.key)
        if isinstance(margin, Unknown):
            fact = margin.fact
            self.untold.add(key)
            if fact.essential:
                self.unknown.add(key)
            news = self.worked is None or key not in self.worked.unknown
            lost = self.worked is not None and key in self.worked.margins and key not in self.worked.unmade
            essential, stood = lost or (fact.essential and news), fact.essential and not news
            unmade = Unmade(rule.check, item.subject, fact.needs, essential, audience=rule.audience, stood=stood)
            self._unmade.setdefault((rule.name, item.subject), unmade)
            return
        if self.worked is None:
            known = self.margins.get(key)
            if known is None or margin.value < known.value:
                self.margins[key] = margin
        worse = rule.worse if isinstance(rule, Rule) else None
        if worse is None and margin.value >= 0:
            self._made += 1
            return
        before = None if self.worked is None else self.worked.margins.get(key)
        if worse is not None and before is None:
            return
        self._made += 1
        if worse is not None and before is not None:
            if worse(before, margin):
                told_both = replace(margin, arithmetic=f"{before.arithmetic} → {margin.arithmetic}")
                self._put(key, Judged(rule, item, told_both, margin.danger or rule.danger, "new", (), (), self._around))
        else:
            state = "" if self.worked is None else _state(margin.value, before.value if before is not None else None)
            sources = tuple(dict.fromkeys(ask.sources))
            danger, assumed = _danger(rule, margin, ask), ask.assumed
            self._put(key, Judged(rule, item, margin, danger, state, assumed, sources, self._around))

    def _put(self, key: Key, found: Judged) -> None:
        """Of several places with one key the worst is told, with how many there are."""
        known = self._judged.get(key)
        if known is None:
            self._judged[key] = found
        else:
            worst = found if found.margin.value < known.margin.value else known
            self._judged[key] = replace(worst, more=known.more + 1)


def _tried(rule: Declared, item: Item) -> Outcome:
    """The margin, or what is missing, with what it rests on."""
    ask = Ask()
    try:
        return ask, rule.margin(ask, item)
    except Unknown as missing:
        return ask, missing.with_traceback(None)


def _danger(rule: Declared, margin: Margin, ask: Ask) -> Danger:
    """A hazard that rests on an assumption is a doubt: somebody has to look."""
    danger = margin.danger or rule.danger
    return "doubt" if danger == "hazard" and ask.assumed else danger


def _state(now: Decimal, before: Decimal | None) -> State:
    if before is None or before >= 0:
        return "new"
    return "worse" if now < before else "still so" if now == before else "better, still over"


def _gravity(item: Unmade) -> tuple[object, ...]:
    return not item.essential, item.check, natural_key(item.subject), item.needs


def loudness(item: Judged) -> tuple[object, ...]:
    """What can hurt or destroy first, then what will not work, what nobody can tell, what works with care."""
    return _ORDER.index(item.danger), item.rule.name, natural_key(item.item.subject)
