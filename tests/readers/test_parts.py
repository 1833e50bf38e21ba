"""Rows of a parts list: designators, quantities, values, and the rows that name nobody."""

from __future__ import annotations

from decimal import Decimal

import pytest

from revdiff.design.model import Part
from revdiff.quantities.quantity import Quantity
from tests.readers.memory import board_of, codes, load_table, told
from tests.support import load


def part(cells: str, header: str = "Designator,Value", spec: str = "") -> Part:
    return next(iter(board_of("parts", f"{header}\n{cells}\n", spec=spec).parts.values()))


# designators


@pytest.mark.parametrize(
    ("cell", "refs"),
    [
        ("R1", "R1"),
        ("r1", "R1"),
        ('"R1,R2, R7"', "R1 R2 R7"),
        ("R1;R2", "R1 R2"),
        ("R1 R2", "R1 R2"),
        ('"R1\nR2"', "R1 R2"),
        ("R1-R4", "R1 R2 R3 R4"),
        ("R1..R4", "R1 R2 R3 R4"),
        ("R1-4", "R1 R2 R3 R4"),
        ("D17 - D19", "D17 D18 D19"),
        ('"R1-R3, R7"', "R1 R2 R3 R7"),
    ],
)
def test_designators_are_grouped_in_many_ways(cell: str, refs: str) -> None:
    assert list(board_of("parts", f"Designator,Value\n{cell},10k\n").parts) == refs.split()


def test_single_rows_and_groups_stand_in_one_file() -> None:
    table = 'Designator,Value\nR1,10k\nR2,10k\n"R3, R4",22k\nC1-C3,1u\n'
    assert set(board_of("parts", table).parts) == {"R1", "R2", "R3", "R4", "C1", "C2", "C3"}


def test_a_part_without_a_number_is_a_part_where_its_row_says_something() -> None:
    assert list(board_of("parts", "Designator,Value\nPCB,board rev B\n").parts) == ["PCB"]


@pytest.mark.parametrize("cell", ["R4-R1", "R1-C4", "R1-R999999", "4k7", "=R1"])
def test_a_cell_that_holds_no_designators_is_a_fault(cell: str) -> None:
    design = load_table("parts", f"Designator,Value,Package\nR90,10k,0805\n{cell},10k,0805\n")
    fault = told(design, "unreadable-designator")[0]
    assert (fault.severity, str(fault.origin)) == ("fault", "table.csv:3:1")
    assert fault.found == f"{cell}, in the row {cell} 10k 0805"
    assert "last_row = 2" in fault.remedy


@pytest.mark.parametrize(("cell", "code"), [("R4-R1", "unreadable-designator"), ("R?", "unnumbered-designator")])
def test_what_else_such_a_row_says_is_told_so_that_its_change_is_no_old_news(cell: str, code: str) -> None:
    said = [
        told(load_table("parts", f"Designator,Value,Package\nR90,10k,0805\n{cell},{value},0805\n"), code)[0].found
        for value in ("10k", "12k")
    ]
    assert said[0] == said[1].replace("12k", "10k") != said[1]


# quantities


def test_a_quantity_that_agrees_says_nothing() -> None:
    assert codes(load_table("parts", 'Qty,Ref,Value\n2,"R1,R2",10k\n,R3,1k\n1.0,R4,1k\n')) == []


@pytest.mark.parametrize(
    ("quantity", "code"),
    [("3", "quantity-mismatch"), ("1", "quantity-mismatch"), ("two", "unreadable-value"), ("-2", "unreadable-value")],
)
def test_a_quantity_that_disagrees_is_a_fault_and_the_designators_count(quantity: str, code: str) -> None:
    design = load_table("parts", f'Ref,Qty,Value\n"R1,R2",{quantity},10k\n')
    fault = told(design, code)[0]
    assert (fault.severity, str(fault.origin)) == ("fault", "table.csv:2:2")
    assert list(design.boards["base"].parts) == ["R1", "R2"]


def test_a_quantity_of_none_means_not_fitted() -> None:
    assert part("R1,0,10k", "Ref,Qty,Value").data.fitted.meaning is False


def test_designators_run_on_in_rows_of_their_own_where_the_quantity_says_so() -> None:
    table = 'Ref,Qty,Value\n"R1,R2,",4,10k\n"R3,R4",,\nR5,1,22k\n'
    design = load_table("parts", table)
    raws = {ref: item.data.value.raw for ref, item in design.boards["base"].parts.items()}
    assert raws == {"R1": "10k", "R2": "10k", "R3": "10k", "R4": "10k", "R5": "22k"}
    assert codes(design) == ["continued-row"]


