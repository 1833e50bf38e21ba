"""Which fields differ, held against a general-purpose library's comparison of nested values (DeepDiff)."""

from __future__ import annotations

from decimal import Decimal

from deepdiff.diff import DeepDiff
from hypothesis import given
from hypothesis import strategies as st

from revdiff.compare.fields import changed_extra
from revdiff.design.reading import Meaning, Reading
from revdiff.quantities.quantity import Quantity
from revdiff.quantities.size_code import Package
from revdiff.quantities.tolerance import Tolerance

_numbers = st.sampled_from(["0", "1", "1.0", "4.7", "4700", "-1"]).map(Decimal)
_units = st.sampled_from(["", "Ω", "V"])
_words = st.sampled_from(["", "1", "4k7", "true", "out"])
_meanings: st.SearchStrategy[Meaning] = st.one_of(
    st.none(),
    st.booleans(),
    _words,
    st.builds(Quantity, _numbers, _units),
    st.builds(Tolerance, _numbers, _numbers, _units),
    st.builds(Package, _words),
    st.lists(_words, max_size=3).map(tuple),
)
_records = st.dictionaries(st.sampled_from(["value", "note", "rating"]), _meanings, max_size=3)


@given(_records, _records)
def test_the_fields_that_differ_are_those_that_deepdiff_finds(old: dict[str, Meaning], new: dict[str, Meaning]) -> None:
    columns = {*old, *new}
    before, after = ({name: side.get(name) for name in columns} for side in (old, new))
    found = DeepDiff(before, after, view="tree")
    expected = {str(item.path(output_format="list")[0]) for items in found.values() for item in items}

    sides = [tuple((name, Reading(f"raw {name}", item)) for name, item in side.items()) for side in (old, new)]

    assert {change.name for change in changed_extra(*sides)} == expected
