"""What holds for every netlist: written records read back, and nothing a stranger sends raises but DataFault."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.errors import DataFault
from revdiff.readers.derive import derive_contacts, derive_parts, derive_pins
from revdiff.readers.ipc356_lines import STEPS
from revdiff.readers.netlist import looks_like
from tests.netlists.writing import file356, file2581, read356, read2581, record
from tests.quantities.strategies import untimed

pytestmark = pytest.mark.slow

_LETTERS = "ABCXYZ019_+-./#$"
coordinates = st.integers(-999_999, 999_999)
written = st.fixed_dictionaries(
    {
        "net": st.one_of(st.just("N/C"), st.text(_LETTERS, min_size=1, max_size=13)),
        "x": coordinates,
        "y": coordinates,
        "mid": st.booleans(),
        "padded": st.booleans(),
        "operation": st.sampled_from(["317", "327", "367", "307"]),
    }
)
terminals = st.tuples(
    st.text(_LETTERS, min_size=1, max_size=6).filter(lambda ref: ref != "VIA"),
    st.text(_LETTERS, min_size=1, max_size=4),
)


@given(st.dictionaries(terminals, written, min_size=1, max_size=12), st.sampled_from(sorted(STEPS)))
@untimed
def test_records_written_in_fixed_columns_read_back_the_same(
    rows: dict[tuple[str, str], dict[str, Any]], units: str
) -> None:
    lines = [record(ref=ref, pin=pin, **row) for (ref, pin), row in rows.items()]
    netlist, told = read356(file356(*lines, units=units))
    step = STEPS[units]
    assert [item for item in told if item[0] == "fault"] == []
    assert [(t.ref, t.pin, t.net, t.x, t.y, t.mid) for t in netlist.terminals] == [
        (ref, pin, "" if row["net"] == "N/C" else row["net"], row["x"] * step, row["y"] * step, row["mid"])
        for (ref, pin), row in rows.items()
    ]


_PIECES = [
    "317",
    "017",
    "P  ",
    "C  ",
    "999",
    "\n",
    "\r",
    "\t",
    " ",
    "X+000001",
    "Y-",
    "NNAME1",
    "UNITS SI",
    "VIA",
    "-1",
]
hostile = st.one_of(
    st.binary(max_size=400),
    st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass")),
    st.lists(st.sampled_from([*_PIECES, record("GND", "J1", "1")]), max_size=60).map(lambda all: "".join(all).encode()),
    st.binary(max_size=60).map(lambda junk: file356("P  NNAME1 A", record("NNAME1", "J1", "1")).replace(b"GND", junk)),
)


@given(hostile)
@untimed
def test_no_bytes_break_the_fixed_column_reader(data: bytes) -> None:
    looks_like(data)
    with suppress(DataFault):
        netlist, _ = read356(data)
        derive_pins(netlist, ["J1"])
        derive_contacts(netlist, ["J1"])


_NAMES = ["Bom", "BomItem", "RefDes", "Characteristics", "Textual", "Measured", "Ranged", "Avl", "AvlItem", "AvlVmpn"]
_NAMES += ["AvlMpn", "AvlVendor", "Enterprise", "LogicalNet", "PinRef", "Component", "Step", "CadHeader", "BomHeader"]
_ATTRIBUTES = ["name", "populate", "quantity", "OEMDesignNumber", "OEMDesignNumberRef", "componentRef", "pin", "rank"]
_ATTRIBUTES += ["chosen", "textualCharacteristicName", "textualCharacteristicValue", "enterpriseRef", "id", "refDes"]
_ATTRIBUTES += ["measuredCharacteristicName", "measuredCharacteristicValue", "engineeringUnitOfMeasure", "packageRef"]
attributes = st.dictionaries(
    st.sampled_from(_ATTRIBUTES), st.sampled_from(["", "A", "B", "R1", "1", "2", "0", "true", "10k", "Value", "\u200b"])
)


def _element(name: str, attributes: dict[str, str], content: str) -> str:
    return f"<{name}" + "".join(f' {key}="{value}"' for key, value in attributes.items()) + f">{content}</{name}>"


trees = st.recursive(
    st.builds(_element, st.sampled_from(_NAMES), attributes, st.just("")),
    lambda inner: st.builds(_element, st.sampled_from(_NAMES), attributes, st.lists(inner, max_size=4).map("".join)),
    max_leaves=15,
)


@given(st.lists(trees, max_size=3))
@untimed
def test_elements_in_any_place_never_raise(elements: list[str]) -> None:
    netlist, _ = read2581(file2581(*elements))
    refs = [part.ref for part in netlist.parts if part.ref]
    assert len(refs) == len(set(refs))
    assert list(derive_parts(netlist)) == refs


@given(st.one_of(st.binary(max_size=200), st.binary(max_size=80).map(lambda junk: file2581(junk.decode("latin-1")))))
@untimed
def test_no_bytes_break_the_xml_reader(data: bytes) -> None:
    looks_like(data)
    with suppress(DataFault):
        read2581(data)