# the same part twice


def test_a_designator_with_two_values_is_a_fault_and_its_value_unclear() -> None:
    design = load_table("parts", "Ref,Value\nR1,10k\nR1,22k\n")
    fault = told(design, "duplicate-designator")[0]
    assert (fault.severity, str(fault.origin)) == ("fault", "table.csv:3:1")
    assert "with another value; the first one is at table.csv:2:1, and nobody can tell which holds" in fault.message
    value = design.boards["base"].parts["R1"].data.value
    assert (value.raw, value.quantity, value.unclear) == ("10k or 22k", None, True)


def test_a_designator_twice_in_one_row_is_a_fault() -> None:
    assert (
        "named twice in this row"
        in told(load_table("parts", 'Ref,Value\n"R1, R1",10k\n'), "duplicate-designator")[0].message
    )


def test_parts_listed_one_by_one_and_again_in_groups_are_told_once() -> None:
    table = 'Ref,Value,Note\nR1,4k7,a\nR2,4.7k,a\nC1,1u,\n"R1, R2",4700,\nC1,1 µF,\n'
    design = load_table("parts", table)
    (notice,) = told(design, "repeated-designator")
    assert (notice.severity, notice.origin.line, notice.found) == ("notice", 5, "C1, R1, R2")
    assert not codes(design, "fault")


# values


@pytest.mark.parametrize("text", ["4k7", "4.7 kΩ", '"4,7k"', "4700", "4.7K", "4K7", "0.0047M"])
def test_the_notation_of_a_value_makes_no_difference(text: str) -> None:
    assert part(f"R1,{text}").data.value.meaning == Quantity(Decimal(4700), "Ω")


def test_text_that_is_no_quantity_compares_as_text() -> None:
    assert part("D1,  LED   Red ").data.value.meaning == "led red"


@pytest.mark.parametrize("text", ["-", "~", r"\-", "n/a", "?", "TBD", "--"])
def test_placeholders_say_nothing(text: str) -> None:
    said = part(f"R1,{text},{text},{text}", "Ref,Value,Manufacturer,Colour").data
    assert (said.value.meaning, said.manufacturer.meaning, said.extra) == (None, None, ())


def test_a_value_cell_may_hold_several_facts() -> None:
    said = part("C1,100n/16V/X7R 0603 10%", spec='package_code = "inch"').data
    assert (
        said
        == part(
            "C1,0.1 µF,16 V,X7R,0603,±10 %", "Ref,Value,Voltage,Dielectric,Package,Tolerance", 'package_code = "inch"'
        ).data
    )


def test_a_value_cell_that_contradicts_a_column_is_a_fault_and_the_column_counts() -> None:
    design = load_table("parts", "Ref,Value,Voltage\nC1,100n/16V,25 V\n")
    fault = told(design, "contradiction")[0]
    assert (fault.severity, str(fault.origin), fault.found) == ("fault", "table.csv:2:3", "25 V against 16 V")
    assert design.boards["base"].parts["C1"].data.voltage.raw == "25 V"


def test_a_value_cell_that_repeats_a_column_is_none() -> None:
    assert codes(load_table("parts", "Ref,Value,Voltage,Tolerance\nC1,100n 16V 10%,16 V,K\n")) == []


def test_a_package_that_may_be_the_same_is_no_contradiction() -> None:
    assert not codes(load_table("parts", "Ref,Value,Package\nC1,100n 0603,0603 inch\n"), "fault")


@pytest.mark.parametrize(
    ("ref", "text", "spec", "magnitude"),
    [
        ("C1", "104", "value_code = true", "1E-7"),
        ("C1", "104", "", "104"),
        ("R1", "103", "value_code = true", "10000"),
        ("R1", "103", "", "103"),
        ("R1", "01C", "value_code = true", "10000"),
        ("R1", "4k7", "value_code = true", "4700"),
    ],
)
def test_marking_codes_are_decoded_only_where_the_manifest_says_so(
    ref: str, text: str, spec: str, magnitude: str
) -> None:
    # EIA-96 and the three-digit code: standards named in revdiff.quantities.codes.
    value = part(f"{ref},{text}", spec=spec).data.value.quantity
    assert value is not None
    assert value.magnitude == Decimal(magnitude)


