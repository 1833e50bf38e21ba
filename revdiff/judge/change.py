"""Two revisions: the arrangement that worked, every crossing of old and new, and what is new in each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.comparison import Comparison
from revdiff.compare.devices import renamed
from revdiff.design import Design
from revdiff.judge.arrangement import Arrangement, Belonging, Member, Program
from revdiff.judge.causes import Cause, causes_of, touching
from revdiff.judge.digest import digest
from revdiff.judge.engine import (
    Answer,
    Judged,
    Unmade,
    Verdict,
    answer,
    judge,
    judge_revisions,
    loudness,
    told_together,
    worked_of,
)
from revdiff.judge.exposure import exposed
from revdiff.judge.finding import Audience, Finding, NotChecked, Role
from revdiff.judge.losses import lost_statements
from revdiff.judge.missing import missing
from revdiff.judge.nodes import Nodes
from revdiff.judge.programs import Release, releases
from revdiff.judge.revisions import Revisions
from revdiff.judge.unsaid import Unsaid


class ChangeVerdict(Struct, frozen=True, dict=True):
    """What a change brings: what it means by itself, the verdict of each crossing, and the causes it is told under.

    ``together``: of the crossings those in which every board is new and runs what is released for it.
    """

    revisions: Revisions
    itself: Verdict
    crossings: tuple[Verdict, ...]
    together: tuple[Verdict, ...] = ()
    missing: tuple[NotChecked, ...] = ()

    @property
    def comparison(self) -> Comparison:
        """What changed."""
        return self.revisions.comparison

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """Of the change itself and of all crossings, each thing once, the strongest first."""
        found: dict[object, Judged] = {}
        for crossing in (self.itself, *self.crossings):
            for item in crossing.judged:
                found.setdefault((item.rule.name, item.item.key, item.own), item)
        return tuple(sorted(found.values(), key=loudness))

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What is new or worse, cause by cause."""
        return tuple(item for cause in self.causes for item in cause.findings)

    @cached_property
    def causes(self) -> tuple[Cause, ...]:
        """The changes that belong together, each with the findings that are new or worse and follow from it."""
        fresh = [item for item in self.judged if item.state in ("new", "worse")]
        return causes_of(self.comparison, [item.finding(touching(self.revisions, item)) for item in fresh])

    @cached_property
    def own(self) -> tuple[Verdict, ...]:
        """The new revision by itself, as ``judge_itself`` has it: what was taught by the old one doesn't count."""
        return _by_itself(self.comparison.new, self.revisions.new_name)

    @cached_property
    def own_before(self) -> tuple[Verdict, ...]:
        """The old one likewise."""
        return _by_itself(self.comparison.old, self.revisions.old_name)

    @property
    def not_checked(self) -> tuple[NotChecked, ...]:
        """The checks that could not be made, each once."""
        unmade = (item for verdict in (self.itself, *self.crossings) for item in verdict.unmade)
        return (*self.missing, *told_together(unmade))

    def doubts(self, audience: Audience, *, together: bool = False) -> tuple[Judged | Unmade, ...]:
        """What somebody has to look at before anybody can tell those readers that nothing breaks for them.

        ``together``: where everything is new, only.
        """
        judged = (item for one in self.together for item in one.judged) if together else self.judged
        fresh = (item for item in judged if item.state in ("new", "worse") and item.danger == "doubt")
        return (
            *(item for item in fresh if item.rule.audience == audience),
            *(item for item in self.essential(together=together) if item.audience == audience),
        )

    def essential(self, *, together: bool = False) -> tuple[Unmade, ...]:
        """The checks that could be made where things worked and can't be any more, without which nobody can tell."""
        crossings = self.together if together else self.crossings
        return tuple(one for item in (self.itself, *crossings) for one in item.unmade if one.essential)

    @property
    def answer(self) -> Answer:
        """The worst of all that boards and firmware see; a change that no arrangement sees breaks none.

        Without a joint or a contract there is no arrangement, and nothing is judged.
        """
        seen = [item for item in self.judged if item.rule.audience in ("stacking", "firmware")]
        dangers = {item.danger for item in seen if item.state in ("new", "worse")}
        gone = any(item.essential and item.audience in ("stacking", "firmware") for item in self.itself.unmade)
        if not self.crossings and not dangers and not gone:
            designs = (self.comparison.old, self.comparison.new)
            return "fits" if all(item.joints or item.contracts for item in designs) else "not judged"
        essential = gone or any(item.answer == "cannot tell" for item in self.crossings)
        made = self.itself.made + sum(item.made for item in self.crossings)
        return answer(dangers, made, essential=essential)


def _by_itself(design: Design, name: str) -> tuple[Verdict, ...]:
    from revdiff.judge import judge_itself  # of those who judge one revision alone, and use this module

    return judge_itself(design, name)


