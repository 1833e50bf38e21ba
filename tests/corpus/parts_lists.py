"""Parts lists. Makers, part numbers and circuits are made up."""

from __future__ import annotations

from tests.corpus.pair import Pair, Sheets, edited

_GERMAN = """\
Pos;Menge;Bezeichner;Wert;Gehäuse;Hersteller;Herstellernummer;Stückpreis
1;4;R1, R2, R5, R6;4,7k;0603;Arden;AR06-4K7F;0,012
2;2;R3, R4;100;0603;Arden;AR06-100F;0,012
3;3;C1-C3;0,1u;0805;Brook;BC08-104K;0,03
4;1;C4;4,7u;1206;Brook;BC12-475K;0,11
5;1;U1;Spannungsregler 3,3 V;SOT-223;Calder;CVR-33;0,52
"""

_ORDERS = ["Supplier", "Supplier Part Number", "Supplier Stock", "Supplier Unit Price", "Supplier Link"]


def _suppliers(rows: list[list[str]], stock: int) -> str:
    """Tab-separated, with five columns for each of nine suppliers beside five of the part.

    ``stock``: of the first row; there is more of the others.
    """
    header = ["Designator", "Quantity", "Comment", "Footprint", "Manufacturer Part Number"]
    lines = ["\t".join([*header, *(f"{name} {number}" for number in range(1, 10) for name in _ORDERS)])]
    for more, row in enumerate(rows):
        cells = list(row)
        for number in range(1, 10):
            code = f"S{number}-{row[4]}"
            filled = [
                f"Dealer {number}",
                code,
                str(stock + 37 * more**2),
                f"0.0{number}",
                f"https://dealer{number}.example/p/{code}",
            ]
            cells += filled if number < 4 else [""] * 5
        lines.append("\t".join(cells))
    return "\n".join(lines) + "\n"


_TABBED = [
    ["R1, R2", "2", "10k", "0603", "AR06-103F"],
    ["R3", "1", "2k2", "0603", "AR06-222F"],
    ["C1, C2, C3", "3", "100n", "0603", "BC06-104K"],
    ["U1", "1", "MCX48", "LQFP-48", "MCX48RB"],
]

_UNGROUPED = """\
Reference,Value,Footprint,MPN
C1,100n,0603,BC06-104K
C2,100n,0603,BC06-104K
C3,100n,0603,BC06-104K
C4,10u,0805,BC08-106M
R1,10k,0603,AR06-103F
R2,10k,0603,AR06-103F
R3,1k,0603,AR06-102F
U1,MCX48,LQFP-48,MCX48RB
"""
PARTS_FOR_REFUSAL = _UNGROUPED
_GROUPED = """\
"Refs";"Qty";"Value";"Footprint";"MPN"
"R3";1;"1k";"0603";"AR06-102F"
"R1 R2";2;"10K";"0603";"AR06-103F"
"C1..C3, C5";4;"0.1uF";"0603";"BC06-104K"
"C4";1;"10 µF";"0805";"BC08-106M"
"U1";1;"MCX48";"LQFP-48";"MCX48RB"
"""

_PREAMBLE = """\
Bill of materials,,,,,,
Project:,Weather mast,,,,,
Board:,Power,,,,,
Variant:,Standard,,,,,
Revision:,B,,,,,
Date:,2024-03-01,,,,,
Author:,,,,,,
Checked:,,,,,,
Boards:,1,,,,,
Parts:,9,,,,,
Remark:,for pilot run,,,,,
,,,,,,
Designator,Quantity,Value,Package,Manufacturer,MPN,
,"R1, R2",2,10k,0603,Arden,AR06-103F
,R3,1,4k7,0603,Arden,AR06-472F
,"C1, C2, C3",3,100n,0603,Brook,BC06-104K
,C4,1,10u,0805,Brook,BC08-106M
,U1,1,CVR-33,SOT-223,Calder,CVR-33
,J1,1,2x8,,Dunmore,DPH-16
"""