def test_a_column_of_codes_is_read_as_codes() -> None:
    value = part("C1,104", "Ref,Marking code").data.value.quantity
    assert value is not None
    assert value.magnitude == Decimal("1E-7")


def test_a_list_of_values_by_designator_gives_each_part_its_own() -> None:
    board = board_of("parts", 'Ref,Value\n"R1,R2","R1=10k, R2=22k"\n"C1,C2","C1: 1u; C2: 2u2"\n')
    assert {ref: item.data.value.raw for ref, item in board.parts.items()} == {
        "R1": "10k",
        "R2": "22k",
        "C1": "1u",
        "C2": "2u2",
    }


# numbers with a comma


def test_a_number_that_may_be_thousands_or_a_decimal_is_told_and_left_open() -> None:
    design = load_table("parts", 'Ref,Value,Note\nR1,"1,000",3.3 V\n')
    notice = told(design, "ambiguous-number")[0]
    assert (str(notice.origin), notice.found) == ("table.csv:2:2", "1,000")
    assert 'decimal = "comma"' in notice.remedy
    assert design.boards["base"].parts["R1"].data.value.unclear


@pytest.mark.parametrize(
    ("decimal", "text", "ohms"),
    [
        ("comma", '"1,000"', "1"),
        ("comma", "1.000", "1000"),
        ("comma", '"1.000,5"', "1000.5"),
        ("point", '"1,000"', "1000"),
        ("point", '"2,200,000 Ω"', "2200000"),
        ("point", "1.000", "1"),
    ],
)
def test_the_manifest_settles_the_decimal_mark(decimal: str, text: str, ohms: str) -> None:
    assert part(f"R1,{text}", spec=f'decimal = "{decimal}"').data.value.quantity == Quantity(Decimal(ohms), "Ω")


def test_the_thousands_of_a_cost_are_read_where_the_decimal_mark_is_settled() -> None:
    cost = part('U1,"1,250.50 EUR"', "Ref,Cost", 'decimal = "point"').data.cost
    assert cost.quantity == Quantity(Decimal("1250.5"), "")


def test_a_file_of_decimal_commas_settles_itself_and_that_is_told() -> None:
    design = load_table("parts", "Ref;Value\nR1;4,7k\nR2;1,000\n")
    assert design.boards["base"].parts["R2"].data.value.quantity == Quantity(Decimal(1), "Ω")
    notice = told(design, "decimal-comma")[0]
    assert (notice.origin.line, notice.found) == (3, "1,000")


def test_decimal_commas_without_doubt_are_not_told() -> None:
    assert codes(load_table("parts", "Ref;Value\nR1;4,7k\nR2;0,1\n")) == []


# packages


def test_ambiguous_package_codes_are_told_once_for_the_table() -> None:
    design = load_table("parts", "Ref,Value,Package\nR1,1k,0603\nR2,1k,0402\nR3,1k,0603\nR4,1k,SO-8\n")
    (notice,) = told(design, "ambiguous-package")
    assert "0402, 0603" in notice.message
    assert (notice.severity, notice.origin.line, notice.origin.column) == ("notice", 2, 3)
    assert 'package_code = "inch"' in notice.remedy


@pytest.mark.parametrize(("other", "system"), [("0805", "inch"), ("1608", "metric")])
def test_a_code_that_is_a_size_in_one_system_only_settles_the_others(other: str, system: str) -> None:
    design = load_table("parts", f"Ref,Value,Package\nR1,1k,0603\nR2,1k,{other}\n")
    assert codes(design) == ["package-system"]
    assert f"0603 taken for {system} codes" in told(design, "package-system")[0].message


def test_codes_of_both_systems_settle_nothing() -> None:
    assert codes(load_table("parts", "Ref,Value,Package\nR1,1k,0603\nR2,1k,0805\nR3,1k,1608\n")) == [
        "ambiguous-package"
    ]


@pytest.mark.parametrize(("ref", "told"), [("Y1", "ambiguous-package"), ("C1", "package-system")])
def test_the_metric_code_of_a_crystal_says_nothing_of_resistors(ref: str, told: str) -> None:
    """A crystal of 3.2 mm by 2.5 mm is a 3225 in every list; a capacitor so called is of a metric one."""
    assert codes(load_table("parts", f"Ref,Value,Package\nR1,1k,0603\n{ref},,3225\n")) == [told]