def judge_change(comparison: Comparison, old_name: str, new_name: str) -> ChangeVerdict:
    """Judges every crossing that two revisions make possible, against the arrangement of the old ones."""
    revisions = Revisions(comparison, old_name, new_name)
    itself = exposed(judge_revisions(revisions), revisions)
    gone = map(_gone, lost_statements(comparison.old, comparison.new))
    itself = replace(itself, unmade=(*itself.unmade, *gone))
    crossings, together = [], []
    for verdict, all_new in _Crossings(comparison, old_name, new_name).verdicts():
        crossings.append(exposed(verdict, revisions))
        if all_new:
            together.append(crossings[-1])
    return ChangeVerdict(revisions, itself, tuple(crossings), tuple(together), tuple(missing(revisions)))


def _gone(item: Unsaid) -> Unmade:
    """What rests on a line of the manifest that is gone."""
    why = f"it was {item.was}, and is no longer stated"
    return Unmade("what rests on a statement that is gone", "", item.name, True, why, item.audience)


def judge_firmware(
    comparison: Comparison, board: str, old_name: str, new_name: str
) -> Iterator[tuple[Program, Role, Verdict]]:
    """Each release of one revision of a board on the other: the release, which of the two that is, the verdict.

    Held against what worked: the old releases on the old board.
    """
    crossings = _Crossings(comparison, old_name, new_name)
    if board not in comparison.old.boards or board not in comparison.new.boards:
        return
    worked = worked_of(crossings.of_board(board, "old", "old"))
    ways: tuple[tuple[Role, Role], ...] = (("new", "old"), ("old", "new"))
    for role, running in ways:
        arrangement = crossings.of_board(board, role, running)
        verdict = judge(arrangement, worked)
        for program in arrangement.programs:
            yield program, role, verdict


