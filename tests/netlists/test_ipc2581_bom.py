"""Bills of materials and approved vendor lists of IPC-2581, revisions B and C.

The names of elements and attributes are those of public sample documents and published readers of the format; the
documents here are our own. That a part without a populate flag is fitted is from memory.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.netlists.writing import Told, avl, bom, choice, file2581, item, read2581

# Bills of materials


def test_the_populate_flag_says_whether_a_part_is_fitted() -> None:
    flags = {
        "R1": ' populate="true"',
        "R2": ' populate="false"',
        "R3": "",
        "R4": ' populate="1"',
        "R5": ' populate="0"',
    }
    netlist, told = read2581(file2581(bom(item(*(f'<RefDes name="{ref}"{flag}/>' for ref, flag in flags.items())))))
    assert {part.ref: part.fitted for part in netlist.parts} == {
        "R1": True,
        "R2": False,
        "R3": True,
        "R4": True,
        "R5": False,
    }
    assert told == []


def test_another_populate_flag_is_a_fault() -> None:
    netlist, told = read2581(file2581(bom(item('<RefDes name="R1" populate="maybe"/>'))))
    assert told == [("fault", "unreadable-value", 3, 34)]
    assert netlist.parts[0].fitted


def test_an_item_says_what_its_parts_are() -> None:
    characteristics = (
        '<Characteristics category="ELECTRICAL">'
        '<Textual textualCharacteristicName="Value" textualCharacteristicValue="10k"/>'
        '<Measured measuredCharacteristicName="Power" measuredCharacteristicValue="0.1" engineeringUnitOfMeasure="W"'
        ' engineeringNegativeTolerance="1" engineeringPositiveTolerance="2"/>'
        '<Ranged rangedCharacteristicName="Temperature" rangedCharacteristicLowerValue="-40"'
        ' rangedCharacteristicUpperValue="85"/>'
        '<Enumerated enumeratedCharacteristicName="Mounting" enumeratedCharacteristicValue="SMT"/>'
        "</Characteristics>"
    )
    written = item(
        '<RefDes name="r1" packageRef="0603"/>',
        '<RefDes name="R2"/>',
        characteristics,
        number="RES-10K",
        quantity="2",
        category="ELECTRICAL",
        description="resistor",
        internalPartNumber="100-2",
    )
    netlist, told = read2581(file2581(bom(written), '<Component refDes="R2" packageRef="0805"/>'))
    first, second = netlist.parts
    assert told == []
    assert (first.ref, first.item, first.internal, first.description) == ("R1", "RES-10K", "100-2", "resistor")
    assert (first.category, first.quantity, first.package) == ("ELECTRICAL", Decimal(2), "0603")
    assert (second.ref, second.package) == ("R2", "0805")  # the package that the layout names
    assert [(c.name, c.value, c.unit, c.low, c.high) for c in second.characteristics] == [
        ("Value", "10k", "", "", ""),
        ("Power", "0.1", "W", "1", "2"),
        ("Temperature", "", "", "-40", "85"),
        ("Mounting", "SMT", "", "", ""),
    ]
    assert (first.origin.line, second.origin.line) == (3, 3)
    assert first.origin.column < second.origin.column < second.characteristics[0].origin.column


@pytest.mark.parametrize(
    ("quantity", "expected"),
    [
        ("3", []),
        ("3.0", []),
        ("2", []),  # one of the three is not fitted: the quantity may count either
        ("", []),
        ("4", [("fault", "quantity-mismatch", 3, 1)]),
        ("1", [("fault", "quantity-mismatch", 3, 1)]),
        ("0", [("fault", "quantity-mismatch", 3, 1)]),
        ("some", [("fault", "unreadable-value", 3, 1)]),
        ("-3", [("fault", "unreadable-value", 3, 1)]),
    ],
)
def test_the_quantity_agrees_with_the_designators(quantity: str, expected: Told) -> None:
    refs = '<RefDes name="R1"/><RefDes name="R2"/><RefDes name="R3" populate="false"/>'
    netlist, told = read2581(file2581(bom(item(refs, quantity=quantity))))
    assert told == expected
    assert len(netlist.parts) == 3


def test_an_item_without_designators_has_any_quantity_and_is_a_part_without_name() -> None:
    netlist, told = read2581(file2581(bom(item(number="GLUE", quantity="0.5", category="MECHANICAL"))))
    assert [(part.ref, part.item, part.quantity) for part in netlist.parts] == [("", "GLUE", Decimal("0.5"))]
    assert told == []


def test_a_part_named_twice_is_a_fault_and_the_first_one_taken() -> None:
    netlist, told = read2581(
        file2581(bom(item('<RefDes name="R1"/>', number="A"), item('<RefDes name="r1"/>', number="B")))
    )
    assert told == [("fault", "duplicate-designator", 4, 33)]
    assert [part.item for part in netlist.parts] == ["A"]


def test_a_part_without_a_name_is_a_fault() -> None:
    assert read2581(file2581(bom(item("<RefDes/>"))))[1] == [("fault", "missing-attribute", 3, 34)]


def test_the_first_of_several_bills_of_materials_is_taken_and_that_is_told() -> None:
    netlist, told = read2581(file2581(bom(item('<RefDes name="R1"/>')), bom(item('<RefDes name="R2"/>'))))
    assert [part.ref for part in netlist.parts] == ["R1"]
    assert told == [("notice", "more-than-one-bom", 5, 1)]


# Approved vendor lists

ENTERPRISES = (
    '<LogisticHeader><Enterprise id="E1" name="Maker One" code="1"/><Enterprise id="E2" code="Two"/></LogisticHeader>'
)


def test_approved_parts_begin_with_the_chosen_one_and_go_by_rank() -> None:
    choices = (
        choice("A-3", "E2", "3"),
        choice("A-0", "E9"),
        choice("A-2", "E1", "2", 'qualified="true"'),
        choice("A-9", "E1", "9", 'chosen="true"'),
        '<AvlVmpn evplVendor="Maker Four" evplMpn="A-4"/>',
    )
    netlist, told = read2581(file2581(avl(*choices), ENTERPRISES, bom(item('<RefDes name="R1"/>'))))
    assert told == []
    assert [(p.number, p.maker, p.rank, p.chosen, p.qualified) for p in netlist.parts[0].approved] == [
        ("A-9", "Maker One", 9, True, False),
        ("A-2", "Maker One", 2, False, True),
        ("A-3", "Two", 3, False, False),
        ("A-0", "E9", None, False, False),  # an enterprise that the file doesn't name
        ("A-4", "Maker Four", None, False, False),
    ]


def test_an_approval_without_design_number_is_that_of_no_item() -> None:
    netlist, _ = read2581(file2581(avl(choice("A", "E1"), number=""), bom(item('<RefDes name="R1"/>', number=""))))
    assert netlist.parts[0].approved == ()


def test_several_numbers_and_makers_of_one_choice_go_in_pairs() -> None:
    pair = '<AvlVmpn><AvlMpn name="A"/><AvlMpn name="B"/><AvlVendor enterpriseRef="E1"/><AvlVendor enterpriseRef="E2"/>'
    netlist, _ = read2581(file2581(avl(pair + "</AvlVmpn>"), ENTERPRISES, bom(item('<RefDes name="R1"/>'))))
    assert [(p.number, p.maker) for p in netlist.parts[0].approved] == [("A", "Maker One"), ("B", "Two")]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (avl(choice("A", "E1", "first")), [("fault", "unreadable-value", 2, 46)]),
        (avl(choice("A", "E1", flags='chosen="x"')), [("fault", "unreadable-value", 2, 36)]),
        (avl(choice("", "E1")), [("fault", "missing-attribute", 2, 46)]),
        (avl(choice("A", "E1"), number=""), [("fault", "missing-attribute", 2, 6)]),
        (avl(choice("A", "E1"), number="D7"), [("notice", "unused-approval", 2, 6)]),
    ],
)
def test_approved_parts_that_say_too_little_or_too_much(written: str, expected: Told) -> None:
    assert read2581(file2581(written, bom(item('<RefDes name="R1"/>'))))[1] == expected
