"""Changes of the contacts of a board's connectors."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from revdiff.compare.change import Change, FieldChange, Match, Unclear
from revdiff.compare.fields import changed_extra, changed_fields
from revdiff.compare.kinds import CONTACT_FIELDS
from revdiff.compare.moves import Links, Pair, link, link_across, trace
from revdiff.compare.places import bind_columns
from revdiff.compare.records import all_fields, merge_alike, place_changes, place_details, split_by_kind
from revdiff.compare.signals import Renames
from revdiff.design import Board, Contact
from revdiff.design.model import readings_of
from revdiff.quantities.designator import natural_key


def contact_changes(
    old: Board, new: Board, names: Mapping[str, str], renames: Renames, unclear: list[Unclear], *, strict: bool
) -> Iterator[Change]:
    """The changes of the contacts of one board. ``names``: connectors found again, old name to new name.

    A connector without any contacts in one of the two revisions is not compared where that revision's board
    lists no contacts at all.
    """
    if not all(any(item.contacts for item in board.connectors.values()) for board in (old, new)):
        return
    yield from _Contacts(old, new, names, renames, unclear, strict).changes()


Details = Mapping[str, object]


class _Contacts:
    """Traces contacts by place: ``J7.3``, with the connector's new name in both revisions."""

    def __init__(
        self, old: Board, new: Board, names: Mapping[str, str], renames: Renames, unclear: list[Unclear], strict: bool
    ) -> None:
        self._board = old.name
        self._nodes = old.nodes, new.nodes
        self._unclear = unclear
        self._old: dict[str, Contact] = {}
        self._new: dict[str, Contact] = {}
        self._patterns: dict[str, dict[str, tuple[Pair, ...]]] = {}  # pattern to what followed it, by connector
        before: dict[str, str] = {}
        after: dict[str, str] = {}
        matched: dict[str, str] = {}
        home: dict[str, str] = {}
        for name, other in names.items():
            one, two = old.connectors[name].contacts, new.connectors[other].contacts
            here = {number: renames.follow(old.name, item.signal.word) for number, item in one.items()}
            there = {number: item.signal.word for number, item in two.items()}
            before_details = {number: _details(item) for number, item in one.items()}
            after_details = {number: _details(item) for number, item in two.items()}

            def unlike(
                number: str, target: str, before: Details = before_details, after: Details = after_details
            ) -> bool:
                return before[number] != after[target]

            links = link(here, there, patterns=not strict, strict=strict, unlike=unlike)

            def place(number: str, connector: str = other) -> str:
                return f"{connector}.{number}" if number else ""

            self._old.update({place(number): item for number, item in one.items()})
            self._new.update({place(number): item for number, item in two.items()})
            before.update({place(number): signal for number, signal in here.items()})
            after.update({place(number): signal for number, signal in there.items()})
            matched.update({place(number): place(target) for number, target in links.matched.items()})
            home.update({place(number): place(target) for number, target in links.home.items()})
            if links.pattern:
                shaped = tuple((place(number), place(target)) for number, target in links.shaped)
                self._patterns.setdefault(links.pattern, {})[other] = shaped
        if not strict:
            matched.update(link_across(before, after, matched))
        self._moves = trace(before, after, Links(matched, home, shaped=()))
        self._home = home
        self._binding = bind_columns(self._old, self._new, self._moves, home)
        self._sources = self._moves.sources()
        self._targets = self._moves.targets()
        self._rows = place_changes(self._moves.listed, self._moves.unlisted)
        for left, target in self._moves.vacated:
            row = self._new[target]
            unused = Contact(connector=row.connector, number=row.number, origin=row.origin)
            self._rows[left] = (*self._rows.get(left, ()), *place_details(unused, self._old[left], row))

    def changes(self) -> Iterator[Change]:
        moves = self._moves
        for cycle in moves.cycles:
            yield self._swap(cycle)
        for number, target in moves.moved:
            yield self._move(number, target)
        for pattern, shaped in self._patterns.items():
            yield self._pattern(pattern, shaped)
        for number, target in moves.replaced:
            yield self._signal(number, target)
        for number in moves.lost:
            if not self._left_out(self._old[number], 0):
                yield self._row("contact.removed", self._old[number])
        for number in moves.gained:
            if not self._left_out(self._new[number], 1):
                yield self._row("contact.added", self._new[number])
        details: dict[str, list[Change]] = {}
        for number, target in moves.matched:
            moved = self._home.get(number, number) != target
            details.setdefault(self._new[target].connector, []).extend(
                self._fields(self._old[number], self._new[target], moved=moved)
            )
        for number, target in self._binding.exchanged:
            details.setdefault(self._new[target].connector, []).extend(
                self._told(self._old[number], self._new[target], self._binding.by_data)
            )
        for together in details.values():
            yield from merge_alike(together)

    def _left_out(self, contact: Contact, side: int) -> bool:
        """Whether it is a contact of a netlist, and the other one has the connector: open ones may be left out there.

        What became of its net is told as any terminal's.
        """
        node = self._nodes[side].get((contact.connector, contact.number))
        if node is None or node.origin != contact.origin:
            return False
        return not contact.signal or any(ref == contact.connector for ref, _ in self._nodes[not side])

    def _listing(self, places: Iterable[str]) -> tuple[FieldChange, ...]:
        """What else happened to places that a signal left: they appear, disappear, or say something. Told once."""
        return tuple(item for place in places for item in self._rows.pop(place, ()))

    def _pattern(self, pattern: str, shaped: Mapping[str, tuple[Pair, ...]]) -> Change:
        """A renumbering of the contacts of a connector, or of several that were numbered anew in the same way."""
        names = sorted(shaped, key=natural_key)
        pairs = [pair for name in names for pair in shaped[name]]
        first, second = self._old[pairs[0][0]], self._new[pairs[0][1]]
        before = {name: _span([self._old[one] for one, _ in shaped[name]]) for name in names}
        after = {name: _span([self._new[two] for _, two in shaped[name]]) for name in names}
        alike = len(set(before.values())) == len(set(after.values())) == 1
        return Change(
            kind="contact.moved",
            boards=(self._board,),
            subject=", ".join(names),
            before=before[names[0]] if alike else ", ".join(f"{name} {before[name]}" for name in names),
            after=after[names[0]] if alike else ", ".join(f"{name} {after[name]}" for name in names),
            fields=self._listing([place for place in self._rows if place.rpartition(".")[0] in shaped]),
            pairs=tuple((self._old[one].name, self._new[two].name) for one, two in pairs),
            pattern=pattern,
            origin_before=first.origin.of("contact"),
            origin_after=second.origin.of("contact"),
            match=Match("inferred", 0.9, f"{len(pairs)} contacts {pattern}"),
        )

    def _swap(self, cycle: tuple[Pair, ...]) -> Change:
        signals = [self._new[target].signal.raw for _, target in cycle]
        connectors = list(dict.fromkeys(self._new[target].connector for _, target in cycle))
        first, second = self._old[cycle[0][0]], self._new[cycle[0][1]]
        return Change(
            kind="contact.swapped",
            boards=(self._board,),
            subject=f"{', '.join(connectors)}: " + (" ↔ ".join(signals) if len(cycle) == 2 else " → ".join(signals)),
            before=", ".join(f"{self._new[two].signal.raw} on {self._old[one].name}" for one, two in cycle),
            after=", ".join(f"{self._new[two].signal.raw} on {self._new[two].name}" for _, two in cycle),
            fields=(
                *self._listing(one for one, _ in cycle),
                *(
                    FieldChange(f"{self._new[two].name}.{item.name}", item.before, item.after)
                    for one, two in cycle
                    for item in self._binding.of_the_place(self._old[one], self._new[two])
                ),
            ),
            pairs=tuple((self._old[one].name, self._new[two].name) for one, two in cycle),
            pattern="exchange" if len(cycle) == 2 else f"rotation of {len(cycle)}",
            origin_before=first.origin.of("contact"),
            origin_after=second.origin.of("contact"),
        )

    def _move(self, number: str, target: str) -> Change:
        old, new = self._old[number], self._new[target]
        return Change(
            kind="contact.moved",
            boards=(self._board,),
            subject=new.signal.raw,
            before=old.name,
            after=new.name,
            fields=(*self._binding.of_the_place(old, new), *self._listing([number])),
            pairs=((old.name, new.name),),
            origin_before=old.origin.of("contact"),
            origin_after=new.origin.of("contact"),
        )

    def _signal(self, number: str, target: str) -> Change:
        """A contact whose old signal is gone from the board's connectors, or whose new one was not there before."""
        old, new = self._old[number], self._new[target]
        goes = number not in self._sources and bool(old.signal)
        comes = target not in self._targets and bool(new.signal)
        before = old if goes or not old.signal else None
        after = new if comes or not new.signal else None
        return Change(
            kind="contact.signal",
            boards=(self._board,),
            subject=new.name,
            before=old.signal.raw or "unused",
            after=new.signal.raw or "unused",
            fields=all_fields(before, after),
            pairs=((old.name, new.name),),
            origin_before=old.origin.of("signal"),
            origin_after=new.origin.of("signal"),
        )

    def _row(self, kind: str, contact: Contact) -> Change:
        added = kind == "contact.added"
        text = contact.signal.raw or "unused"
        return Change(
            kind=kind,
            boards=(self._board,),
            subject=contact.name,
            before="" if added else text,
            after=text if added else "",
            fields=all_fields(None, contact) if added else all_fields(contact, None),
            pairs=(("", contact.name) if added else (contact.name, ""),),
            origin_before=None if added else contact.origin,
            origin_after=contact.origin if added else None,
        )

    def _fields(self, old: Contact, new: Contact, *, moved: bool) -> Iterator[Change]:
        if old != new:
            names = ("signal", *self._binding.columns) if moved else ("signal",)
            yield from self._told(old, new, lambda name: name not in names)

    def _told(self, old: Contact, new: Contact, wanted: Callable[[str], bool]) -> Iterator[Change]:
        before, after = ({name: item for name, item in readings_of(row).items() if wanted(name)} for row in (old, new))
        different, unclear = changed_fields(before, after)
        self._unclear += [
            Unclear(self._board, new.name, item.name, item.before.raw, item.after.raw, new.origin.of(item.name))
            for item in unclear
        ]
        extra = tuple(item for item in changed_extra(old.extra, new.extra) if wanted(item.name))
        yield from split_by_kind(
            (*different, *extra),
            CONTACT_FIELDS,
            "contact.field",
            board=self._board,
            subject=new.name,
            pairs=((old.name, new.name),),
            old=old,
            new=new,
        )


def _details(contact: Contact) -> object:
    """All that a contact says besides its signal."""
    return [item.meaning for name, item in readings_of(contact).items() if name != "signal"], contact.extra


def _span(contacts: Sequence[Contact]) -> str:
    return f"{contacts[0].number}–{contacts[-1].number}"