_TWICE = """\
Designator,Value,Package,MPN,Layer,Mid X
R1,10k,0603,AR06-103F,,
R2,10k,0603,AR06-103F,,
C1,100n,0603,BC06-104K,,
C2,1u,0805,BC08-105K,,
U1,MCX48,LQFP-48,MCX48RB,,
R1,,,,Top,12.5
R2,,,,Top,14.0
C1,,,,Bottom,3.2
C2,,,,Bottom,7.7
U1,,,,Top,20.0
"""

_ALTERNATES = """\
Item,Qty,Reference,Value,Manufacturer,Part number
1,2,"R1, R2",10k,Arden,AR06-103F
,,,,Dunmore,DR603-10K
,,,,Esker,ESR10K06
2,3,C1-C3,100n,Brook,BC06-104K
,,,,Dunmore,DC603-100N
3,1,U1,MCX48,Calder,MCX48RB
"""

_DNP_VALUES = """\
Ref,Qty,Value,Package
R1,1,10k,0603
R2,1,0R DNP,0603
"R3, R4",2,DNP,0603
C1,1,100n,0603
C2,1,22p (not fitted),0603
U1,1,MCX48,LQFP-48
"""

_NOT_FITTED = """\
Reference,Quantity,Value,Package,Part number
"R1, R2",2,10k,0603,AR06-103F
R3,1,1k,0603,AR06-102F
C1,1,100n,0603,BC06-104K
U1,1,MCX48,LQFP-48,MCX48RB
,,,,
"These positions stay empty in this build, see note 3:",,,,
R7,1,0R,0603,AR06-000
"C8, C9",2,,,
"""

_COVER: Sheets = {
    "Cover": [["Parts list"], ["Board", "Radio"], ["Revision", "B"], ["Released by", "M. Example"]],
    "History": [["Revision", "Date", "Description"], ["A", "2023-02-01", "first"], ["B", "2024-03-01", "R3 changed"]],
    "Parts": [
        ["Weather mast, board Radio"],
        [],
        ["No.", "Reference", "Qty", "Value", "Footprint", "MPN"],
        [1, "R1, R2", 2, "10k", "0603", "AR06-103F"],
        [2, "R3", 1, "4k7", "0603", "AR06-472F"],
        [3, "C1-C4", 4, "100n", "0603", "BC06-104K"],
        [4, "U1", 1, "RFX2", "QFN-32", "RFX2A"],
    ],
}
_COVER_NEW: Sheets = {
    **_COVER,
    "History": [*_COVER["History"], ["C", "2024-09-01", "R3 smaller"]],
    "Parts": [*_COVER["Parts"][:4], [2, "R3", 1, "3k9", "0603", "AR06-392F"], *_COVER["Parts"][5:]],
}

_POLISH = """\
Lp.;Oznaczenie;Ilość;Wartość;Obudowa;Producent;Numer katalogowy;Uwagi
1;R1, R2;2;10k;0603;Arden;AR06-103F;
2;R3;1;470;0603;Arden;AR06-471F;
3;C1, C2, C3;3;100n;0603;Brook;BC06-104K;blisko U1
4;C4;1;10u;0805;Brook;BC08-106M;
5;U1;1;MCX48;LQFP-48;Calder;MCX48RB;
6;R4;1;1k;0603;Dunmore;DR603-1K;
"""

_LAND = """\
"Reference","Value","Footprint"
"R1,R2","10k","Resistor_SMD:R_0603_1608Metric"
"R3","2k2","Resistor_SMD:R_0805_2012Metric_Pad1.20x1.40mm_HandSolder"
"C1,C2","100n","Capacitor_SMD:C_0603_1608Metric"
"D1","red","LED_SMD:LED_0805_2012Metric"
"""

_INCH = """\
Designator,Value,Case
R1,10k,0402
R2,10k,0603
C1,100n,0603
C2,10u,0805
C3,22u,1206
"""

_CODES = """\
Designator,Qty,Value,MPN,Order code
R1-R4,4,10k,AR06-103F,1234567
C1-C3,3,100n,BC06-104K,2345678
C4,1,10u,BC08-106M,3456789
U1,1,MCX48,MCX48RB,4567890
"""
_LINKS = """\
Designator,Qty,Value,MPN,Supplier link
R1-R4,4,10k,AR06-103F,https://dealer.example/shop/item/1234567
C1-C3,3,100n,BC06-104K,https://dealer.example/shop/item/2345678
C4,1,10u,BC08-106M,https://dealer.example/shop/item/3456790
U1,1,MCX48,MCX48RB,https://dealer.example/shop/item/4567890
"""

