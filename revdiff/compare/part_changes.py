"""Changes of the parts of one board, told once it is known who is who."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from typing import NamedTuple

from revdiff.compare.change import Change, FieldChange, Match, OtherReading, Unclear
from revdiff.compare.fields import changed_extra, changed_fields
from revdiff.compare.kinds import PART_FIELDS, kinds_of_fields
from revdiff.compare.parts import PartMatches
from revdiff.compare.records import designator_change, side
from revdiff.design import EMPTY, Board, Design, Origin, PartData, Reading
from revdiff.design.model import FITTED, readings_of
from revdiff.quantities.designator import compress, natural_key

STILL_THERE = "still on the board"
THERE_BEFORE = "on the board before"
REUSED = "designator used again for another part"
CONTROLLER = "controller, with its pin map"
# What people call a part by, and in which order they say it.
NAMING = ("value", "package", "manufacturer", "part_number")
RATINGS = tuple(name for name, kind in PART_FIELDS.items() if kind == "part.rating")
REPLACED = ("part.value", "part.package", "part.rating", "part.substituted")


def controller_changes(old: Design, new: Design, board: str, devices: Mapping[str, str]) -> Iterator[Change]:
    """Controllers with another designator in the pin map, and the parts list and contracts that followed.

    ``devices``: old name to new name.
    """
    one, two = old.boards[board], new.boards[board]
    for name, other in sorted(devices.items(), key=lambda item: natural_key(item[0])):
        first = next(pin for pin in one.pins.values() if pin.device == name)
        second = next(pin for pin in two.pins.values() if pin.device == other)
        listed = name in one.parts and other in two.parts
        contracts = [
            FieldChange(f"firmware.{key}", Reading(name, name), Reading(other, other))
            for key, item in old.contracts.items()
            if item.board == board and item.device == name
            if key in new.contracts and new.contracts[key].device == other
        ]
        yield Change(
            kind="part.renumbered",
            boards=(board,),
            subject=name,
            before=name,
            after=other,
            fields=(*((designator_change(name, other),) if listed else ()), *contracts),
            pairs=((name, other),),
            pattern=CONTROLLER,
            origin_before=first.origin.of("device"),
            origin_after=second.origin.of("device"),
            match=Match("inferred", 0.9, "mostly the same signals on the same pins"),
        )


def part_changes(
    old: Board, new: Board, matches: PartMatches, unclear: list[Unclear], packing: Sequence[str] = ()
) -> Iterator[Change]:
    """The changes of all parts of one board; parts that changed in the same way make one change.

    ``packing``: suffixes of part numbers that the design says mean reel, tray or plating only.
    """
    for pairing in matches.pairing:
        for event in pairing.renumberings:
            refs, others = [one for one, _ in event.pairs], [two for _, two in event.pairs]
            yield Change(
                kind="part.renumbered",
                boards=(old.name,),
                subject=compress(refs),
                before=compress(refs),
                after=compress(others),
                pairs=event.pairs,
                pattern=event.pattern,
                origin_before=old.parts[refs[0]].origin,
                origin_after=new.parts[others[0]].origin,
                match=event.match,
            )
    yield from _changed(old, new, matches, unclear, packing)
    found = {other for other, _ in matches.pairs.values()}
    gone = [ref for ref in old.parts if ref not in matches.pairs]
    come = [ref for ref in new.parts if ref not in found]
    removed = {ref: item for item in matches.other_readings for ref in item.old}
    added = {ref: item for item in matches.other_readings for ref in item.new}
    drawn = [{ref for ref, _ in board.nodes} for board in (old, new)]
    still = {ref for ref in gone if ref in drawn[0] and ref in drawn[1] and ref not in new.parts}
    before = {ref for ref in come if ref in drawn[0] and ref in drawn[1] and ref not in old.parts}
    yield from _rows("part.removed", old, gone, new.parts, come, removed, dict.fromkeys(still, STILL_THERE))
    yield from _rows("part.added", new, come, old.parts, old.parts, added, dict.fromkeys(before, THERE_BEFORE))


def _rows(
    kind: str,
    board: Board,
    refs: list[str],
    others: Container[str],
    reused: Container[str],
    readings: Mapping[str, OtherReading],
    drawn: Mapping[str, str],
) -> Iterator[Change]:
    """Parts that came or went, those that read alike together; one whose designator is in ``others`` too on its own.

    ``reused``: designators that name another part in the other revision. ``drawn``: what the netlists say of some.
    """
    added = kind == "part.added"
    rows: dict[tuple[str, bool, str], list[str]] = {}
    texts: dict[tuple[Reading, ...], str] = {}  # 12k and 12.0k read alike
    for ref in sorted(refs, key=natural_key):
        data = board.parts[ref].data
        named = tuple(getattr(data, name) for name in (*NAMING, "fitted"))
        text = texts.setdefault(named if any(named[:-1]) else (*named, data.description), describe(data))
        rows.setdefault((text, ref in others, drawn.get(ref, "")), []).append(ref)
    for (text, _, known), together in rows.items():
        again = together[0] in reused
        origin = board.parts[together[0]].origin
        fields = _together([(_data_fields(board.parts[ref].data), [ref]) for ref in together])
        yield Change(
            kind=kind,
            boards=(board.name,),
            subject=compress(together),
            before="" if added else text,
            after=text if added else "",
            fields=fields if added else tuple(FieldChange(item.name, item.after, item.before) for item in fields),
            pairs=tuple(("", ref) if added else (ref, "") for ref in together),
            pattern=REUSED if again else known,
            origin_before=None if added else origin,
            origin_after=origin if added else None,
            other_reading=next((readings[ref] for ref in together if ref in readings), None),
        )


def _together(rows: Sequence[tuple[tuple[FieldChange, ...], Sequence[str]]]) -> tuple[FieldChange, ...]:
    """The fields of parts that are told together; one that not all of them share has the designator before its name."""
    first = rows[0][0]
    if all(fields == first for fields, _ in rows):
        return first
    shared = [item for item in first if all(item in fields for fields, _ in rows)]
    own = [
        FieldChange(f"{ref}.{item.name}", item.before, item.after)
        for fields, refs in rows
        for ref in refs
        for item in fields
        if item not in shared
    ]
    return (*shared, *own)


def _data_fields(data: PartData) -> tuple[FieldChange, ...]:
    fields = [
        FieldChange(name, FITTED if name == "fitted" else EMPTY, item)
        for name, item in readings_of(data).items()
        if item and not (name == "fitted" and item.meaning is True)
    ]
    return (*fields, *changed_extra((), data.extra))


def packing_difference(old: str, new: str, packing: Sequence[str]) -> str:
    """The suffixes by which two part numbers differ, where that is all; ``-TR → none``. Else empty."""

    def split(text: str) -> tuple[str, str]:
        for suffix in sorted(packing, key=len, reverse=True):
            if suffix and len(text) > len(suffix) and text.casefold().endswith(suffix.casefold()):
                return text[: -len(suffix)], text[-len(suffix) :]
        return text, ""

    (stem, before), (other, after) = split(old), split(new)
    same = stem.casefold() == other.casefold() and before.casefold() != after.casefold()
    return f"{before or 'none'} → {after or 'none'}" if same else ""


def _changed(
    old: Board, new: Board, matches: PartMatches, unclear: list[Unclear], packing: Sequence[str]
) -> Iterator[Change]:
    rows: dict[tuple[PartData, PartData], list[tuple[str, str, Match]]] = {}
    changed = [(ref, *matches.pairs[ref]) for ref in matches.changed]
    for ref, other, match in sorted(changed, key=lambda item: natural_key(item[1])):
        rows.setdefault((old.parts[ref].data, new.parts[other].data), []).append((ref, other, match))
    alike: dict[tuple[str, str, str, str], list[_Row]] = {}
    spelled: dict[tuple[str, tuple[FieldChange, ...]], tuple[str, str]] = {}  # 12k and 12.0k read alike
    for (before, after), together in rows.items():
        different, unknown = changed_fields(readings_of(before), readings_of(after))
        if unknown:
            subject = compress([two for _, two, _ in together])
            origin = new.parts[together[0][1]].origin
            unclear += [
                Unclear(old.name, subject, item.name, item.before.raw, item.after.raw, origin.of(item.name))
                for item in unknown
            ]
        one, two = old.parts[together[0][0]], new.parts[together[0][1]]
        different = _with_columns(old.name, different, one.origin, two.origin, unclear)
        for kind, items in _by_kind((*different, *changed_extra(before.extra, after.extra))).items():
            fields = tuple(items)
            shown = _shown(kind, fields, before, after)
            texts = spelled.setdefault((kind, shown), _sides(kind, shown))
            alike.setdefault((kind, *texts, _packing_only(kind, fields, packing)), []).append(_Row(fields, together))
    for (kind, left, right, pattern), found in alike.items():
        everyone = sorted((item for row in found for item in row.parts), key=lambda item: natural_key(item[1]))
        ref, other, _ = everyone[0]
        least = min((match for _, _, match in everyone), key=lambda match: match.confidence)
        first = found[0].fields[0].name
        yield Change(
            kind=kind,
            boards=(old.name,),
            subject=compress([two for _, two, _ in everyone]),
            before=left,
            after=right,
            fields=_together([(row.fields, [two for _, two, _ in row.parts]) for row in found]),
            pairs=tuple((one, two) for one, two, _ in everyone),
            pattern=pattern,
            origin_before=old.parts[ref].origin.of(first),
            origin_after=new.parts[other].origin.of(first),
            match=None if least.level == "exact" else least,
        )


class _Row(NamedTuple):
    """Parts of one row, before and after, with the fields that make a change of one kind."""

    fields: tuple[FieldChange, ...]
    parts: list[tuple[str, str, Match]]


def _shown(kind: str, fields: tuple[FieldChange, ...], before: PartData, after: PartData) -> tuple[FieldChange, ...]:
    """What is printed of a change: of a replaced part all that names it; else what changed of that, or any field."""
    if kind not in REPLACED:
        return fields
    changed = {item.name for item in fields}
    replaced = not changed.isdisjoint(("manufacturer", "part_number"))
    names = [name for name in (*NAMING, *RATINGS) if name in changed or (replaced and name in NAMING)]
    return tuple(FieldChange(name, getattr(before, name), getattr(after, name)) for name in names)


def _sides(kind: str, fields: tuple[FieldChange, ...]) -> tuple[str, str]:
    named = kind not in REPLACED or all(item.name in RATINGS for item in fields)
    return side(fields, "before", named=named), side(fields, "after", named=named)


def _packing_only(kind: str, fields: tuple[FieldChange, ...], packing: Sequence[str]) -> str:
    if kind != "part.substituted" or [item.name for item in fields] != ["part_number"]:
        return ""
    suffixes = packing_difference(fields[0].before.raw, fields[0].after.raw, packing)
    return f"packing only, suffix {suffixes}" if suffixes else ""


def _with_columns(
    board: str, fields: tuple[FieldChange, ...], old: Origin, new: Origin, unclear: list[Unclear]
) -> tuple[FieldChange, ...]:
    """The fields that both tables can state. A column that one list lacks is no change of every part in it."""
    kept = []
    for item in fields:
        gone = not item.after and new.columns and item.name in old.columns and item.name not in new.columns
        come = not item.before and old.columns and item.name in new.columns and item.name not in old.columns
        if not gone and not come:
            kept.append(item)
            continue
        place = new if gone else old
        missing = Unclear(board, "all parts", item.name, "", "", Origin(place.file, 1), no_column=True)
        if missing not in unclear:
            unclear.append(missing)
    return tuple(kept)


def _by_kind(fields: tuple[FieldChange, ...]) -> dict[str, list[FieldChange]]:
    kinds: dict[str, list[FieldChange]] = {}
    own = kinds_of_fields([item.name for item in fields])
    for item in sorted(fields, key=lambda item: PART_FIELDS.get(item.name) != own[item.name]):
        kinds.setdefault(own[item.name], []).append(item)
    return kinds


def describe(data: PartData) -> str:
    """What a person would call the part: ``4k7 0603 Maker QX-R1``."""
    texts = [item.raw for item in (getattr(data, name) for name in NAMING) if item]
    if not texts and data.description:
        texts = [data.description.raw]
    if data.fitted != FITTED:
        texts.append("(not fitted)")
    return " ".join(dict.fromkeys(texts))
