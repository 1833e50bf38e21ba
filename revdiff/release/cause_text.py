"""What happened and whom it hits, in words: the changes of a cause and the findings that follow from it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from msgspec import Struct

from revdiff.compare.change import Change, FieldChange
from revdiff.compare.kinds import KINDS, kinds_of
from revdiff.compare.records import shown
from revdiff.judge import Cause
from revdiff.judge.causes import OUTCOMES, Outcome, stem
from revdiff.judge.finding import Finding
from revdiff.quantities.designator import natural_key
from revdiff.release.document import Tone
from revdiff.release.review import Review

# Kinds that an arrow from one name or place to another tells by itself.
_PLAIN = frozenset({"contact.moved", "contact.signal", "pin.moved", "pin.signal", "signal.renamed", "part.value"})
_PLACES = frozenset({"contact.moved", "pin.moved"})  # of which all arithmetic is from where to where
_NAMED = 3  # subjects that a title names one by one
_HIT = 2  # up to so many things that are hit, boards are named in pairs
_VALUES = 2  # groups of changes that are told with their values
_GONE = frozenset(
    {"connector.added", "connector.removed", "part.added", "part.removed"}
)  # what they are like is told by their contacts


class ToldCause(Struct, frozen=True):
    """A cause with its number in the document, its changes, and its findings as the waivers left them."""

    number: int
    cause: Cause
    changes: tuple[Change, ...]
    findings: tuple[Finding, ...]

    @property
    def word(self) -> Tone:
        """``hazard``, ``break``, ``caution`` or ``info``: the worst that follows."""
        return word_of(self.findings[0])

    @property
    def lead(self) -> tuple[Change, ...]:
        """The changes that name it."""
        return tuple(item for item in self.changes if item.kind == self.cause.kind)

    @property
    def title(self) -> str:
        """What happened, on one line; empty where a whole board is the cause."""
        if not self.cause.kind:
            return ""
        names = list(dict.fromkeys(subject for _, subject in self.cause.subjects))
        steps, words = self.steps, short(self.cause.kind)
        if self.cause.kind == "contract.changed":
            words = "".join(item.name.rpartition(".")[0] for item in self.values[:1]) or words
        told = "" if len(steps) != 1 or "↔" in names[0] else arrow(*next(iter(steps)))
        if told in names or self.cause.kind in _GONE:
            told = ""
        if self.cause.kind == "part.renumbered":
            told = f"to {self.lead[0].after}"
        elif len(self.lead) == 1 and self.lead[0].pattern and told:
            told = f"{told}, {self.lead[0].pattern}"
        if "→" in told and self.cause.kind in _PLAIN and all(len(item.pairs) < 2 for item in self.lead):
            words = ""
        named = f"{', '.join(names)}: " if len(names) <= _NAMED else ""
        return named + " ".join(filter(None, (words, told)))

    @property
    def hits(self) -> str:
        """The boards and the firmware that it hits, without their revisions; of many the boards alone."""
        pairs, firmware = pairs_of(self.findings), firmware_of(self.findings)
        if len(pairs) + len(firmware) > _HIT:
            pairs = sorted({name for pair in pairs for name in pair.split(" + ")}, key=natural_key)
        if pairs and len(firmware) > 1:
            firmware = ["firmware"]
        return ", ".join((*pairs, *firmware))

    @property
    def restated(self) -> bool:
        """Whether the strongest finding says no more than the title: its arithmetic is the change itself."""
        head = self.findings[0]
        return not head.hazard and not head.assumed and head.arithmetic in {arrow(*item) for item in self.steps}

    @property
    def only_moved(self) -> bool:
        """Whether the title names both places of what moved: the arithmetic can say no more."""
        return self.cause.kind in _PLACES and self.told_by_title and not self.findings[0].limit

    @property
    def told_by_title(self) -> bool:
        """Whether the title names both values: what has to be checked is then told by the arithmetic alone."""
        head = self.findings[0]
        about = any(item.id in head.changes for item in self.lead)
        told = about and " → " in self.title and self.cause.kind != "part.renumbered"
        return told and not head.hazard and not head.assumed

    @property
    def steps(self) -> frozenset[tuple[str, str]]:
        """What stands before and after the arrow of the changes that name it."""
        if self.cause.kind == "contract.changed":
            return frozenset((shown(item.name, item.before), shown(item.name, item.after)) for item in self.values)
        return frozenset(step(item) for item in self.lead)

    @property
    def values(self) -> tuple[FieldChange, ...]:
        """Of a release that declares another value: that value."""
        key = self.cause.subjects[0][1].rpartition(": ")[2]
        return tuple(item for one in self.lead for item in one.fields if item.name.rpartition(".")[2] == key)

    def changed(self) -> str:
        """All that happened beside what the title says, once, with the boards of each; without details."""
        if self.cause.kind in ("", "contract.changed"):
            return ""
        groups = alike(self.lead)
        names = {name for _, name in self.cause.subjects}
        plain = len(groups) == 1 and len(names) <= _NAMED
        rest = [item for item in self.changes if not (plain and item.kind == self.cause.kind)]
        # A designator that went and came names one part after the other: the finding tells both.
        told = [
            item
            for item in rest
            if not is_detail(item, self.cause.kind)
            and not (item.kind == "part.removed" and self.cause.kind == "part.added")
        ]
        return said_of(told, named=False)


def said_of(changes: Sequence[Change], *, named: bool = True) -> str:
    """Changes in few words, details only counted. ``named``: the boards too where all are of the same."""
    kept = [item for item in changes if not is_detail(item)]
    if len(groups := alike(kept)) <= _VALUES:
        same = len({boards for group in groups for boards, _ in group[-1]}) == 1
        told = [change_text(*group, alone=same and not named) for group in groups]
    else:
        told = [f"{short(kind)}: {place_text(where)}" for kind, where in _by_kind(kept)]
    if details := len(changes) - len(kept):
        told.append(f"{details} detail{'s' if details > 1 else ''}")
    return "; ".join(told)


def _by_kind(changes: Iterable[Change]) -> Iterator[tuple[str, Where]]:
    """Each kind with where it happened: the subjects of each set of boards together."""
    kinds: dict[str, dict[str, list[str]]] = {}
    for item in changes:
        kinds.setdefault(item.kind, {}).setdefault(item.subject, []).append(item.board)
    for kind, subjects in kinds.items():
        where: dict[tuple[str, ...], list[str]] = {}
        for subject, boards in subjects.items():
            where.setdefault(tuple(dict.fromkeys(boards)), []).append(subject)
        yield kind, tuple((boards, tuple(names)) for boards, names in where.items())


def is_detail(change: Change, lead: str = "part.") -> bool:
    """Whether it matters to few: remarks, prices, and the part that a connector of the cause (``lead``) is."""
    small = change.group == "documentation" or change.kind in ("pin.field", "part.cost", "part.lifecycle")
    return small or (change.kind.startswith("part.") and not lead.startswith("part."))


def told_causes(review: Review) -> tuple[ToldCause, ...]:
    """The causes of a review, the worst first, numbered from 1."""
    changes = {item.id: item for item in review.whole.changes}
    findings: dict[str, list[Finding]] = {}
    for item in review.findings:
        findings.setdefault(item.cause, []).append(item)
    return tuple(
        ToldCause(
            number, cause, tuple(changes[item] for item in cause.changes if item in changes), tuple(findings[cause.id])
        )
        for number, cause in enumerate(review.causes, 1)
    )


def by_outcome(causes: Iterable[ToldCause]) -> dict[Outcome, list[ToldCause]]:
    """The causes by the worst that follows from them; every outcome has its list."""
    found: dict[Outcome, list[ToldCause]] = {item: [] for item in OUTCOMES}
    for item in causes:
        found[item.cause.outcome].append(item)
    return found


def everything_else(review: Review) -> tuple[Change, ...]:
    """The changes that nothing follows from, as far as anybody can tell, but for what a whole board as changed brings:
    that says of no change what it is.
    """
    known = {item for cause in review.whole.causes if cause.kind for item in cause.changes}
    return tuple(item for item in review.changes if item.id not in known)


def word_of(finding: Finding) -> Tone:
    """``hazard`` or the severity."""
    return "hazard" if finding.hazard and finding.severity == "break" else finding.severity


def mirrored(finding: Finding) -> frozenset[str]:
    """The things that a finding is about without their revisions: the same for a crossing and its mirror image."""
    return frozenset(stem(party.name) for party in finding.parties)


def pairs_of(findings: Iterable[Finding]) -> list[str]:
    """``base + valves``, ``radio``: the boards that findings without firmware are about, each pair once."""
    sets = dict.fromkeys(mirrored(item) for item in findings if not any(party.firmware for party in item.parties))
    most = [one for one in sets if not any(one < other for other in sets)]
    return sorted((" + ".join(sorted(one)) for one in most), key=natural_key)


def firmware_of(findings: Iterable[Finding]) -> list[str]:
    """The firmware that findings are about, without versions."""
    names = {stem(party.name) for item in findings for party in item.parties if party.firmware}
    return sorted(names, key=natural_key)


def step(change: Change) -> tuple[str, str]:
    """What stands before and after the arrow: the value of the field that the kind is about, else the whole."""
    own = [item for item in change.fields if kinds_of(change.kind).get(item.name) == change.kind]
    if not own:
        return change.before, change.after
    before, after = (shown(own[0].name, reading) for reading in (own[0].before, own[0].after))
    return before, after or "no longer stated"


def arrow(before: str, after: str) -> str:
    """``4k7 → 47k``; one side alone where there is no other."""
    return f"{before} → {after}" if before and after else before or after


Where: TypeAlias = tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]  # (boards, subjects on each of them)
Group: TypeAlias = tuple[str, str, str, Where]


def alike(changes: Iterable[Change]) -> list[Group]:
    """(kind, before, after, ((boards, subjects) ...)) of changes that are the same but for where they are."""
    found: dict[tuple[str, str, str], dict[str, list[str]]] = {}
    for item in changes:
        one, two = step(item)
        found.setdefault((item.kind, one, two), {}).setdefault(item.subject, []).append(item.board)
    groups: list[Group] = []
    for key, subjects in found.items():
        where: dict[tuple[str, ...], list[str]] = {}
        for subject, boards in subjects.items():
            where.setdefault(tuple(boards), []).append(subject)
        groups.append((*key, tuple((boards, tuple(names)) for boards, names in where.items())))
    return groups


def change_text(kind: str, before: str, after: str, where: Where, *, alone: bool = False) -> str:
    """``EXP_nINT (base, valves): J1.18 → J1.21``, ``J7 (base): contact count 9 → 8``"""
    told = arrow(before, after) if kind not in _GONE else ""
    words = "" if "→" in told and kind in _PLAIN else short(kind)
    places = place_text(tuple(((), names) for _, names in where) if alone else where)
    return f"{places}: {' '.join(filter(None, (words, told)))}" if told not in places else f"{places}: {words}"


def place_text(where: Where) -> str:
    """``J2.1–J2.4 (base, valves), J3.1 (base)``"""
    places = []
    for boards, names in where:
        named = ", ".join(item for item in boards if item)
        places.append(f"{', '.join(names)} ({named})" if named else ", ".join(names))
    return ", ".join(places)


def short(kind: str) -> str:
    """The words of a kind in front of an arrow, which says that it changed."""
    return KINDS[kind][1].removesuffix(" changed")


def runs(numbers: Iterable[int]) -> str:
    """``1–3, 5``: numbers that rise, runs of three or more drawn together."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in found)


def worked(finding: Finding) -> str:
    """The arithmetic where it says more than the message: a formula, or a limit that is passed dangerously."""
    said = " = " in finding.arithmetic or (finding.hazard and finding.limit)
    return finding.worked if said else ""
