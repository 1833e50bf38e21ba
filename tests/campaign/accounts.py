"""Two accounts of what became of the parts of a board, fact by fact: what was told, and what was done.

A fact is "R7 is R107 now", "R8 went", "R9 came", "the cost of R7, now R107, is another one". An entry is right when all
its facts happened; an event is found when all its facts are told by right entries, in no more entries than it has
rows of different data (a row of fifty resistors that gets another value is one entry).

Nothing here knows how the program compares: the tables that the generator made decide.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tests.campaign.components import components
from tests.campaign.rows import COMMON, identity
from tests.campaign.sheets import BoardSheets, Row
from tests.campaign.told import Told
from tests.campaign.trial import Expected

Fact = tuple[str, ...]
_WRITTEN = ("manufacturer", "part_number", "description", "remark", "stock code", "shelf")


@dataclass
class Parts:
    """The parts of one board in both revisions, by designator. ``ignored``: columns that came or went as a whole."""

    old: Mapping[str, Row]
    new: Mapping[str, Row]
    ignored: frozenset[str] = frozenset()

    @classmethod
    def of(cls, old: BoardSheets, new: BoardSheets, ignored: Iterable[str] = ()) -> Parts:
        return cls(
            {item["designator"]: item for item in old.parts},
            {item["designator"]: item for item in new.parts},
            frozenset(name.casefold() for name in ignored),
        )

    def data(self, item: Row) -> dict[str, str]:
        """The cells that say something, by folded column."""
        return {
            name.casefold(): text
            for name, text in item.items()
            if text and name not in ("uid", "designator") and name.casefold() not in self.ignored
        }

    def differing(self, one: str, two: str) -> set[str]:
        before, after = self.data(self.old[one]), self.data(self.new[two])
        return {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}

    def at_home(self, ref: str) -> bool:
        """Whether a part of the same kind has this number in both revisions."""
        return ref in self.old and ref in self.new and identity(self.old[ref]) == identity(self.new[ref])

    def gives_new(self, entries: Sequence[Told], renamed: Mapping[str, str]) -> bool:
        """Whether the entries make exactly the second revision of the first. ``renamed``: known without them."""
        moved = dict(renamed)
        gone: set[str] = set()
        come: set[str] = set()
        columns: dict[tuple[str, str], set[str]] = {}
        for entry in entries:
            for one, two in entry.pairs:
                if entry.kind == "part.renumbered":
                    if moved.setdefault(one, two) != two:
                        return False
                elif entry.kind == "part.removed":
                    gone.add(one)
                elif entry.kind == "part.added":
                    come.add(two)
                else:
                    columns.setdefault((one, two), set()).update(entry.of(two))
        pairs = {one: moved.get(one, one) for one in self.old if one not in gone}
        targets = Counter([*pairs.values(), *come])
        whole = targets.keys() == self.new.keys() and max(targets.values(), default=1) == 1
        if not whole or gone - self.old.keys() or gone & moved.keys() or moved.keys() - self.old.keys():
            return False
        for one, two in pairs.items():
            told = columns.pop((one, two), set()) - self.ignored
            if told != self.differing(one, two):
                return False
        return not columns

    def claims(self, facts: Iterable[Fact]) -> Counter[tuple[object, ...]]:
        """Every difference of data that the facts claim, with the data before and after and without any name.

        Data are what says which part it is. What is kept about it (cost, shelf, remark) never decides who is who, so
        that two accounts of equal parts may differ in it; a claim that it changed names the texts before and after.
        """
        found: Counter[tuple[object, ...]] = Counter()
        for what, *rest in facts:
            if what == "column":
                before, after = self.old.get(rest[0]), self.new.get(rest[1])
                texts = tuple(_cell(item, rest[2]) for item in (before, after) if item is not None)
                found["changed", rest[2], texts, self._frozen(before), self._frozen(after)] += 1
            elif what == "removed":
                found["removed", self._frozen(self.old.get(rest[0]))] += 1
            elif what == "added":
                found["added", self._frozen(self.new.get(rest[0]))] += 1
        return found

    def _frozen(self, item: Row | None) -> object:
        return (identity(item), item.get("description", "")) if item is not None else None

    def alike(self, ref: str) -> int:
        """How many parts of the class of an old one are equal to it, in the revision that has more of them."""
        kind, prefix = identity(self.old[ref]), ref.rstrip("0123456789")
        return max(
            sum(identity(item) == kind and name.rstrip("0123456789") == prefix for name, item in side.items())
            for side in (self.old, self.new)
        )


def facts_of(kind: str, pairs: Iterable[tuple[str, str]], columns: Callable[[str], Iterable[str]]) -> frozenset[Fact]:
    """The facts of an entry or an event. ``columns``: those of a part that changed, by its new designator."""
    if kind == "part.renumbered":
        return frozenset(("moved", one, two) for one, two in pairs)
    if kind == "part.removed":
        return frozenset(("removed", one) for one, _ in pairs)
    if kind == "part.added":
        return frozenset(("added", two) for _, two in pairs)
    return frozenset(("column", one, two, name) for one, two in pairs for name in columns(two))


def _facts(parts: Parts, entry: Told) -> frozenset[Fact]:
    return facts_of(entry.kind, entry.pairs, lambda two: entry.of(two).keys() - parts.ignored)


@dataclass(eq=False)
class Deed:
    """An event with its facts, and the number of entries that a person may need for it.

    ``parted``: its parts were told as removed and added, which says the same of them.
    """

    event: Expected
    facts: frozenset[Fact]
    entries: int
    parted: bool = False


@dataclass(eq=False)
class Line:
    """An entry with its facts."""

    entry: Told
    facts: frozenset[Fact]


@dataclass
class PartScore:
    """How the parts of one board came out."""

    found: list[Expected] = field(default_factory=list)
    equivalent: list[Expected] = field(default_factory=list)
    right: list[Told] = field(default_factory=list)
    false: list[Told] = field(default_factory=list)
    misclassed: list[Told] = field(default_factory=list)
    missed: list[Expected] = field(default_factory=list)
    wrong: list[Expected] = field(default_factory=list)
    facts: int = 0
    told_facts: int = 0
    right_facts: int = 0
    found_facts: int = 0
    from_home: int = 0


def score_parts(
    parts: Parts, told: Sequence[Told], events: Sequence[Expected], renamed: Mapping[str, str]
) -> PartScore:
    """Scores the entries about the parts of one board."""
    result = PartScore()
    lines = [Line(item, _facts(parts, item)) for item in told]
    whole = [line for line in lines if not line.facts]
    changed = frozenset(two for item in events if item.fields for _, two in item.pairs)
    result.right += _once(whole, changed, result)
    lines = [line for line in lines if line.facts]
    said = frozenset().union(*(line.facts for line in lines))
    deeds = [deed for item in events if (deed := _deed(parts, item, said)).facts]
    # What went and came again, has no data that changed.
    parted = {pair for deed in deeds if deed.parted for pair in deed.event.pairs}
    for deed in deeds:
        deed.facts -= {fact for fact in deed.facts if fact[0] == "column" and fact[1:3] in parted}
    deeds = [deed for deed in deeds if deed.facts]
    happened = frozenset().union(*(deed.facts for deed in deeds))
    result.facts, result.told_facts = len(happened), len(said)
    left, open_deeds = _exact(parts, lines, deeds, result)
    good = {fact for line in lines if line.entry in result.right for fact in line.facts}
    if open_deeds and parts.gives_new(told, renamed):
        left, open_deeds = _equivalent(parts, left, open_deeds, (happened, said), result)
        open_deeds = _silent(left, open_deeds, said, result)
        good |= {fact for line in lines if line.entry in result.right for fact in line.facts}
    found = {fact for deed in deeds if deed not in open_deeds for fact in deed.facts}
    result.right_facts = len(good | (said & happened))
    result.found_facts = len(found | (said & happened))
    result.from_home = sum(_from_home(parts, line, happened, said) for line in lines if line.entry not in result.right)
    _rest(parts, left, open_deeds, (happened, said), result)
    return result


def _once(lines: list[Line], changed: frozenset[str], result: PartScore) -> list[Told]:
    """Entries about columns that came, went or were renamed as a whole: one for each at most.

    Of ``changed``, the new designators of parts that truly changed, it may be told besides what they have there now.
    """
    seen: set[str] = set()
    right = []
    for line in lines:
        names = line.entry.fields
        if names and {two for _, two in line.entry.pairs} <= changed:
            right.append(line.entry)
            continue
        if names & seen or not names:
            result.false.append(line.entry)
        else:
            right.append(line.entry)
        seen |= names
    return right


def _deed(parts: Parts, event: Expected, said: frozenset[Fact]) -> Deed:
    columns = event.fields_folded - parts.ignored
    facts = facts_of(event.kind, event.pairs, lambda _: columns)
    if not facts <= said and (event.or_else or _is_one_of_several(parts, event)):
        # One of several alike: that it went and that one more came says the same.
        other = frozenset(fact for one, two in event.pairs for fact in (("removed", one), ("added", two)))
        if other <= said:
            return Deed(event, other, len(other), parted=True)
    rows = {_row(parts, event, columns, *pair) for pair in event.pairs}
    return Deed(event, facts, event.entries * max(1, len(rows)))


def _is_one_of_several(parts: Parts, event: Expected) -> bool:
    """Whether a lone part that moved has its like in either revision: a tie, where one of them went besides."""
    return (
        event.kind == "part.renumbered"
        and len(event.pairs) == 1
        and all(one in parts.old and parts.alike(one) > 1 for one, _ in event.pairs)
    )


def _row(parts: Parts, event: Expected, columns: frozenset[str], one: str, two: str) -> object:
    """What parts have in common that are told in one entry."""
    if event.kind == "part.renumbered":
        return None
    if not one or not two:
        # A number that is used again is told by itself.
        item = parts.old[one] if one else parts.new[two]
        return frozenset(parts.data(item).items()), one in parts.new, two in parts.old
    before, after = parts.data(parts.old[one]), parts.data(parts.new[two])
    return tuple((name, before.get(name), after.get(name)) for name in sorted(columns))


def _kinds(deeds: Iterable[Deed]) -> set[str]:
    return {kind for deed in deeds for kind in (deed.event.kind, *deed.event.also)} | {
        kind for deed in deeds if deed.event.or_else for kind in ("part.removed", "part.added")
    }


def _exact(parts: Parts, lines: list[Line], deeds: list[Deed], result: PartScore) -> tuple[list[Line], list[Deed]]:
    """Takes entries all of whose facts happened, and events all of whose facts are told by such entries."""
    by_fact: dict[Fact, list[Deed]] = {}
    for deed in deeds:
        for fact in deed.facts:
            by_fact.setdefault(fact, []).append(deed)
    good: list[Line] = []
    left: list[Line] = []
    for line in lines:
        theirs = [deed for fact in line.facts for deed in by_fact.get(fact, ())]
        known = all(fact in by_fact for fact in line.facts)
        right = known and line.entry.kind in _kinds(theirs) and _printed(parts, line.entry)
        (good if right else left).append(line)
    told = frozenset().union(*(line.facts for line in good))
    open_deeds = []
    for group_lines, group_deeds in components(good, deeds, lambda item: item.facts):
        short = len(group_lines) <= sum(deed.entries for deed in group_deeds)
        result.right += [line.entry for line in group_lines]
        for deed in group_deeds:
            if deed.facts <= told and (short or _by_itself(deed, group_lines)):
                result.found.append(deed.event)
            else:
                open_deeds.append(deed)
    return left, open_deeds


def _by_itself(deed: Deed, lines: list[Line]) -> bool:
    return sum(bool(line.facts & deed.facts) for line in lines) <= deed.entries


def _printed(parts: Parts, entry: Told) -> bool:
    """Whether the values an entry prints are those of every part it names."""
    seen: dict[str, tuple[str, str]] = {}
    for one, two in entry.pairs:
        if one not in parts.old or two not in parts.new:
            continue
        for name, texts in entry.of(two).items():
            cells = _cell(parts.old[one], name), _cell(parts.new[two], name)
            if name in entry.columns and seen.setdefault(name, cells) != cells:
                return False
            if name in _WRITTEN and tuple(map(_fold, cells)) != tuple(map(_fold, texts)):
                return False
    return True


def _cell(item: Row, folded: str) -> str:
    return next((text for name, text in item.items() if name.casefold() == folded), "")


def _fold(text: str) -> str:
    folded = " ".join(text.split()).casefold()
    return "" if folded == "-" else folded


# equivalent accounts


def _silent(left: list[Line], deeds: list[Deed], said: frozenset[Fact], result: PartScore) -> list[Deed]:
    """The events left without those of which all that can be seen is told.

    Where an account gives the second revision exactly, and no entry about the parts of an event is wrong, what is not
    told of it left no trace in the data: parts at the ends of a block that hold an equal one before and after.
    """
    groups = components(left, deeds, lambda item: _names(item.facts))
    unseen = [deed for lines, group in groups if not lines for deed in group if not deed.facts <= said]
    result.found += [deed.event for deed in unseen]
    result.equivalent += [deed.event for deed in unseen]
    return [deed for deed in deeds if deed not in unseen]


def _equivalent(
    parts: Parts, left: list[Line], deeds: list[Deed], facts: tuple[frozenset[Fact], frozenset[Fact]], result: PartScore
) -> tuple[list[Line], list[Deed]]:
    """``facts``: those that happened and those that were told."""
    for lines, open_deeds in components(left, deeds, lambda item: _names(item.facts)):
        if not lines or not open_deeds or len(lines) > sum(deed.entries for deed in open_deeds):
            continue
        claimed = parts.claims(fact for line in lines for fact in line.facts)
        done = parts.claims({fact for deed in open_deeds for fact in deed.facts})
        unfounded = any(_from_home(parts, line, *facts) or _no_evidence(parts, line, open_deeds) for line in lines)
        if not claimed - done and not unfounded and all(_printed(parts, line.entry) for line in lines):
            result.right += [line.entry for line in lines]
            result.found += [deed.event for deed in open_deeds]
            result.equivalent += [deed.event for deed in open_deeds]
            left = [line for line in left if line not in lines]
            deeds = [deed for deed in deeds if deed not in open_deeds]
    return left, deeds


def _names(facts: Iterable[Fact]) -> frozenset[str]:
    """The designators that facts speak of."""
    return frozenset(ref for what, *rest in facts for ref in rest[: 1 if what in ("removed", "added") else 2])


def _from_home(parts: Parts, line: Line, happened: frozenset[Fact], said: frozenset[Fact]) -> int:
    """Parts told as moved, though one of the same kind keeps their number, and though they did not move.

    Where one of a row of equal parts went and others moved up, the data can't say which one it was: telling that the
    one moved that went is no more than telling another one as gone, which truly moved. Nor can it say which of two
    equal parts at the ends of a block moved along, where both numbers hold an equal part afterwards: telling the one
    for the other moves no more parts from home than were moved.
    """
    went = {fact[1] for fact in happened if fact[0] == "moved"}
    removed = {fact[1] for fact in happened if fact[0] == "removed"}
    told = {fact[1] for fact in said if fact[0] == "moved"}
    home = [fact[1] for fact in line.facts if fact[0] == "moved" and parts.at_home(fact[1]) and fact[1] not in went]
    unsaid = went - told
    gone = Counter(_alike(parts, ref) for ref in home if ref in removed) & Counter(_alike(parts, ref) for ref in unsaid)
    left = Counter(_alike(parts, ref) for ref in home if ref not in removed)
    stayed = Counter(_alike(parts, ref) for ref in unsaid if parts.at_home(ref))
    return len(home) - gone.total() - (left & stayed).total()


def _alike(parts: Parts, ref: str) -> object:
    return ref.rstrip("0123456789"), identity(parts.old[ref])


def _no_evidence(parts: Parts, line: Line, deeds: list[Deed]) -> bool:
    """Parts told as moved on no evidence.

    One that truly went, for another that came, with data that many parts have; or one that keeps its number and is
    fitted now, or no longer: an option moved then, and no part did. Among parts numbered in another order, one keeps
    its number by chance only, which is no sign that it stayed.
    """
    gone = {fact[1] for deed in deeds for fact in deed.facts if fact[0] == "removed"}
    come = {fact[1] for deed in deeds for fact in deed.facts if fact[0] == "added"}
    options = {fact[1] for deed in deeds for fact in deed.facts if fact[0] == "column" and fact[3] == "fitted"}
    options -= {ref for deed in deeds for ref in _shuffled(deed)}
    for fact in line.facts:
        if fact[0] == "moved" and (fact[1] in options or (fact[1] in gone and fact[2] in come)):
            kind = identity(parts.old[fact[1]])
            prefix = fact[1].rstrip("0123456789")
            alike = (ref for ref, item in parts.old.items() if identity(item) == kind)
            if fact[1] in options or sum(ref.rstrip("0123456789") == prefix for ref in alike) >= COMMON:
                return True
    return False


def _shuffled(deed: Deed) -> set[str]:
    """The designators among parts numbered in another order, with those that kept their number by chance."""
    numbers = [(one.rstrip("0123456789"), _number(one), _number(two)) for one, two in deed.event.pairs if one and two]
    if deed.event.kind != "part.renumbered" or len({two - one for _, one, two in numbers}) < 3:
        return set()
    ((prefix, _, _), *_) = numbers
    return {
        f"{prefix}{number}"
        for number in range(min(one for _, one, _ in numbers), max(two for _, _, two in numbers) + 1)
    }


def _number(ref: str) -> int:
    return int(ref[len(ref.rstrip("0123456789")) :])


# what is left


def _rest(
    parts: Parts, left: list[Line], deeds: list[Deed], facts: tuple[frozenset[Fact], frozenset[Fact]], result: PartScore
) -> None:
    for lines, open_deeds in components(left, deeds, lambda item: _names(item.facts)):
        for line in lines:
            false = not open_deeds or _from_home(parts, line, *facts)
            (result.false if false else result.misclassed).append(line.entry)
        for deed in open_deeds:
            told = bool(lines) or any(deed.facts & _facts(parts, item) for item in result.right)
            (result.wrong if told else result.missed).append(deed.event)
