"""Currents over contacts. Ratings: 2.54 mm 3 A (Harwin M20 catalogue), 1.27 mm 1 A (Harwin M50 sheets)."""

from __future__ import annotations

from tests.judge.designs.case import FITS, HAZARD, SOUND, TOLD, UNFIT, Case
from tests.judge.designs.worked import amps

OVER = ("stack-contact-current",)
BACK = ("stack-return-current", "stack-return-lost")
M50, M20 = "Harwin M50 sheets: 1 A", "Harwin M20 catalogue: 3 A"


def power(supplies: int, grounds: int, load: str, rating: str = "1 A", more: str = "") -> str:
    """A rail that feeds a board over contacts in parallel; the load is stated once, in the manifest."""
    ways = supplies + grounds
    found = []
    for name, way, gender in (("base", "out", "male"), ("top", "in", "female")):
        rows = "\n".join([f"+5V,supply {way},5 V"] * supplies + ["GND,ground"] * grounds)
        found.append(f"= {name} contacts\nSignal,Direction,Level\n{rows}")
        found.append(
            f"= {name} connectors\nConnector,Role,Contacts,Rows,Pitch,Gender,Rating\n"
            f"J1,joint,{ways},1,1.27 mm,{gender},{rating}"
        )
    found.append('= base board\nfeeds = { "+5V" = "10 A" }')
    found.append(f'= top board\nloads = {{ "+5V" = "{load}" }}')
    return "\n".join((*found, more))


HEADERS = (
    "= base contacts\nConnector,Contact,Signal,Direction,Level\n"
    "J1,1,+5V,supply out,5 V\nJ1,2,GND,ground,\nJ2,1,+5V,supply out,5 V\nJ2,2,GND,ground,\n"
    "= top contacts\nConnector,Contact,Signal,Direction,Level\n"
    "J1,1,+5V,supply in,5 V\nJ1,2,GND,ground,\nJ2,1,+5V,supply in,5 V\nJ2,2,GND,ground,\n"
    '= base board\nfeeds = {{ "+5V" = "10 A" }}\n= top board\nloads = {{ "+5V" = "{load}" }}\n'
    "= joints\nbase.J1 top.J1\nbase.J2 top.J2"
)

