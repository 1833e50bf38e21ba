"""Changes of one matched record: its differing fields, split by the kind of change they make."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Protocol

from msgspec.structs import replace

from revdiff.compare.change import Change, FieldChange, Match
from revdiff.compare.fields import changed_extra
from revdiff.design import EMPTY, Contact, Origin, Pin, Reading
from revdiff.design.model import Extra, readings_of
from revdiff.quantities.designator import natural_key


class Record(Protocol):
    """A record of the model that knows where it was read."""

    @property
    def origin(self) -> Origin: ...

    @property
    def extra(self) -> Extra: ...


def split_by_kind(
    fields: tuple[FieldChange, ...],
    kinds: Mapping[str, str],
    otherwise: str,
    *,
    board: str,
    subject: str,
    pairs: tuple[tuple[str, str], ...],
    old: Record,
    new: Record,
    match: Match | None = None,
) -> Iterator[Change]:
    """One change for each kind that the differing fields of a matched record make."""
    by_kind: dict[str, list[FieldChange]] = {}
    for item in fields:
        by_kind.setdefault(kinds.get(item.name, otherwise), []).append(item)
    for kind, items in by_kind.items():
        yield Change(
            kind=kind,
            boards=(board,),
            subject=subject,
            before=side(items, "before"),
            after=side(items, "after"),
            fields=tuple(items),
            pairs=pairs,
            origin_before=old.origin.of(items[0].name),
            origin_after=new.origin.of(items[0].name),
            match=match,
        )


def merge_alike(changes: Sequence[Change]) -> Iterator[Change]:
    """Changes of several contacts that are the same in kind and values, as one change."""
    alike: dict[tuple[str, tuple[FieldChange, ...]], list[Change]] = {}
    for change in changes:
        alike.setdefault((change.kind, change.fields), []).append(change)
    for together in alike.values():
        together.sort(key=lambda item: natural_key(item.subject))
        yield replace(
            together[0],
            subject=contact_list([item.subject for item in together]),
            pairs=tuple(pair for item in together for pair in item.pairs),
        )


def contact_list(names: Sequence[str]) -> str:
    """``J2.1–J2.4, J2.21``: contacts of one connector, runs of three or more drawn together."""
    runs: list[list[str]] = []
    for name in names:
        connector, _, number = name.rpartition(".")
        last = runs[-1][-1].rpartition(".") if runs else ("", "", "")
        follows = number.isdecimal() and last[2].isdecimal() and int(number) == int(last[2]) + 1
        if follows and last[0] == connector:
            runs[-1].append(name)
        else:
            runs.append([name])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def side(items: Sequence[FieldChange], which: str, *, named: bool = True) -> str:
    """What stands on one side of the arrow: the value alone, or each with its name where there are several."""
    texts = [(item.name.replace("_", " "), shown(item.name, getattr(item, which))) for item in items]
    if len(texts) == 1:
        return str(texts[0][1])
    if not named:
        return " ".join(text for _, text in texts if text)
    return ", ".join(f"{name} {text}" for name, text in texts if text)


def shown(name: str, reading: Reading) -> str:
    """The text of a cell as a person wrote it; yes and no in words, since an empty cell can mean either."""
    if name == "fitted":
        return "fitted" if reading.meaning else "not fitted"
    if isinstance(reading.meaning, bool) and not reading.raw:
        return "yes" if reading.meaning else "no"
    return reading.raw


def all_fields(old: Record | None, new: Record | None) -> tuple[FieldChange, ...]:
    """Every field that has a meaning on either side and differs; None stands for an empty record."""
    before = readings_of(old) if old is not None else {}
    after = readings_of(new) if new is not None else {}
    fields = [
        FieldChange(name, before.get(name, EMPTY), after.get(name, EMPTY))
        for name in (before or after)
        if before.get(name, EMPTY) != after.get(name, EMPTY)
    ]
    extra = changed_extra(old.extra if old is not None else (), new.extra if new is not None else ())
    return (*fields, *extra)


def place_changes(listed: Iterable[str], unlisted: Iterable[str]) -> dict[str, tuple[FieldChange, ...]]:
    """Pins or contacts that appear or disappear in a table beside a signal that moved, by place: ``J1.3.listed``."""
    here = Reading("yes", True)
    found: dict[str, tuple[FieldChange, ...]] = {}
    for name in sorted(listed, key=natural_key):
        found[name] = (FieldChange(f"{name}.listed", EMPTY, here),)
    for name in sorted(unlisted, key=natural_key):
        found[name] = (FieldChange(f"{name}.listed", here, EMPTY),)
    return found


def place_details(vacated: Pin | Contact, old: Pin | Contact, new: Pin | Contact) -> tuple[FieldChange, ...]:
    """What the row of a place says after its signal went, by place: ``U1.5.note``.

    ``vacated``: what is taken to stay of the row ``old``; of what stays beyond that, both sides are the same.
    """
    before = {**readings_of(old), **dict(old.extra)}
    return tuple(
        replace(item, name=f"{new.name}.{item.name}", before=item.before or before.get(item.name, EMPTY))
        for item in all_fields(vacated, new)
    )


def designator_change(old: str, new: str) -> FieldChange:
    """That the parts list names a connector or controller by its new designator, too."""
    return FieldChange("designator", Reading(old, old), Reading(new, new))
