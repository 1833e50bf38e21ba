"""The one engine: every rule over every item of an arrangement, what could not be checked, and what is new in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Literal

from revdiff.judge.arrangement import Arrangement
from revdiff.judge.fact import Ask, Unknown
from revdiff.judge.facts import Facts
from revdiff.judge.registry import ALL
from revdiff.judge.rule import Danger, Item, Margin, Rule
from revdiff.quantities.designator import natural_key
from revdiff.rules.finding import SEVERITIES, Finding, NotChecked, Party

Answer = Literal["fits", "fits with care", "does not fit", "cannot tell", "not judged"]
State = Literal["", "new", "worse", "still so", "better, still over"]
_ORDER: tuple[Danger, ...] = ("hazard", "break", "caution", "info")
Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """A predicate that doesn't hold. ``state``: against the arrangement that worked; empty where there is none."""

    rule: Rule
    item: Item
    margin: Margin
    danger: Danger
    state: State
    assumed: tuple[str, ...]
    sources: tuple[str, ...]
    more: int = 0

    @property
    def parties(self) -> tuple[Party, ...]:
        """The firmware releases and boards that it is about."""
        found = [*(item.party for item in self.item.programs), *(item.party for item in self.item.members)]
        return tuple(dict.fromkeys(found))

    def finding(self, changes: tuple[str, ...] = ()) -> Finding:
        """For people."""
        crossing = " with ".join(map(str, self.parties)) if any(item.role for item in self.parties) else ""
        places: dict[str, object] = {}
        for member, record in self.item.records:
            places.setdefault("origin_before" if member.role == "old" else "origin_after", record.origin)
        others = f" (and {self.more} more alike)" if self.more else ""
        resting = f"; assumed: {'; '.join(self.assumed)}" if self.assumed else ""
        return Finding(
            rule=self.rule.name,
            severity="break" if self.danger == "hazard" else self.danger,
            audience=self.rule.audience,
            step=self.rule.step if self.danger != "caution" else "minor",
            parties=self.parties,
            subject=self.item.subject,
            message=self.margin.message + others + resting,
            crossing=crossing,
            arithmetic=self.margin.arithmetic,
            limit=self.margin.limit,
            source="; ".join(self.sources) or self.rule.source,
            remedy=self.rule.remedy,
            changes=changes,
            hazard=self.danger == "hazard",
            **places,  # type: ignore[arg-type]
        )


@dataclass(frozen=True, slots=True)
class Unmade:
    """A check that could not be made; ``essential``: without it nobody can tell whether things fit."""

    told: NotChecked
    essential: bool


@dataclass(frozen=True)
class Verdict:
    """Of one arrangement: what was found, how many checks were made, and which could not be."""

    title: str
    judged: tuple[Judged, ...]
    made: int
    unmade: tuple[Unmade, ...]

    def __eq__(self, other: object) -> bool:
        mine, theirs = self._told, other._told if isinstance(other, Verdict) else None
        return mine == theirs

    __hash__ = None  # type: ignore[assignment]

    @property
    def _told(self) -> object:
        return self.title, self.findings, self.made, self.unmade

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """For people, the strongest first."""
        return tuple(item.finding() for item in self.judged)

    @property
    def not_checked(self) -> tuple[NotChecked, ...]:
        """The checks that could not be made."""
        return tuple(item.told for item in self.unmade)

    @property
    def checks(self) -> int:
        """Those that were made and those that could not be."""
        return self.made + len(self.unmade)

    @property
    def answer(self) -> Answer:
        """The verdict."""
        dangers = {item.danger for item in self.judged if item.state in ("", "new", "worse")}
        return answer(dangers, self.made, essential=any(item.essential for item in self.unmade) or self._doubtful)

    @property
    def _doubtful(self) -> bool:
        return any(item.rule.name == "joint-names-differ" for item in self.judged if item.state in ("", "new", "worse"))


def answer(dangers: Iterable[Danger], made: int, *, essential: bool) -> Answer:
    """The verdict of what was found and what could not be checked."""
    found = set(dangers)
    if found & {"hazard", "break"}:
        return "does not fit"
    if essential:
        return "cannot tell"
    if not made:
        return "not judged"
    return "fits with care" if "caution" in found else "fits"


def judge(arrangement: Arrangement, worked: Mapping[Key, Decimal] | None = None) -> Verdict:
    """Every rule over every item. ``worked``: the margins of the arrangement that worked, from ``margins_of``."""
    facts = Facts(arrangement)
    judged: dict[Key, Judged] = {}
    unmade: dict[tuple[str, str], Unmade] = {}
    made = 0
    if len(arrangement.members) > 1 and not arrangement.connected:
        told = NotChecked("how the boards are stacked", "no joint connects all of them", "[[joints]] in revdiff.toml")
        unmade["", ""] = Unmade(told, True)
    for rule in ALL:
        if rule.name in arrangement.policy.allow:
            continue
        for item in rule.over(facts):
            ask = Ask()
            try:
                margin = rule.margin(ask, item)
            except Unknown as missing:
                told = NotChecked(rule.what(item), "a fact isn't known", missing.fact.needs)
                unmade.setdefault((rule.name, item.subject), Unmade(told, missing.fact.essential))
                continue
            if margin is None:
                continue
            made += 1
            if margin.value >= 0:
                continue
            key = (rule.name, item.key)
            state = _state(margin.value, None if worked is None else worked.get(key, Decimal(1)))
            before = judged.get(key)
            if before is not None and before.margin.value <= margin.value:
                judged[key] = _counted(before, before.more + 1)
                continue
            danger = _danger(rule, margin, ask)
            found = Judged(rule, item, margin, danger, state, tuple(ask.assumed), tuple(dict.fromkeys(ask.sources)))
            judged[key] = _counted(found, before.more + 1 if before is not None else 0)
    return Verdict(
        arrangement.title,
        tuple(sorted(judged.values(), key=_loudness)),
        made,
        tuple(sorted(unmade.values(), key=lambda item: (not item.essential, natural_key(item.told.what)))),
    )


def margins_of(arrangement: Arrangement) -> dict[Key, Decimal]:
    """The margin of each predicate that doesn't hold in an arrangement; what isn't there holds."""
    return {(item.rule.name, item.item.key): item.margin.value for item in judge(arrangement).judged}


def _counted(item: Judged, more: int) -> Judged:
    return Judged(item.rule, item.item, item.margin, item.danger, item.state, item.assumed, item.sources, more)


def _danger(rule: Rule, margin: Margin, ask: Ask) -> Danger:
    """A hazard that rests on an assumption is a caution: somebody has to look."""
    danger = margin.danger or rule.danger
    return "caution" if danger == "hazard" and ask.assumed else danger


def _state(now: Decimal, before: Decimal | None) -> State:
    if before is None:
        return ""
    if before >= 0:
        return "new"
    return "worse" if now < before else "still so" if now == before else "better, still over"


def _loudness(item: Judged) -> tuple[object, ...]:
    return _ORDER.index(item.danger), item.rule.name, natural_key(item.item.subject)


__all__ = ["SEVERITIES", "Answer", "Judged", "State", "Unmade", "Verdict", "answer", "judge", "margins_of"]
