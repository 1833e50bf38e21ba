"""What plugs into what: gender, pitch, ways, heights, places, reserved and free contacts, numbering."""

from __future__ import annotations

from tests.judge.designs.case import BREAK, FITS, SOUND, TOLD, UNFIT, Case

HEADER = "Connector,Role,Contacts,Rows,Pitch,Gender,Height,X,Y,Numbering"
ROWS = "Connector,Contact,Signal,Direction,Level\n"
SHIFTED = ("joint-signal-moved", "joint-signal-clash", "joint-supply-clash", "stack-contact-numbering")


def plug(base: str, top: str, contacts: str = "", header: str = HEADER) -> str:
    """Two boards with their rows of connectors; each connector has ground and a signal."""
    names = [row.partition(",")[0] for row in base.splitlines()]
    one, two = (
        contacts or "\n".join(f"{name},1,GND,ground,\n{name},2,D{name[1:]},{way},3.3 V" for name in names)
        for way in ("out", "in")
    )
    joints = "\n".join(f"base.{name} top.{name}" for name in names)
    return (
        f"= base connectors\n{header}\n{base}\n= base contacts\n{ROWS}{one}\n"
        f"= top connectors\n{header}\n{top}\n= top contacts\n{ROWS}{two}\n= joints\n{joints}"
    )


def spare(one: str, other: str, change: str = "") -> str:
    """A contact beside ground that one side leaves alone."""
    rows = "Signal,Direction,Level,State"
    return f"= base contacts\n{rows}\nGND,ground\n{one}\n= top contacts\n{rows}\nGND,ground\n{other}{change}"


PLUG, SOCKET = "J1,joint,2,1,2.54 mm,male", "J1,joint,2,1,2.54 mm,female"
EIGHT = "\n".join(
    f"J1,{n},{s}"
    for n, s in enumerate(("+5V,supply,5 V", *(f"D{i},passive,3.3 V" for i in range(6)), "GND,ground,"), 1)
)
PLACES = "J1,joint,2,1,2.54 mm,{gender},{one},{x},10 mm\nJ2,joint,2,1,2.54 mm,{gender},{two},{y},10 mm"


def places(gender: str, one: str = "11 mm", two: str = "11 mm", x: str = "10 mm", y: str = "60.8 mm") -> str:
    return PLACES.format(gender=gender, one=one, two=two, x=x, y=y)


CASES = (
    Case("a header meets a header", plug(PLUG, PLUG), BREAK, ("joint-connector-gender",)),
    Case("a header meets a socket", plug(PLUG, SOCKET), FITS),
    Case("2.54 mm meets 2.00 mm", plug(PLUG, SOCKET.replace("2.54", "2.00")), BREAK, ("joint-pitch",)),
    Case("2.54 mm meets 100 mil", plug(PLUG, SOCKET.replace("2.54 mm", "100 mil")), FITS),
    Case("two ways meet three", plug(PLUG, SOCKET.replace("joint,2", "joint,3")), BREAK, ("joint-contact-count",)),
    Case(
        "one row meets two",
        plug(PLUG, SOCKET.replace("joint,2,1", "joint,2,2")),
        UNFIT,
        ("joint-contact-count", "joint-pairing-unclear"),
    ),
    Case(
        "a short plug with stated pairs",
        "= base contacts\nSignal,Direction,Level\nGND,ground\nD,out,3.3 V\nE,out,3.3 V\nF,out,3.3 V\n"
        "= top contacts\nSignal,Direction,Level\nGND,ground\nD,in,3.3 V\n"
        '= joints\nbase.J1 top.J1 { "1" = "1", "2" = "2" }',
        SOUND,
    ),
    Case(
        "joints of 11 mm and 8.5 mm",
        plug(places("male", two="8.5 mm"), places("female", two="8.5 mm")),
        TOLD,
        ("stack-mated-height",),
    ),
    Case("joints of 11 mm both", plug(places("male"), places("female")), FITS),
    Case(
        "each half states its own height: 2.5 + 8.5 mm on both joints",
        plug(places("male", "2.5 mm", "2.5 mm"), places("female", "8.5 mm", "8.5 mm")),
        FITS,
        source="Harwin M50 sheets: the gap belongs to the pair",
    ),
    Case(
        "each half states its own height: the sums are equal",
        plug(places("male", "2.5 mm", "4.5 mm"), places("female", "8.5 mm", "6.5 mm")),
        FITS,
        source="Harwin M50 sheets: the gap belongs to the pair",
    ),
    Case(
        "connectors 50.8 mm apart meet connectors 48.3 mm apart",
        plug(places("male"), places("female", y="58.3 mm")),
        BREAK,
        ("stack-placement",),
    ),
    Case("connectors 0.05 mm off", plug(places("male"), places("female", y="60.85 mm")), FITS),
    Case(
        "the board above sits elsewhere, but its connectors are as far apart",
        plug(places("male"), places("female", x="20 mm", y="70.8 mm")),
        FITS,
    ),
    Case(
        "a connector moves by 2.54 mm",
        plug(places("male"), places("female")),
        BREAK,
        ("stack-placement",),
        change=(("2.54 mm,male,11 mm,60.8 mm", "2.54 mm,male,11 mm,63.34 mm"),),
    ),
    Case(
        "a reserved contact is used",
        spare(",,,reserved", "EXTRA,out,3.3 V,"),
        UNFIT,
        ("stack-reserved-used", "joint-signal-lost"),
    ),
    Case("a reserved contact is left open", spare(",,,reserved", "NC,,,"), FITS),
    Case(
        "a contact that was free for users is used now",
        spare(",,,free", "NC,,,"),
        TOLD,
        ("stack-free-contact-taken",),
        change=(
            (
                "= base contacts\nSignal,Direction,Level,State\nGND,ground\n,,,free",
                "= base contacts\nSignal,Direction,Level,State\nGND,ground\nFAN_TACH,in,3.3 V,",
            ),
        ),
    ),
    Case(
        "a contact that was used is free now, and nobody needs it",
        spare("TP,out,3.3 V,", "NC,,,"),
        SOUND,
        change=(("TP,out,3.3 V,", ",,,free"),),
    ),
    Case(
        "row by row meets zig-zag",
        plug(
            "J1,joint,8,2,2.54 mm,male,,,,row-wise",
            "J1,joint,8,2,2.54 mm,female,,,,zig-zag",
            EIGHT,
        ),
        UNFIT,
        SHIFTED,
    ),
    Case(
        "zig-zag on both",
        plug("J1,joint,8,2,2.54 mm,male,,,,zig-zag", "J1,joint,8,2,2.54 mm,female,,,,zig-zag", EIGHT),
        SOUND,
    ),
    Case(
        "a board loses one of two connectors",
        plug(places("male"), places("female")),
        UNFIT,
        ("stack-joint-missing", "joint-signal-lost", "joint-removed"),
        change=(
            ("J2,joint,2,1,2.54 mm,female,11 mm,60.8 mm,10 mm\n", ""),
            ("J2,1,GND,ground,\nJ2,2,D2,in,3.3 V\n", ""),
            ("base.J2 top.J2", ""),
        ),
    ),
    Case(
        "the connector's part number changes to one of equal data",
        plug(f"{PLUG},,,,", f"{SOCKET},,,,").replace("Numbering", "Part number").replace("male,,,,", "male,,,,PH-2"),
        FITS,
        change=(("PH-2", "PH-2B"),),
    ),
)
