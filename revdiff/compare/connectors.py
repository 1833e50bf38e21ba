"""Changes of connectors as wholes: renumbered, split, merged, added, removed, and their own properties."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.change import Change, FieldChange, Match, Unclear
from revdiff.compare.connector_match import ConnectorMatches, in_order
from revdiff.compare.contacts import contact_changes
from revdiff.compare.fields import changed_extra, changed_fields
from revdiff.compare.kinds import CONNECTOR_FIELDS
from revdiff.compare.records import all_fields, designator_change, split_by_kind
from revdiff.compare.signals import Renames
from revdiff.design import Board, Connector, Contact
from revdiff.design.model import readings_of
from revdiff.quantities.designator import natural_key

# Another size, pitch or gender is another part: its part number is no change of its own.
_BRINGS_PART_NUMBER = ("connector.count", "connector.pitch", "connector.gender")


def connector_changes(
    old: Board,
    new: Board,
    matches: ConnectorMatches,
    renames: Renames,
    unclear: list[Unclear],
    *,
    strict: bool,
) -> Iterator[Change]:
    """The changes of all connectors of one board."""
    names = matched_names(old, new, matches)
    for name, (other, match) in matches.renumbered.items():
        yield _renumbered(old, new, name, other, match)
    for name, pieces in matches.split.items():
        yield _divided("connector.split", old, new, (name,), pieces, renames)
    for name, pieces in matches.merged.items():
        yield _divided("connector.merged", old, new, pieces, (name,), renames)
    for name, other in names.items():
        before, after = old.connectors[name], new.connectors[other]
        yield from _properties(old.name, before, after, unclear)
    yield from contact_changes(old, new, names, renames, unclear, strict=strict)
    gone = (
        set(old.connectors)
        - set(names)
        - set(matches.split)
        - {one for all_ in matches.merged.values() for one in all_}
    )
    come = set(new.connectors) - set(names.values()) - set(matches.merged)
    come -= {one for pieces in matches.split.values() for one in pieces}
    for name in sorted(gone, key=natural_key):
        yield _whole("connector.removed", old.name, old.connectors[name])
    for name in sorted(come, key=natural_key):
        yield _whole("connector.added", old.name, new.connectors[name])


def matched_names(old: Board, new: Board, matches: ConnectorMatches) -> dict[str, str]:
    """Old name to new name of every connector that is found again as a whole."""
    renumbered = matches.names()
    apart = {*matches.split, *(one for pieces in matches.merged.values() for one in pieces)}
    taken = {*renumbered.values(), *matches.merged, *(one for pieces in matches.split.values() for one in pieces)}
    names = {
        name: name
        for name in old.connectors
        if name in new.connectors and name not in renumbered and name not in taken and name not in apart
    }
    return names | renumbered


def _renumbered(old: Board, new: Board, name: str, other: str, match: Match) -> Change:
    listed = name in old.parts and other in new.parts
    return Change(
        kind="connector.renumbered",
        boards=(old.name,),
        subject=name,
        before=name,
        after=other,
        fields=(designator_change(name, other),) if listed else (),
        pairs=((name, other),),
        origin_before=old.connectors[name].origin,
        origin_after=new.connectors[other].origin,
        match=match,
    )


def _whole(kind: str, board: str, connector: Connector) -> Change:
    """A connector that came or went, with its contacts."""
    added = kind == "connector.added"
    own = all_fields(None, connector) if added else all_fields(connector, None)
    inner = [
        FieldChange(f"{contact.number}.{item.name}", item.before, item.after)
        for contact in in_order(connector)
        for item in (all_fields(None, contact) if added else all_fields(contact, None))
    ]
    text = _describe(connector)
    return Change(
        kind=kind,
        boards=(board,),
        subject=connector.name,
        before="" if added else text,
        after=text if added else "",
        fields=(*own, *inner),
        pairs=tuple(("", item.name) if added else (item.name, "") for item in in_order(connector)),
        origin_before=None if added else connector.origin,
        origin_after=connector.origin if added else None,
    )


def _describe(connector: Connector) -> str:
    texts = [f"{connector.size} contacts"]
    texts += [item.raw for item in (connector.role, connector.gender, connector.part_number) if item]
    return ", ".join(texts)


def _divided(
    kind: str, old: Board, new: Board, before: tuple[str, ...], after: tuple[str, ...], renames: Renames
) -> Change:
    """Connectors split or merged: which contact became which, by signal."""
    waiting: dict[str, list[Contact]] = {}
    for name in after:
        for contact in in_order(new.connectors[name]):
            waiting.setdefault(contact.signal.word, []).append(contact)
    pairs = []
    for name in before:
        for contact in in_order(old.connectors[name]):
            targets = waiting.get(renames.of(old.name, contact.signal.word))
            pairs.append((contact.name, targets.pop(0).name if targets else ""))
    pairs += [("", contact.name) for contacts in waiting.values() for contact in contacts]
    fields: list[FieldChange] = []
    for name in before:
        fields += (FieldChange(f"{name}.{item.name}", item.before) for item in all_fields(old.connectors[name], None))
    for name in after:
        connector = new.connectors[name]
        fields += (FieldChange(f"{name}.{item.name}", after=item.after) for item in all_fields(None, connector))
        fields += (
            FieldChange(f"{contact.name}.{item.name}", after=item.after)
            for contact in in_order(connector)
            for item in all_fields(None, contact)
        )
    return Change(
        kind=kind,
        boards=(old.name,),
        subject=", ".join(before if kind == "connector.split" else after),
        before=", ".join(before),
        after=", ".join(after),
        fields=tuple(fields),
        pairs=tuple(pairs),
        origin_before=old.connectors[before[0]].origin,
        origin_after=new.connectors[after[0]].origin,
        match=Match("inferred", 0.8, "their signals together are those of the other"),
        connectors=(before, after),
    )


def _properties(board: str, old: Connector, new: Connector, unclear: list[Unclear]) -> Iterator[Change]:
    different, unknown = changed_fields(readings_of(old), readings_of(new))
    unclear += [
        Unclear(board, new.name, item.name, item.before.raw, item.after.raw, new.origin.of(item.name))
        for item in unknown
    ]
    kinds = dict(CONNECTOR_FIELDS)
    leading = next((kinds[item.name] for item in different if kinds.get(item.name) in _BRINGS_PART_NUMBER), None)
    if leading is not None:
        kinds["part_number"] = leading
    yield from split_by_kind(
        (*different, *changed_extra(old.extra, new.extra)),
        kinds,
        "connector.field",
        board=board,
        subject=new.name,
        pairs=((old.name, new.name),),
        old=old,
        new=new,
    )