class _Crossings:
    def __init__(self, comparison: Comparison, old_name: str, new_name: str) -> None:
        self.comparison = comparison
        self.designs: Mapping[Role, Design] = {"old": comparison.old, "new": comparison.new}
        self.labels: Mapping[Role, str] = {"old": old_name, "new": new_name, "": f"{old_name}/{new_name}"}

        self._shared: dict[object, Any] = {}
        self._members: dict[tuple[str, Role], Member] = {}
        self._running: dict[tuple[str, Role, Role], tuple[Program, ...]] = {}
        self._maps: dict[str, bool] = {}

    def verdicts(self) -> Iterator[tuple[Verdict, bool]]:
        """One for each crossing in which something is new, and whether nothing in it is old."""
        old, new = self.comparison.old, self.comparison.new
        for boards in groups(old, new):
            there = [name for name in boards if name in old.boards]
            changed = [
                name
                for name in boards
                if name not in there or name not in new.boards or digest(old, name) != digest(new, name)
            ]
            before: dict[str, Role] = dict.fromkeys(there, "old")
            choices = list(self._choices(boards, changed))
            if not choices:
                continue  # nothing in it is new
            worked = self._arrangement(there, before, "old", frozenset())
            taught = self._taught(worked, self.comparison.renames.of)
            doubted = self._taught(worked, self.comparison.renames.doubted) - taught
            # What met there belongs together there, too: else it would be judged, and be new, in a crossing only.
            margins = worked_of(self._arrangement(there, before, "old", taught))
            for roles, running in choices:
                all_new = not running and "old" not in roles.values()
                yield judge(self._arrangement(list(roles), roles, running, taught, doubted), margins), all_new

    def _choices(self, boards: list[str], changed: list[str]) -> Iterator[tuple[dict[str, Role], Role]]:
        """Which revision each board is of, and all firmware (empty: each board has its own).

        All new; each changed board new among old ones, and old among new ones; then the two crossings of firmware.
        """
        stay: dict[str, Role] = {name: "" for name in boards if name not in changed}
        here: dict[str, Role] = {name: "new" for name in changed if name in self.comparison.new.boards}
        before: dict[str, Role] = {name: "old" for name in changed if name in self.comparison.old.boards}
        found: list[tuple[dict[str, Role], Role]] = []
        if here:
            found.append(({**stay, **here}, ""))
        for name in here:
            if len(boards) > 1 and name in before:
                found.append(({**stay, **before, name: "new"}, ""))
                found.append(({**stay, **here, name: "old"}, ""))
        if self._firmware_differs(boards):
            found.append(({**stay, **here}, "old"))
            found.append(({**stay, **before}, "new"))
        seen: list[tuple[dict[str, Role], Role]] = []
        for choice in found:
            if choice[0] and (choice[1] or "new" in choice[0].values()) and choice not in seen:
                seen.append(choice)
                yield choice

    def _firmware_differs(self, boards: list[str]) -> bool:
        """Whether any release, or the pin map that a release is built for, is another one."""
        one, two = (
            (
                [item for item in d.contracts.values() if item.board in boards],
                [d.boards[b].pins for b in boards if b in d.boards],
            )
            for d in self.designs.values()
        )
        return one != two

    def of_board(self, name: str, role: Role, running: Role) -> Arrangement:
        """One board at a revision with the releases of any."""
        return self._arrangement([name], {name: role}, running, frozenset())

    def _arrangement(
        self,
        boards: list[str],
        roles: Mapping[str, Role],
        running: Role,
        taught: Belonging,
        doubted: Belonging = frozenset(),
    ) -> Arrangement:
        members = [self._member(name, roles[name]) for name in boards]
        programs = [item for member in members for item in self._releases(member, running or member.role or "new")]
        return Arrangement.of(
            members,
            programs,
            taught=taught,
            based=bool(taught),
            doubted=doubted,
            trusted=self.comparison.old,
            shared=self._shared,
        )

    def _member(self, name: str, role: Role) -> Member:
        if (name, role) not in self._members:
            self._members[name, role] = self._new_member(name, role)
        return self._members[name, role]

    def _releases(self, member: Member, running: Role) -> tuple[Program, ...]:
        key = (member.board.name, member.role, running)
        if key not in self._running:
            self._running[key] = tuple(self._programs(member, running))
        return self._running[key]

    def _new_member(self, name: str, role: Role) -> Member:
        design = self.designs[role or "new"]
        back = (
            {} if role == "old" else {new: old for old, new in self.comparison.renames.by_board.get(name, {}).items()}
        )
        ends = {new: old for old, new in self.comparison.connectors.get(name, {}).items()} if role != "old" else {}
        return Member(design, design.boards[name], self.labels[role], role, before=back, connectors=ends)

    def _programs(self, member: Member, running: Role) -> Iterator[Program]:
        """The releases of the ``running`` revision on a member of any."""
        design = self.designs[running]
        here: Role = member.role or "new"
        name = member.board.name
        names: dict[str, str] = dict(self.comparison.renames.by_board.get(name, {}))
        devices: Mapping[str, str] = self.comparison.devices.get(name, {})
        if running == "new" and here == "old":
            names = {new: old for old, new in names.items()}
            devices = {new: old for old, new in devices.items()}
        elif running == here:
            # A contract may go on naming an old signal though the board's was renamed.
            used = {pin.signal.word for pin in member.board.pins.values()}
            names = {old: new for old, new in names.items() if old not in used} if here == "new" else {}
            devices = {}
        for item in releases(design, name, self.labels[running]):
            if running == "new" and here == "old" and self._same_release(item):
                continue  # it was built for the old pin map: the old revision runs it already
            # Firmware that stays is the released one: on a board that changed, users will run it as it is.
            stays: Role = "old" if member.role == "new" and item.key in self.comparison.old.contracts else ""
            differs = self._differs(item, name)
            yield Program(
                item.contract,
                member.name,
                renamed(devices, item.contract.device),
                running if differs else stays,
                names,
                item.stands_in,
                kept=not differs,
            )

    def _same_release(self, release: Release) -> bool:
        """Whether both revisions declare one release, by its version, and list the same needs for it."""
        one, two = (design.contracts.get(release.key) for design in (self.comparison.old, self.comparison.new))
        return one is not None and one == two and bool(one.version) and not release.stands_in

    def _differs(self, release: Release, board: str) -> bool:
        """Whether the release is another one in the other revision; a pin map that stands in makes one of its own."""
        one, two = (design.contracts.get(release.key) for design in (self.comparison.old, self.comparison.new))
        if one is None and two is None:
            return self._other_map(board)
        return one != two

    def _other_map(self, board: str) -> bool:
        """Whether the pins of a board differ; a board with many controllers asks for each."""
        if board not in self._maps:
            boards = (design.boards.get(board) for design in (self.comparison.old, self.comparison.new))
            one, two = (held.pins if held is not None else None for held in boards)
            self._maps[board] = one != two
        return self._maps[board]

    @staticmethod
    def _taught(worked: Arrangement, of: Callable[[str, str], str]) -> Belonging:
        """The ends that met where things worked, in the names of old and of new boards. ``of``: the new name."""
        found = set()
        for meet in Nodes(worked).meets:
            a, b = meet.mating.a.board.name, meet.mating.b.board.name
            one, two = meet.a.signal.word, meet.b.signal.word
            for x in {one, of(a, one)}:
                for y in {two, of(b, two)}:
                    found.add(((a, x), (b, y)))
        return frozenset(found)


def groups(old: Design, new: Design) -> list[list[str]]:
    """The boards that joints of either revision hold together."""
    found: dict[str, set[str]] = {name: {name} for name in (*old.boards, *new.boards)}
    for joint in (*old.joints, *new.joints):
        one, two = found.get(joint.board_a), found.get(joint.board_b)
        if one is not None and two is not None and one is not two:
            one |= two
            found.update(dict.fromkeys(two, one))
    return [sorted(group) for group in {id(item): item for item in found.values()}.values()]
