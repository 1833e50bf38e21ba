"""Field-level comparison of two records that are known to be the same thing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from revdiff.compare.change import FieldChange
from revdiff.design import EMPTY, Reading
from revdiff.design.model import Extra
from revdiff.design.reading import compare_readings
from revdiff.quantities.text import fold

_LEAVES = (str, int, float, bool)


def changed_fields(
    old: Mapping[str, Reading], new: Mapping[str, Reading]
) -> tuple[tuple[FieldChange, ...], tuple[FieldChange, ...]]:
    """The fields that differ in meaning, and those that can't be compared, each in the order of ``old``.

    A field that one side lacks counts as empty there.
    """
    names = _differing(old, new)
    different, unclear = [], []
    for name in (*old, *(name for name in new if name not in old)):
        if name not in names:
            continue
        change = FieldChange(name, old.get(name, EMPTY), new.get(name, EMPTY))
        outcome = compare_readings(change.before, change.after)
        if outcome == "different":
            different.append(change)
        elif outcome == "unclear":
            unclear.append(change)
    return tuple(different), tuple(unclear)


def _differing(old: Mapping[str, Reading], new: Mapping[str, Reading]) -> frozenset[str]:
    """The fields whose meanings differ; a text that could mean two things means the same wherever it stands."""
    if old == new:
        return frozenset()
    return frozenset(key for key in {*old, *new} if old.get(key, EMPTY).meaning != new.get(key, EMPTY).meaning)


def changed_extra(old: Extra, new: Extra) -> tuple[FieldChange, ...]:
    """The columns without a name in the program that differ. Columns match by folded name."""
    if old == new:
        return ()
    before = {fold(name): (name, item) for name, item in old}
    after = {fold(name): (name, item) for name, item in new}
    empty = ("", EMPTY)
    names = _differing(
        {key: item for key, (_, item) in before.items()}, {key: item for key, (_, item) in after.items()}
    )
    return tuple(
        FieldChange((before.get(key) or after[key])[0], before.get(key, empty)[1], after.get(key, empty)[1])
        for key in sorted(names)
    )


def changed_values(old: Mapping[str, Any], new: Mapping[str, Any], prefix: str = "") -> tuple[FieldChange, ...]:
    """Every leaf that differs between two nested values of a manifest, named by its dotted path."""
    if old == new:
        return ()
    from deepdiff.diff import DeepDiff

    found = DeepDiff(_plain(old), _plain(new), view="tree", ignore_type_in_groups=[(int, float)])
    changes: list[FieldChange] = []
    for items in found.values():
        for item in items:
            path = ".".join(str(step) for step in item.path(output_format="list"))
            changes += _leaves(prefix + path, item.t1, item.t2)
    return tuple(sorted((item for item in changes if item.before != item.after), key=lambda item: item.name))


def _leaves(path: str, old: Any, new: Any) -> Iterable[FieldChange]:
    """One change for a leaf; one for each leaf of a section that appears or disappears as a whole."""
    if isinstance(old, dict) or isinstance(new, dict):
        before = old if isinstance(old, dict) else {}
        after = new if isinstance(new, dict) else {}
        for key in (*before, *(key for key in after if key not in before)):
            yield from _leaves(f"{path}.{key}", before.get(key), after.get(key))
        return
    yield FieldChange(path, _reading(old), _reading(new))


def _reading(value: Any) -> Reading:
    if not isinstance(value, (*_LEAVES, list)):
        return EMPTY
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return Reading(text, fold(text))


def _plain(value: Any) -> Any:
    """The same value in plain types; TOML's dates and times as text."""
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return value if isinstance(value, (int, float)) else str(value)