CASES = (
    Case("3.5 A over 3 contacts of 1 A", power(3, 4, "3.5 A"), HAZARD, OVER, (amps(3.5 / 3),), M50),
    Case("3.5 A over 4 contacts of 1 A", power(4, 4, "3.5 A"), FITS, source=M50),
    Case("3.5 A over 2 contacts of 3 A", power(2, 2, "3.5 A", "3 A"), FITS, source=M20),
    Case(
        "3.5 A over 4 contacts of 1 A, derated by 20 %",
        power(4, 5, "3.5 A", more='= manifest\n[stacking]\ncontact_derating = "20 %"'),
        UNFIT,
        OVER,
        source=M50,
    ),
    Case("3 A back over 2 grounds of 1 A", power(4, 2, "3 A"), HAZARD, BACK, (amps(1.5),), M50),
    Case("3 A back over 3 grounds of 1 A", power(4, 3, "3 A"), FITS, source=M50),
    Case("5 A over one contact of 3 A on each of two headers", HEADERS.format(load="5 A"), FITS, source=M20),
    Case(
        "7 A over one contact of 3 A on each of two headers",
        HEADERS.format(load="7 A"),
        HAZARD,
        OVER,
        (amps(3.5),),
        M20,
    ),
    Case(
        "2 A as the contacts state it",
        "= base contacts\nSignal,Direction,Level,Current\n+5V,supply out,5 V,2 A\nGND,ground,,2 A\n"
        "= top contacts\nSignal,Direction,Level,Current\n+5V,supply in,5 V,1.5 A\nGND,ground,,1.5 A",
        FITS,
        source=M20,
    ),
    Case(
        "5 A as the taker's contact states it",
        "= base contacts\nSignal,Direction,Level,Current\n+5V,supply out,5 V,6 A\nGND,ground,,6 A\n"
        "= top contacts\nSignal,Direction,Level,Current\n+5V,supply in,5 V,5 A\nGND,ground,,5 A",
        HAZARD,
        (*OVER, *BACK, "stack-contact-budget"),
        source=M20,
    ),
    Case(
        "a board takes more than the contact of its partner gives",
        "= base contacts\nSignal,Direction,Level,Current\n+5V,supply out,5 V,0.5 A\nGND,ground,,3 A\n"
        "= top contacts\nSignal,Direction,Level,Current\n+5V,supply in,5 V,0.8 A\nGND,ground,,0.8 A",
        UNFIT,
        ("stack-contact-budget", "stack-rail-budget"),
        (amps(0.3),),
    ),
    Case(
        "one of two grounds goes",
        power(1, 2, "0.5 A"),
        TOLD,
        BACK,
        change=(("+5V,supply out,5 V\nGND,ground\nGND,ground", "+5V,supply out,5 V\nGND,ground\nNC"),),
    ),
    Case(
        "a connector of 1 A takes the place of one of 3 A",
        power(2, 2, "3.5 A", "3 A"),
        HAZARD,
        OVER,
        (amps(1.75),),
        M50,
        change=(("1.27 mm,male,3 A", "1.27 mm,male,1 A"),),
    ),
    Case(
        "a connector of 2 A takes the place of one of 3 A",
        power(2, 2, "3.5 A", "3 A"),
        SOUND,
        change=(("1.27 mm,male,3 A", "1.27 mm,male,2 A"),),
    ),
    Case(
        "a load grows over the contacts",
        power(2, 2, "1.8 A"),
        HAZARD,
        OVER,
        (amps(1.2),),
        M50,
        change=(('"1.8 A"', '"2.4 A"'),),
    ),
    Case("a load grows within the contacts", power(2, 2, "1.5 A"), FITS, source=M50, change=(('"1.5 A"', '"1.8 A"'),)),
    Case(
        "two boards above draw through one header",
        "= base contacts\nSignal,Direction,Level\n+5V,supply out,5 V\nGND,ground\n"
        "= mid contacts\nConnector,Contact,Signal,Direction,Level\nJ1,1,+5V,supply in,5 V\nJ1,2,GND,ground\n"
        "J2,1,+5V,supply out,5 V\nJ2,2,GND,ground\n"
        "= top contacts\nSignal,Direction,Level\n+5V,supply in,5 V\nGND,ground\n"
        '= base board\nfeeds = { "+5V" = "10 A" }\n= mid board\nloads = { "+5V" = "2 A" }\n'
        '= top board\nloads = { "+5V" = "2 A" }\n= joints\nbase.J1 mid.J1\nmid.J2 top.J1',
        HAZARD,
        OVER,
        (amps(4),),
        M20,
    ),
    Case(
        "two boards above draw through one header, and one of them says nothing",
        "= base contacts\nSignal,Direction,Level\n+5V,supply out,5 V\nGND,ground\n"
        "= mid contacts\nConnector,Contact,Signal,Direction,Level\nJ1,1,+5V,supply in,5 V\nJ1,2,GND,ground\n"
        "J2,1,+5V,supply out,5 V\nJ2,2,GND,ground\n"
        "= top contacts\nSignal,Direction,Level\n+5V,supply in,5 V\nGND,ground\n"
        '= base board\nfeeds = { "+5V" = "10 A" }\n= mid board\nloads = { "+5V" = "2 A" }\n'
        "= joints\nbase.J1 mid.J1\nmid.J2 top.J1",
        SOUND,
        needs="more current per contact than it is rated for: base.J1.1–mid.J1.1",
        source=M20,
    ),
    Case(
        "two boards above draw little through one header",
        "= base contacts\nSignal,Direction,Level\n+5V,supply out,5 V\nGND,ground\n"
        "= mid contacts\nConnector,Contact,Signal,Direction,Level\nJ1,1,+5V,supply in,5 V\nJ1,2,GND,ground\n"
        "J2,1,+5V,supply out,5 V\nJ2,2,GND,ground\n"
        "= top contacts\nSignal,Direction,Level\n+5V,supply in,5 V\nGND,ground\n"
        '= base board\nfeeds = { "+5V" = "10 A" }\n= mid board\nloads = { "+5V" = "1 A" }\n'
        '= top board\nloads = { "+5V" = "1 A" }\n= joints\nbase.J1 mid.J1\nmid.J2 top.J1',
        SOUND,
        source=M20,
    ),
)