_SLIPS = """\
Designator,Value,Package
R1,100k,0603
R2,10k,0603
R3,1k,0603
C1,100n,0603
U1,MCX48,LQFP-48
"""

_SECTIONS = """\
Reference,Qty,Value,Package,MPN
RESISTORS,,,,
"R1, R2",2,10k,0603,AR06-103F
R3,1,1k,0603,AR06-102F
CAPACITORS,,,,
C1-C4,4,100n,0603,BC06-104K
SEMICONDUCTORS,,,,
U1,1,MCX48,LQFP-48,MCX48RB
D1,1,green,0805,DL08-G
,,,,
Total,9,,,
"""

_MARKDOWN = """\
# Sensor board

## Resistors

| Ref | Value | Size |
|-----|-------|------|
| R1, R2 | 10k | 0603 |
| R3 | 4k7 | 0603 |

## Capacitors

| Ref | Value | Size | Rating |
|-----|-------|------|--------|
| C1, C2 | 100n | 0603 | 16 V |
| C3 | 10u | 0805 | 10 V |

## Other parts

| Ref | Value | Size |
|-----|-------|------|
| U1 | `HTX30` | DFN-8 |
"""

_CONFLICT = """\
Designator,Value,Package
R1,10k,0603
<<<<<<< ours
R2,22k,0603
=======
R2,27k,0603
>>>>>>> theirs
C1,100n,0603
"""

_STUFF = """\
RefDes,Stuff?,Part Value,Housing,Mfg,Mfg P/N,Notes
R1,Y,10k,0603,Arden,AR06-103F,
R2,Y,10k,0603,Arden,AR06-103F,
R3,N,0R,0603,Arden,AR06-000,option
C1,Y,100n,0603,Brook,BC06-104K,
U1,Y,MCX48,LQFP-48,Calder,MCX48RB,
"""

_BUILD = """\
Line #\tRef Des\tQty/Board\tQty x 10\tPart description\tMaker\tMaker P/N
1\tR1,R2,R7\t3\t30\tResistor 10k 1% 0603\tArden\tAR06-103F
2\tC1\t1\t10\tCapacitor 100n X7R 0603\tBrook\tBC06-104K
3\tU1\t1\t10\tController, 48 pins\tCalder\tMCX48RB
4\tJ1\t1\t10\tPin header 2x8\tDunmore\tDPH-16
"""

_HEADERLESS = """\
R1,10k,0603,AR06-103F
R2,10k,0603,AR06-103F
R3,1k,0603,AR06-102F
C1,100n,0603,BC06-104K
C2,10u,0805,BC08-106M
U1,MCX48,LQFP-48,MCX48RB
"""

_FRENCH = """\
Repère;Qté;Désignation;Valeur;Boîtier;Fabricant;Référence fabricant
R1,R2;2;Résistance couche épaisse;10k;0603;Arden;AR06-103F
R3;1;Résistance couche épaisse;4,7k;0603;Arden;AR06-472F
C1 à C3;3;Condensateur céramique;100n;0603;Brook;BC06-104K
U1;1;Régulateur 3,3 V;CVR-33;SOT-223;Calder;CVR-33
"""

