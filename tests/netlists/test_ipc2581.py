"""Netlists after IPC-2581, revisions B and C, and what no such file may be.

The names of elements and attributes are those of public sample documents and published readers of the format; the
documents here are our own.
"""

from __future__ import annotations

import pytest

from revdiff.errors import DataFault
from revdiff.readers.ipc2581 import MAX_DEPTH, MAX_ELEMENTS
from revdiff.readers.netlist import MAX_BYTES, MAX_FAULTS
from tests.netlists.writing import Told, avl, bom, choice, file2581, item, nets, read356, read2581

NETS = """\
<LogicalNet name="GND"><PinRef componentRef="U1" pin="8"/><PinRef componentRef="J1" pin="2"/></LogicalNet>
<LogicalNet name="+3V3"><PinRef componentRef="u1" pin="a7"/></LogicalNet>"""


# Nets


@pytest.mark.parametrize(
    "document",
    [
        NETS,  # right below the root
        f'<Ecad><CadData><Step name="board">{NETS}</Step></CadData></Ecad>',  # below a step
    ],
)
def test_logical_nets_are_found_wherever_they_stand(document: str) -> None:
    netlist, told = read2581(file2581(document))
    assert nets(netlist) == {"GND": ["U1.8", "J1.2"], "+3V3": ["U1.A7"]}
    assert told == []


@pytest.mark.parametrize(
    "data",
    [
        b'<IPC-2581 revision="B"><LogicalNet name="GND"><PinRef componentRef="J1" pin="2"/></LogicalNet></IPC-2581>',
        b'<i:IPC-2581 xmlns:i="http://webstds.ipc.org/2581"><i:LogicalNet i:name="GND">'
        b'<i:PinRef componentRef="J1" pin="2"/></i:LogicalNet></i:IPC-2581>',
        b'<IPC-2581 xmlns="http://example.org/else"><LogicalNet name="GND"><PinRef componentRef="J1" pin="2"/>'
        b"</LogicalNet></IPC-2581>",
    ],
)
def test_the_namespace_does_not_matter(data: bytes) -> None:
    assert nets(read2581(data)[0]) == {"GND": ["J1.2"]}


def test_a_terminal_knows_its_line_and_column() -> None:
    found = [(item.origin.line, item.origin.column) for item in read2581(file2581(NETS))[0].terminals]
    first, second = NETS.split("\n")
    assert found == [
        (2, first.index("<PinRef") + 1),
        (2, first.rindex("<PinRef") + 1),
        (3, second.index("<PinRef") + 1),
    ]


def test_pins_of_other_elements_are_no_pins_of_nets() -> None:
    netlist, told = read2581(
        file2581(NETS, '<Set net="VCC"><Pad><PinRef componentRef="U1" pin="9"/></Pad></Set><PhyNet name="VCC"/>')
    )
    assert (sorted(netlist.nets), told) == (["+3V3", "GND"], [])


@pytest.mark.parametrize(
    ("pins", "expected"),
    [
        ('<PinRef componentRef="J1"/>', [("fault", "missing-attribute", 4, 24)]),
        ('<PinRef pin="7"/>', [("notice", "pin-without-part", 4, 24)]),
        ('<PinRef componentRef="U1" pin="A7"/>', [("fault", "terminal-clash", 4, 24)]),
        ('<PinRef componentRef="J1" pin="2"/>', []),  # a second time on the same net
    ],
)
def test_pins_that_say_too_little_or_too_much(pins: str, expected: Told) -> None:
    netlist, told = read2581(file2581(NETS, f'<LogicalNet name="GND">{pins}</LogicalNet>'))
    assert told == expected
    assert nets(netlist) == {"GND": ["U1.8", "J1.2"], "+3V3": ["U1.A7"]}


def test_a_net_without_a_name_is_a_fault_and_takes_no_pins() -> None:
    netlist, told = read2581(file2581('<LogicalNet><PinRef componentRef="J1" pin="1"/></LogicalNet>', NETS))
    assert told == [("fault", "missing-attribute", 2, 1)]
    assert "J1.1" not in [item.name for item in netlist.terminals]


def test_the_mark_of_isolated_points_is_no_net() -> None:
    netlist, _ = read2581(file2581('<LogicalNet name="N/C"><PinRef componentRef="U1" pin="1"/></LogicalNet>'))
    assert ([item.net for item in netlist.terminals], netlist.nets) == ([""], {})


# The file


@pytest.mark.parametrize("content", ["", bom(), "<Avl/>", "<Ecad/>", avl(choice("A", "E1"))])
def test_missing_sections_are_empty(content: str) -> None:
    netlist, told = read2581(file2581(content))
    assert (netlist.terminals, netlist.parts, told) == ((), (), [])


