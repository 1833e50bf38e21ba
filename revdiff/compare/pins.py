"""Changes of a controller's pins, told as a firmware developer would: by signal."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from revdiff.compare.change import Change, FieldChange, Unclear
from revdiff.compare.devices import renamed
from revdiff.compare.fields import changed_extra, changed_fields
from revdiff.compare.kinds import PIN_FIELDS
from revdiff.compare.moves import Links, Pair, link, link_across, trace
from revdiff.compare.places import OF_THE_PLACE, bind_columns
from revdiff.compare.records import all_fields, place_changes, place_details, split_by_kind
from revdiff.compare.signals import Renames
from revdiff.design import Board, Pin
from revdiff.design.model import readings_of


def pin_changes(
    old: Board,
    new: Board,
    renames: Renames,
    devices: Mapping[str, str],
    unclear: list[Unclear],
    *,
    strict: bool,
) -> Iterator[Change]:
    """The changes of all pins of one board. ``devices``: controllers that were renumbered, old name to new."""
    yield from _Pins(old, new, renames, devices, unclear, strict).changes()


class _Pins:
    """Traces pins by place: ``U1.37``, with the device's new name in both revisions."""

    def __init__(
        self, old: Board, new: Board, renames: Renames, devices: Mapping[str, str], unclear: list[Unclear], strict: bool
    ) -> None:
        self._board = old.name
        self._unclear = unclear
        self._old = {f"{renamed(devices, pin.device)}.{pin.number}": pin for pin in old.pins.values()}
        self._new = {pin.name: pin for pin in new.pins.values()}
        before = {place: renames.follow(old.name, pin.signal.word) for place, pin in self._old.items()}
        after = {place: pin.signal.word for place, pin in self._new.items()}
        matched: dict[str, str] = {}
        here = _by_device(before, {place: renamed(devices, pin.device) for place, pin in self._old.items()})
        there = _by_device(after, {place: pin.device for place, pin in self._new.items()})
        for device, places in here.items():
            matched.update(link(places, there.get(device, {}), patterns=False, strict=strict).matched)
        if not strict:
            matched.update(link_across(before, after, matched))
        self._moves = trace(before, after, Links(matched))
        self._binding = bind_columns(self._old, self._new, self._moves, {})
        self._sources = self._moves.sources()
        self._targets = self._moves.targets()
        self._rows = place_changes(self._moves.listed, self._moves.unlisted)
        for place, target in self._moves.vacated:
            details = place_details(_vacated(self._old[place]), self._old[place], self._new[target])
            self._rows[place] = (*self._rows.get(place, ()), *details)
        counts: dict[str, int] = {}
        for signal in after.values():
            counts[signal] = counts.get(signal, 0) + 1
        self._single = {signal for signal, count in counts.items() if signal and count == 1}

    def changes(self) -> Iterator[Change]:
        moves = self._moves
        for cycle in moves.cycles:
            yield self._swap(cycle)
        for place, target in moves.moved:
            yield self._move(place, target)
        for place, target in moves.replaced:
            yield self._replaced(place, target)
        for place in moves.lost:
            yield self._lost(place)
        for place in moves.gained:
            yield self._gained(self._new[place])
        for place, target in moves.matched:
            yield from self._fields(self._old[place], self._new[target], moved=place != target)
        for place, target in self._binding.exchanged:
            yield from self._at_place(self._old[place], self._new[target])

    def _listing(self, *places: str) -> tuple[FieldChange, ...]:
        return tuple(item for place in places for item in self._rows.get(place, ()))

    def _subject(self, pin: Pin) -> str:
        """The signal where it names one pin of the board, else the pin."""
        return pin.signal.raw if pin.signal.word in self._single else pin.name

    def _move(self, place: str, target: str) -> Change:
        old, new = self._old[place], self._new[target]
        return Change(
            kind="pin.moved",
            boards=(self._board,),
            subject=new.signal.raw,
            before=_place(old),
            after=_place(new),
            fields=(*self._binding.of_the_place(old, new), *self._listing(place)),
            pairs=((old.name, new.name),),
            origin_before=old.origin.of("pin"),
            origin_after=new.origin.of("pin"),
        )

    def _swap(self, cycle: tuple[Pair, ...]) -> Change:
        signals = [self._new[target].signal.raw for _, target in cycle]
        first, second = self._old[cycle[0][0]], self._new[cycle[0][1]]
        return Change(
            kind="pin.swapped",
            boards=(self._board,),
            subject=" ↔ ".join(signals) if len(cycle) == 2 else " → ".join(signals),
            before=", ".join(
                f"{self._new[target].signal.raw} on {_place(self._old[place])}" for place, target in cycle
            ),
            after=", ".join(f"{self._new[target].signal.raw} on {_place(self._new[target])}" for _, target in cycle),
            fields=tuple(
                FieldChange(f"{self._new[target].name}.{item.name}", item.before, item.after)
                for place, target in cycle
                for item in self._binding.of_the_place(self._old[place], self._new[target])
            ),
            pairs=tuple((self._old[place].name, self._new[target].name) for place, target in cycle),
            pattern="exchange" if len(cycle) == 2 else f"rotation of {len(cycle)}",
            origin_before=first.origin.of("pin"),
            origin_after=second.origin.of("pin"),
        )

    def _replaced(self, place: str, target: str) -> Change:
        old, new = self._old[place], self._new[target]
        goes = place not in self._sources and bool(old.signal)
        comes = target not in self._targets and bool(new.signal)
        if not goes:
            return self._gained(new, old)
        if not comes:
            return self._lost(place, new)
        return Change(
            kind="pin.signal",
            boards=(self._board,),
            subject=new.name,
            before=old.signal.raw,
            after=new.signal.raw,
            fields=all_fields(old, new),
            pairs=((old.name, new.name),),
            origin_before=old.origin.of("signal"),
            origin_after=new.origin.of("signal"),
        )

    def _gained(self, pin: Pin, old: Pin | None = None) -> Change:
        return Change(
            kind="pin.added",
            boards=(self._board,),
            subject=pin.signal.raw or pin.name,
            after=_place(pin),
            fields=all_fields(old if old is not None and not old.signal else None, pin),
            pairs=(("", pin.name),),
            origin_before=old.origin.of("signal") if old is not None else None,
            origin_after=pin.origin.of("signal"),
        )

    def _lost(self, place: str, new: Pin | None = None) -> Change:
        pin = self._old[place]
        fields = all_fields(pin, new if new is not None and not new.signal else None)
        if new is None:
            fields = (*fields, *place_changes((), [place])[place])
        return Change(
            kind="pin.removed",
            boards=(self._board,),
            subject=pin.signal.raw or pin.name,
            before=_place(pin),
            fields=fields,
            pairs=((pin.name, ""),),
            origin_before=pin.origin.of("signal"),
            origin_after=new.origin.of("signal") if new is not None else None,
        )

    def _fields(self, old: Pin, new: Pin, *, moved: bool) -> Iterator[Change]:
        if old == new:
            return
        names = ("signal", *self._binding.columns) if moved else ("signal",)
        yield from self._told(old, new, lambda name: name not in names, self._subject(new))

    def _at_place(self, old: Pin, new: Pin) -> Iterator[Change]:
        """What differs at a pin that one signal left and another one came to."""
        yield from self._told(old, new, self._binding.by_data, new.name)

    def _told(self, old: Pin, new: Pin, wanted: Callable[[str], bool], subject: str) -> Iterator[Change]:
        before, after = ({name: item for name, item in readings_of(pin).items() if wanted(name)} for pin in (old, new))
        different, unclear = changed_fields(before, after)
        self._unclear += [
            Unclear(self._board, new.name, item.name, item.before.raw, item.after.raw, new.origin.of(item.name))
            for item in unclear
        ]
        extra = tuple(item for item in changed_extra(old.extra, new.extra) if wanted(item.name))
        yield from split_by_kind(
            (*different, *extra),
            PIN_FIELDS,
            "pin.field",
            board=self._board,
            subject=subject,
            pairs=((old.name, new.name),),
            old=old,
            new=new,
        )


def _by_device(signals: Mapping[str, str], devices: Mapping[str, str]) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for place, signal in signals.items():
        found.setdefault(devices[place], {})[place] = signal
    return found


def _vacated(pin: Pin) -> Pin:
    """The place that a signal left: what belongs to the place is still there."""
    kept = {name: getattr(pin, name) for name in OF_THE_PLACE}
    return Pin(device=pin.device, number=pin.number, origin=pin.origin, **kept)


def _place(pin: Pin) -> str:
    return f"{pin.name} ({pin.port.raw})" if pin.port and pin.port.raw != pin.number else pin.name