PAIRS = (
    edited(
        "German, semicolons and decimal commas: a value, a part more, and the row order",
        "stueckliste.csv",
        _GERMAN,
        ("2;2;R3, R4;100;0603;Arden;AR06-100F;0,012\n", ""),
        (
            "5;1;U1;Spann",
            "5;2;R3, R4;120;0603;Arden;AR06-120F;0,012\n6;1;R7;4,7k;0603;Arden;AR06-4K7F;0,012\n7;1;U1;Spann",
        ),
        changes=("part.value R3, R4: value 100 > 120; part_number AR06-100F > AR06-120F", "part.added R7"),
    ),
    edited(
        "German in the words of a hobbyist: part, count and value as a loose file",
        "liste.csv",
        "Bauteil,Anzahl,Wert\nR1 R2,2,10k\nR3,1,4k7\nC1-C3,3,100n\nIC1,1,NE32\n",
        ("R3,1,4k7", "R3,1,5k6"),
        changes=("part.value R3: value 4k7 > 5k6",),
    ),
    edited(
        "English in three words: Part names the parts, not their numbers",
        "parts.csv",
        'Part,Qty,Value\n"R1, R2",2,10k\nR3,1,4k7\nC1-C3,3,100n\nU1,1,NE32\n',
        ("C1-C3,3,100n", "C1-C4,4,100n"),
        changes=("part.added C4",),
    ),
    Pair(
        "tab-separated, fifty columns of which forty-five are suppliers'",
        {"bom.tsv": _suppliers(_TABBED, 1000)},
        {"bom.tsv": _suppliers([_TABBED[0], ["R3", "1", "2k7", "0603", "AR06-272F"], *_TABBED[2:]], 1000)},
        (
            "part.value R3: value 2k2 > 2k7; part_number AR06-222F > AR06-272F; "
            "order_code S1-AR06-222F; S2-AR06-222F; S3-AR06-222F > S1-AR06-272F; S2-AR06-272F; S3-AR06-272F",
        ),
    ),
    Pair(
        "tab-separated, and every supplier's stock is another number now",
        {"bom.tsv": _suppliers(_TABBED, 1000)},
        {"bom.tsv": _suppliers(_TABBED, 873)},
        (
            "part.column Supplier Stock 1",
            "part.column Supplier Stock 2",
            "part.column Supplier Stock 3",
        ),
    ),
    Pair(
        "one row for each part, against rows of equal parts under other words",
        {"bom.csv": _UNGROUPED},
        {"bom.csv": _GROUPED},
        ("part.added C5",),
    ),
    edited(
        "a preamble of twelve lines, and a header one column off its data",
        "export.csv",
        _PREAMBLE,
        ("Revision:,B", "Revision:,C"),
        (",R3,1,4k7,0603,Arden,AR06-472F", ",R3,1,4k3,0603,Arden,AR06-432F"),
        (",J1,1,2x8,,Dunmore,DPH-16\n", ""),
        changes=("part.value R3: value 4k7 > 4k3; part_number AR06-472F > AR06-432F", "part.removed J1"),
        told=("shifted-header",),
    ),
    edited(
        "every part twice: once with its data, once with its place",
        "all.csv",
        _TWICE,
        ("C2,1u,0805,BC08-105K", "C2,2u2,0805,BC08-225K"),
        ("C1,,,,Bottom,3.2", "C1,,,,Top,3.2"),
        changes=(
            "part.value C2: value 1u > 2u2; part_number BC08-105K > BC08-225K",
            "part.field C1: side Bottom > Top",
        ),
    ),
    Pair(
        "a list exported twice into one file",
        {
            "double.csv": "Ref,Value,Package\nR1,10k,0603\nR2,1k,0603\nC1,100n,0603\n"
            "Ref,Value,Package\nR1,10k,0603\nR2,1k,0603\nC1,100n,0603\n"
        },
        {
            "double.csv": "Ref,Value,Package\nR1,10k,0603\nR2,1k,0603\nC1,220n,0603\n"
            "Ref,Value,Package\nR1,10k,0603\nR2,1k,0603\nC1,220n,0603\n"
        },
        ("part.value C1: value 100n > 220n",),
        told=("repeated-designator",),
    ),
    edited(
        "alternates on rows of their own below the part",
        "avl.csv",
        _ALTERNATES,
        (",,,,Esker,ESR10K06\n", ""),
        (",,,,Dunmore,DC603-100N", ",,,,Dunmore,DC603-104N"),
        changes=(
            "part.field R1, R2: alternates DR603-10K; ESR10K06 > DR603-10K",
            "part.field C1–C3: alternates DC603-100N > DC603-104N",
        ),
        told=("alternate-row",),
    ),
    edited(
        "not fitted, as the values say it",
        "bom.csv",
        _DNP_VALUES,
        ("R2,1,0R DNP,0603", "R2,1,0R,0603"),
        ("C1,1,100n,0603", "C1,1,DNP,0603"),
        changes=("part.fitted R2: fitted 0R DNP > ", "part.fitted C1: fitted  > DNP", "part.value C1: value 100n > "),
    ),
    edited(
        "a section for what is not fitted, in words of the writer's own",
        "bom.csv",
        _NOT_FITTED,
        ("R3,1,1k,0603,AR06-102F\n", ""),
        ("R7,1,0R,0603,AR06-000\n", "R7,1,0R,0603,AR06-000\nR3,1,1k,0603,AR06-102F\n"),
        ('"C8, C9",2', '"C9, C11",2'),
        changes=("part.fitted R3: fitted  > not fitted", "part.removed C8", "part.added C11"),
        told=("remark-row",),
    ),
    Pair(
        "a workbook with a cover sheet and a history",
        {"Radio.xlsx": _COVER},
        {"Radio.xlsx": _COVER_NEW},
        ("part.value R3: value 4k7 > 3k9; part_number AR06-472F > AR06-392F",),
    ),
    edited(
        "a language that no table of words holds: columns by what is in them",
        "lista.csv",
        _POLISH,
        ("R3;1;470;0603;Arden;AR06-471F", "R3;1;560;0603;Arden;AR06-561F"),
        ("Brook;BC08-106M", "Dunmore;DC805-10U"),
        changes=(
            "part.value R3: value 470 > 560; part_number AR06-471F > AR06-561F",
            "part.substituted C4: manufacturer Brook > Dunmore; part_number BC08-106M > DC805-10U",
        ),
        told=("guessed-column",),
    ),
    Pair(
        "the same list in Polish and in English",
        {"lista.csv": _POLISH},
        {
            "list.csv": "Item,Refs,Qty,Value,Package,Manufacturer,MPN\n1,R1-R2,2,10k,0603,Arden,AR06-103F\n"
            "2,R3,1,470,0603,Arden,AR06-471F\n3,C1-C3,3,100n,0603,Brook,BC06-104K\n4,C4,1,10u,0805,Brook,BC08-106M\n"
            "5,U1,1,MCX48,LQFP-48,Calder,MCX48RA\n6,R4,1,1k,0603,Dunmore,DR603-1K\n"
        },
        ("part.substituted U1: part_number MCX48RB > MCX48RA", "part.field C1–C3: Uwagi blisko U1 > "),
    ),
    edited(
        "land patterns by the names of a library: size, pads and one real change",
        "parts.csv",
        _LAND,
        ("R_0805_2012Metric_Pad1.20x1.40mm_HandSolder", "R_0603_1608Metric"),
        ("LED_SMD:LED_0805_2012Metric", "LED_SMD:LED_0805_2012Metric_Pad1.15x1.40mm_HandSolder"),
        changes=(
            "part.package R3: package Resistor_SMD:R_0805_2012Metric_Pad1.20x1.40mm_HandSolder > "
            "Resistor_SMD:R_0603_1608Metric; land_pattern Resistor_SMD:R_0805_2012Metric_Pad1.20x1.40mm_HandSolder > ",
            "part.field D1: land_pattern  > LED_SMD:LED_0805_2012Metric_Pad1.15x1.40mm_HandSolder",
        ),
    ),
    Pair(
        "sizes as codes, then as land patterns: one package changed",
        {"bom.csv": _INCH},
        {
            "bom.csv": "Designator,Value,Case\nR1,10k,R_0402_1005Metric\nR2,10k,R_0603_1608Metric\n"
            "C1,100n,C_0402_1005Metric\nC2,10u,C_0805_2012Metric\nC3,22u,C_1206_3216Metric\n"
        },
        ("part.package C1: package 0603 > C_0402_1005Metric",),
    ),
    edited(
        "a list that has 0402, 0805 and 1206 is in inches",
        "bom.csv",
        _INCH,
        ("R2,10k,0603", "R2,10k,1608M"),
        ("C1,100n,0603", "C1,100n,0402"),
        changes=("part.package C1: package 0603 > 0402",),
    ),
    Pair(
        "order codes, then links that end in them: one of them is another one",
        {"bom.csv": _CODES},
        {"bom.csv": _LINKS},
        ("part.field C4: order_code 3456789 > https://dealer.example/shop/item/3456790",),
    ),
    edited(
        "a letter O for a zero, and a one with two letters: nothing that is compared",
        "bom.csv",
        _SLIPS,
        ("R1,100k", "R1,1OOk"),
        ("R2,10k,0603", "R2,1Ok,06O3"),
        ("R3,1k", "R3,1k1"),
        changes=("part.value R3: value 1k > 1k1",),
        told=("letter-for-digit",),
    ),
    Pair(
        "the marks of a merge that was left half-way",
        {"bom.csv": "Designator,Value,Package\nR1,10k,0603\nR2,22k,0603\nC1,100n,0603\n"},
        {"bom.csv": _CONFLICT},
        (),
        faults=("conflict-marker", "conflict-marker", "conflict-marker", "duplicate-designator"),
    ),
    edited(
        "headings between the rows, and a total below",
        "bom.csv",
        _SECTIONS,
        ("D1,1,green,0805,DL08-G\n", "D1,1,green,0805,DL08-G\nD2,1,red,0805,DL08-R\n"),
        ("Total,9", "Total,10"),
        changes=("part.added D2",),
    ),
    edited(
        "Markdown, a table for each sort of part",
        "README.md",
        _MARKDOWN,
        ("| R3 | 4k7 |", "| R3 | 4k3 |"),
        ("| C3 | 10u | 0805 | 10 V |", "| C3 | 10u | 0805 | 16 V |"),
        ("| U1 | `HTX30` | DFN-8 |\n", "| U1 | `HTX30` | DFN-8 |\n| J1 | 1x4 | |\n"),
        changes=("part.value R3: value 4k7 > 4k3", "part.field C3: Rating 10 V > 16 V", "part.added J1"),
    ),
    edited(
        "questions for headers: Stuff?, with Y and N",
        "bom.csv",
        _STUFF,
        ("R3,N,0R", "R3,Y,0R"),
        ("C1,Y,100n,0603,Brook,BC06-104K", "C1,N,100n,0603,Brook,BC06-104K"),
        changes=("part.fitted R3: fitted N > Y", "part.fitted C1: fitted Y > N"),
    ),
    edited(
        "quantities for one board and for ten, and values in the description only",
        "build.tsv",
        _BUILD,
        ("R1,R2,R7\t3\t30", "R1,R2\t2\t20"),
        ("AR06-103F\n2", "AR06-103F\n5\tR8\t1\t10\tResistor 22k 1% 0603\tArden\tAR06-223F\n2"),
        changes=("part.removed R7", "part.added R8"),
    ),
    edited(
        "no header at all",
        "list.csv",
        _HEADERLESS,
        ("R3,1k,0603,AR06-102F", "R3,1k2,0603,AR06-122F"),
        ("C2,10u,0805,BC08-106M", "C2,10u,1206,BC12-106M"),
        changes=(
            "part.value R3: value 1k > 1k2; part_number AR06-102F > AR06-122F",
            "part.package C2: package 0805 > 1206; part_number BC08-106M > BC12-106M",
        ),
        told=("no-header",),
    ),
    edited(
        "French, with a range in words",
        "nomenclature.csv",
        _FRENCH,
        ("C1 à C3;3", "C1 à C4;4"),
        ("4,7k;0603;Arden;AR06-472F", "5,6k;0603;Arden;AR06-562F"),
        changes=("part.added C4", "part.value R3: value 4,7k > 5,6k; part_number AR06-472F > AR06-562F"),
    ),
    Pair(
        "nothing happened: order, notation, grouping, line ends and a byte order mark",
        {"bom.csv": _UNGROUPED},
        {
            "bom.csv": b"\xef\xbb\xbf"
            + b"MPN;Qty;Reference;Footprint;Value\r\nMCX48RB;1;U1;LQFP-48;MCX48\r\nAR06-103F;2;R1-R2;0603;10 kOhm\r\n"
            b"AR06-102F;1;R3;0603;1K0\r\nBC06-104K;3;C1-C3;0603;100 nF\r\nBC08-106M;1;C4;0805;10uF\r\n"
        },
    ),
)