def test_title_and_units() -> None:
    header = '<Bom name="main"><BomHeader assembly="Pump board" revision="C"/></Bom><CadHeader units="MILLIMETER"/>'
    netlist, _ = read2581(file2581(header))
    assert (netlist.title, netlist.units) == ("Pump board", "MILLIMETER")
    assert read2581(file2581('<Step name="pump"/>'))[0].title == "pump"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "windows-1252"])
def test_encodings(encoding: str) -> None:
    text = f'<?xml version="1.0" encoding="{encoding}"?>\n<IPC-2581><Step name="Pumpe für µC"/></IPC-2581>'
    assert read2581(text.encode(encoding))[0].title == "Pumpe für µC"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", r"^board\.xml:1:1: found XML that is not well-formed"),
        (b"<IPC-2581>\n<Step></IPC-2581>", r"^board\.xml:2:9: found XML that is not well-formed"),
        (b"<IPC-2581>&bomb;</IPC-2581>", r"^board\.xml:1:11: found XML that is not well-formed"),
        (b"<svg/>", r"^board\.xml:1:1: found the root element 'svg', expected IPC-2581"),
        (b"<!DOCTYPE IPC-2581 SYSTEM 'x'>\n<IPC-2581/>", r"^board\.xml:1:[0-9]+: found a document type"),
        (b"<!DOCTYPE a [<!ENTITY e 'e'>]>\n<IPC-2581>&e;</IPC-2581>", r"found a document type"),
        ("<!DOCTYPE a [<!ENTITY e 'e'>]>\n<IPC-2581>&e;</IPC-2581>".encode("utf-16"), r"found a document type"),
        (b"<?xml version='1.0' encoding='unicode_escape'?><IPC-2581/>", r"found the encoding 'unicode_escape'"),
        (b"<?xml version='1.0' encoding='rot13'?><IPC-2581/>", r"found the encoding 'rot13'"),
        (b"<?xml version='1.0' encoding='none-such'?><IPC-2581/>", r"found the encoding 'none-such'"),
        (b"<IPC-2581>" + b"<a>" * MAX_DEPTH, rf"^board\.xml:1:200: found elements more than {MAX_DEPTH} deep"),
        (b" " * (MAX_BYTES + 1), r"^board\.xml: found a netlist of 33554433 bytes"),
        (b"<IPC-2581>" + b"<a/>" * MAX_ELEMENTS, r"found elements more than"),
    ],
)
def test_what_is_no_such_file_is_refused(data: bytes, message: str) -> None:
    with pytest.raises(DataFault, match=message):
        read2581(data)


def test_elements_may_be_as_deep_as_the_limit() -> None:
    inner = MAX_DEPTH - 1
    assert read2581(b"<IPC-2581>" + b"<a>" * inner + b"</a>" * inner + b"</IPC-2581>")[1] == []


@pytest.mark.parametrize(
    "elements",
    ["<LogicalNet/>\n" * (MAX_FAULTS + 50), bom(*[item('<RefDes name="R1"/>')] * (MAX_FAULTS + 50))],
)
def test_the_faults_of_a_hopeless_file_end_somewhere(elements: str) -> None:
    _, told = read2581(file2581(elements))
    assert len(told) == MAX_FAULTS + 1
    assert told[-1][1] == "too-many-faults"


def test_elements_out_of_their_place_say_nothing() -> None:
    strange = (
        '<AvlItem OEMDesignNumber="A"><AvlVmpn><AvlItem OEMDesignNumber="B"/><AvlMpn name="N"/></AvlVmpn></AvlItem>'
        '<AvlVmpn><AvlMpn name="N"/><AvlVendor/></AvlVmpn><AvlMpn/><RefDes/><PinRef/><Characteristics><Textual/>'
        "</Characteristics>"
    )
    netlist, told = read2581(file2581(strange))
    assert (netlist.terminals, netlist.parts, told) == ((), (), [])


def test_the_other_reader_refuses_the_file_by_its_faults() -> None:
    assert {severity for severity, *_ in read356(file2581(NETS))[1]} == {"fault", "notice"}


@pytest.mark.parametrize("order", [("GND", "SHIELD"), ("SHIELD", "GND")])
def test_named_pads_on_two_nets_are_two_terminals_whatever_their_order(order: tuple[str, str]) -> None:
    elements = [f'<LogicalNet name="{net}"><PinRef componentRef="J1" pin="SH"/></LogicalNet>' for net in order]
    netlist, told = read2581(file2581(*elements))
    assert nets(netlist) == {net: [f"J1.SH{' (2)' * (net == 'SHIELD')}"] for net in order}
    assert [item[:2] for item in told] == [("notice", "pads-on-two-nets")]