@pytest.mark.parametrize("text", ["0603 inch", "0603M", "0402 (1005 metric)", "0805"])
def test_a_clear_package_code_is_not_told(text: str) -> None:
    assert not told(load_table("parts", f"Ref,Value,Package\nR1,1k,{text}\n"), "ambiguous-package")


def test_the_manifest_settles_package_codes() -> None:
    header = "Ref,Package"
    inch = part("R1,0603", header, 'package_code = "inch"').data.package
    metric = part("R1,0603", header, 'package_code = "metric"').data.package
    assert inch == part("R1,1608 metric", header).data.package
    assert metric == part("R1,0201 inch", header).data.package


# what spreadsheets do


@pytest.mark.parametrize(
    ("column", "text", "code", "expected"),
    [
        ("Package", "402", "lost-zero", "0402"),
        ("Package", "805", "lost-zero", "0805"),
        ("Value", "1E3", "exponent", "a value such as 1k or 1000"),
        ("Value", "4.7E+03", "exponent", "a value such as 1k or 1000"),
        ("MPN", "6.93E+12", "exponent", "a number in full"),
        ("MPN", "2024-04-02", "date", "a text such as 2-4"),
        ("MPN", "02-Apr", "date", "a text such as 2-4"),
        ("MPN", "Mär 02", "date", "a text such as 2-4"),
        ("Value", "02.04.2024", "date", "a text such as 2-4"),
    ],
)
def test_the_trace_of_a_spreadsheet_is_told_and_nothing_is_put_back(
    column: str, text: str, code: str, expected: str
) -> None:
    design = load_table("parts", f"Ref,{column}\nR1,{text}\n")
    notice = told(design, code)[0]
    assert (str(notice.origin), notice.found, notice.expected) == ("table.csv:2:2", text, expected)
    field = {"Package": "package", "Value": "value", "MPN": "part_number"}[column]
    reading = getattr(design.boards["base"].parts["R1"].data, field)
    assert (reading.word, reading.unclear) == (text.casefold(), True)


@pytest.mark.parametrize(
    ("column", "text"), [("Value", "2-4"), ("MPN", "1N4148"), ("MPN", "MAR232X"), ("Package", "1206")]
)
def test_sound_texts_are_not_told(column: str, text: str) -> None:
    assert not codes(load_table("parts", f"Ref,{column}\nU1,{text}\n"))


def test_a_designator_that_became_a_date_is_a_fault() -> None:
    design = load_table("parts", "Ref,Value,Package\nR1,1k,0805\n2024-04-02,1k,0805\n")
    assert "turned into a date" in told(design, "unreadable-designator")[0].message


# costs


@pytest.mark.parametrize(
    ("text", "magnitude", "currency"),
    [("0.012", "0.012", ""), ('"0,012 EUR"', "0.012", "EUR"), ("€1.50", "1.50", "EUR"), ("2 USD", "2", "USD")],
)
def test_a_cost_may_name_its_currency(text: str, magnitude: str, currency: str) -> None:
    said = part(f"R1,{text}", "Ref,Cost").data
    assert said.cost.quantity is not None
    assert (said.cost.quantity.magnitude, said.currency.raw) == (Decimal(magnitude), currency)


def test_a_cost_that_is_none_is_a_fault() -> None:
    fault = told(load_table("parts", "Ref,Cost\nR1,cheap\n"), "unreadable-value")[0]
    assert (fault.severity, fault.found) == ("fault", "cheap")


# rows without designators


def test_a_mechanical_row_is_kept_as_a_notice() -> None:
    design = load_table("parts", "Ref,Qty,Value,MPN\nR1,1,10k,AB1\n,4,M3 screw,SC12\n")
    notice = told(design, "no-designator")[0]
    assert (notice.severity, notice.origin.line, notice.found) == ("notice", 3, "4 M3 screw SC12")
    assert design.boards["base"].parts["R1"].data.alternates.meaning is None


def test_a_row_that_only_names_another_part_number_is_an_alternate_for_the_row_above() -> None:
    table = (
        'Ref,Qty,Value,Maker,MPN,Alternates\n"R1,R2",2,10k,One,AB1,AB0\n'
        ",,,Two,CD2,\n,,10k,Three,EF3,\nR3,1,1k,One,AB3,\n"
    )
    design = load_table("parts", table)
    parts = design.boards["base"].parts
    assert parts["R2"].data.alternates.meaning == ("ab0", "cd2", "ef3")
    assert parts["R3"].data.alternates.meaning is None
    assert [item.origin.line for item in told(design, "alternate-row")] == [3, 4]


