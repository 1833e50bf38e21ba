"""A small design as text files, revisions held in memory, and edits of them, for tests of every layer."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Design
from revdiff.judge import ChangeVerdict, judge_change
from revdiff.readers.loader import Loader
from revdiff.sources import Blob, Identity

Files = Mapping[str, str]

SMALL: Files = {
    "revdiff.toml": """\
[design]
name = "pair"

[boards.base]
revision = "A"
parts = { file = "base/parts.csv", package_code = "inch" }
pins = "base/pins.csv"
connectors = "base/connectors.csv"
contacts = "base/contacts.csv"

[boards.top]
revision = "A"
parts = { file = "top/parts.csv", package_code = "inch" }
connectors = "top/connectors.csv"
contacts = "top/contacts.csv"

[[joints]]
a = "base.J1"
b = "top.J1"

[firmware.blink]
version = "1.0"
board = "base"
device = "U1"
needs = "blink.csv"
""",
    "base/parts.csv": """\
Designator,Quantity,Value,Package,Part number,Tolerance,Voltage,Dielectric,Fitted,Life cycle,Cost
R1,1,10k,0603,RA-10K,1%,,,yes,active,0.01
R2,1,4k7,0603,RA-4K7,1%,,,yes,active,0.01
C1,1,100n,0603,CA-100N,10%,50 V,X7R,yes,active,0.02
C2,1,1u,0805,CA-1U,10%,25 V,X7R,yes,active,0.03
U1,1,controller,QFP-8,MC-8,,,,yes,active,2.00
U2,1,regulator 3.3 V,SOT-23,VR-33,,,,yes,active,0.30
D1,1,LED red,0603,LR-1,,,,yes,active,0.04
""",
    "base/pins.csv": """\
Device,Pin,Port,Signal,Function,Direction,Active,Pull,Level,Analog
U1,1,PA0,LED,GPIO,out,high,,3.3 V,
U1,2,PA1,HEAT,GPIO,out,high,down,3.3 V,
U1,3,PA2,TX,UART1_TX,out,,,3.3 V,
U1,4,PA3,RX,UART1_RX,in,,up,3.3 V,
U1,5,PA4,VBAT_SENSE,ADC,analog in,,,3.3 V,ADC1_IN4
U1,6,PA5,,,,,,,
U1,7,VDD,+3V3,,supply,,,3.3 V,
U1,8,VSS,GND,,ground,,,,
""",
    "base/connectors.csv": """\
Connector,Role,Contacts,Rows,Pitch,Gender,Part number
J1,joint,6,1,2.54 mm,male,PH-6
""",
    "base/contacts.csv": """\
Connector,Contact,Signal,Direction,Level,Current
J1,1,+5V,supply,5 V,1 A
J1,2,GND,ground,,1 A
J1,3,TX,out,3.3 V,
J1,4,RX,in,3.3 V,
J1,5,HEAT,out,3.3 V,
J1,6,,,,
""",
    "top/parts.csv": """\
Designator,Quantity,Value,Package,Part number
R1,1,10k,0603,RA-10K
""",
    "top/connectors.csv": """\
Connector,Role,Contacts,Rows,Pitch,Gender,Part number
J1,joint,6,1,2.54 mm,female,PS-6
""",
    "top/contacts.csv": """\
Connector,Contact,Signal,Direction,Level,Current
J1,1,+5V,supply,5 V,1 A
J1,2,GND,ground,,1 A
J1,3,TX,in,3.3 V,
J1,4,RX,out,3.3 V,
J1,5,HEAT,in,3.3 V,
J1,6,,,,
""",
    "blink.csv": """\
Signal,Pin,Function,Direction,Active,Analog,Pull,Level
LED,1,,out,high,,,
HEAT,2,,out,high,,down,3.3 V
TX,3,UART1_TX,out,,,,
VBAT_SENSE,5,,,,ADC1_IN4,,
""",
}


@dataclass(frozen=True)
class MemoryRevision:
    """A revision whose files are a mapping of path to text or bytes."""

    files: Mapping[str, str | bytes]
    name: str = "old"

    @property
    def identity(self) -> Identity:
        return Identity(asked=self.name, kind="folder", name=self.name, commit="", date="", message="")

    def find(self, path: str) -> Blob | None:
        if path not in self.files:
            return None
        data = self._data(path)
        digest = hashlib.sha1(b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()
        return Blob(path, digest, len(data))

    def read(self, blob: Blob) -> bytes:
        return self._data(blob.path)

    def elsewhere(self) -> tuple[str, ...]:
        return ()

    def paths(self) -> tuple[str, ...]:
        return tuple(sorted(self.files))

    def _data(self, path: str) -> bytes:
        data = self.files[path]
        return data.encode() if isinstance(data, str) else data


def edit(files: Files, *edits: tuple[str, str, str]) -> dict[str, str]:
    """The files after edits of (path, text there is once, text instead)."""
    changed = dict(files)
    for path, before, after in edits:
        assert changed[path].count(before) == 1, f"{before!r} stands {changed[path].count(before)} times in {path}"
        changed[path] = changed[path].replace(before, after)
    return changed


def load(files: Mapping[str, str | bytes], name: str = "old") -> Design:
    """The design that these files make."""
    return Loader().load(MemoryRevision(files, name))


def compare(old: Files, new: Files) -> Comparison:
    """The comparison of two designs given as files."""
    return compare_designs(load(old), load(new, "new"))


def judged(old: Files, new: Files) -> ChangeVerdict:
    """What the rules say of two designs given as files."""
    return judge_change(compare(old, new), "old", "new")