def test_numbered_part_numbers_are_alternates_of_the_first() -> None:
    said = part(
        "R1,10k,One,AB1,Two,CD2,,", "Ref,Value,Manufacturer 1,MPN 1,Manufacturer 2,MPN 2,Manufacturer 3,MPN 3"
    ).data
    assert (said.manufacturer.raw, said.part_number.raw) == ("One", "AB1")
    assert said.alternates.meaning == ("cd2",)


def test_the_order_of_alternates_makes_no_difference() -> None:
    assert part("R1,AB1; CD2", "Ref,Alternates").data == part('R1,"CD2, AB1"', "Ref,Alternates").data


def test_the_columns_of_several_suppliers_are_kept_by_name() -> None:
    header = "Ref,MPN,Supplier 1,Supplier 1 order code,Supplier 2,Supplier 2 order code"
    extra = dict(part("R1,AB1,Shop,595-AB1,Store,AB1-CT", header).data.extra)
    assert {name: item.raw for name, item in extra.items()} == {
        "Supplier 1": "Shop",
        "Supplier 1 order code": "595-AB1",
        "Supplier 2": "Store",
        "Supplier 2 order code": "AB1-CT",
    }


def test_part_numbers_that_differ_in_their_packing_suffix_stay_different() -> None:
    assert part("R1,AB1-TR", "Ref,MPN").data.part_number != part("R1,AB1-CT", "Ref,MPN").data.part_number


def test_a_row_that_names_parts_and_nothing_else_is_told() -> None:
    design = load_table("parts", 'Ref,Value,Qty\nR1,10k,1\n"FID1, FID2",,2\n')
    assert set(design.boards["base"].parts) == {"R1", "FID1", "FID2"}
    assert told(design, "bare-row")[0].origin.line == 3


def test_a_row_of_parts_that_were_never_numbered_is_told() -> None:
    design = load_table("parts", 'Ref,Qty,Value,Package\nR1,1,10k,0805\n"REF**, R?",2,hole,M3\n')
    assert list(design.boards["base"].parts) == ["R1"]
    assert told(design, "unnumbered-designator")[0].origin.line == 3


def test_a_line_of_dashes_is_no_row() -> None:
    assert codes(load_table("parts", "Ref,Value\n________,\nR1,10k\n,-----\n")) == []


def test_the_units_of_one_part_are_that_part_where_the_quantity_says_so() -> None:
    design = load_table("parts", 'Ref,Qty,Value\n"U1A, U1B",1,opamp\n"R1A, R1B",2,10k\n')
    assert list(design.boards["base"].parts) == ["U1", "R1A", "R1B"]
    assert told(design, "units-of-one-part")[0].expected == "U1"


def test_the_name_of_a_footprint_made_of_both_codes_is_that_package() -> None:
    header = "Ref,Footprint"
    named = part("C1,Capacitors:C_0603_1608Metric", header).data.package
    assert named == part("C1,0603 inch", header).data.package


def test_the_rest_of_a_footprints_name_is_a_detail_of_its_own() -> None:
    plain, hand = (
        part(f"C1,Capacitors:C_0603_1608Metric{rest}", "Ref,Footprint").data
        for rest in ("", "_Pad1.08x0.95mm_HandSolder")
    )
    assert plain.package == hand.package
    assert (plain.land_pattern.raw, hand.land_pattern.word) == ("", "c_0603_1608metric_pad1.08x0.95mm_handsolder")


@pytest.mark.parametrize("last", ["Total;5;;;", "Summe;5;;;", "total;;;;"])
def test_the_sum_at_the_end_of_a_list_is_no_part(last: str) -> None:
    text = f"Pos;Menge;Wert;Gehäuse;MPN\nR1-R3;3;4k7;0603;A\nC1,C2;2;0,1 µF;0805;B\n;;;;\n{last}\n"
    manifest = '[design]\nname = "x"\n[boards.base]\nparts = "parts.csv"\n'
    design = load({"revdiff.toml": manifest, "parts.csv": text.encode("cp1252")})
    assert list(design.boards["base"].parts) == ["R1", "R2", "R3", "C1", "C2"]
    assert [item for item in design.diagnostics if item.severity == "fault"] == []
