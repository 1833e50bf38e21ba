"""Logic levels by family, noise margins, and inputs above their limit."""

from __future__ import annotations

from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

_D = Decimal


class Family(Struct, frozen=True):
    """The thresholds of one logic family, in V, or in parts of the supply where ``ratio`` is set.

    ``vil``: highest input that is surely low; ``vih``: lowest that is surely high; ``vol``: highest low output;
    ``voh``: lowest high output. ``voh_drop``: ``voh`` is the supply less this. ``supply``: nominal, V.
    """

    name: str
    supply: Decimal
    vil: Decimal
    vih: Decimal
    vol: Decimal
    voh: Decimal
    source: str
    ratio: Literal["none", "inputs", "all"] = "none"
    voh_drop: Decimal | None = None

    def at(self, supply: Decimal | None = None) -> Levels:
        """The thresholds at a supply voltage, V (default: the nominal one)."""
        volts = self.supply if supply is None else supply
        inputs = volts if self.ratio in ("inputs", "all") else _D(1)
        outputs = volts if self.ratio == "all" else _D(1)
        voh = volts - self.voh_drop if self.voh_drop is not None else self.voh * outputs
        return Levels(self.vil * inputs, self.vih * inputs, self.vol * outputs, voh)


class Levels(Struct, frozen=True):
    """Thresholds in V."""

    vil: Decimal
    vih: Decimal
    vol: Decimal
    voh: Decimal


class Margins(Struct, frozen=True):
    """Noise margins in V: ``high`` = VOH,min − VIH,min; ``low`` = VIL,max − VOL,max. Negative: not understood."""

    high: Decimal
    low: Decimal

    @property
    def worst(self) -> Decimal:
        """The smaller of the two."""
        return min(self.high, self.low)


def _family(
    name: str,
    values: str,
    source: str,
    ratio: Literal["none", "inputs", "all"] = "none",
    voh_drop: str = "",
) -> tuple[str, Family]:
    """A row of the table: supply, VIL, VIH, VOL and VOH as figures between blanks."""
    supply, vil, vih, vol, voh = map(_D, values.split())
    return name, Family(name, supply, vil, vih, vol, voh, source, ratio, _D(voh_drop) if voh_drop else None)


FAMILIES = MappingProxyType(
    dict(
        (
            _family("TTL", "5 0.8 2.0 0.4 2.4", "standard 74xx TTL data sheets"),
            _family("LS", "5 0.8 2.0 0.5 2.7", "SN74LS00 data sheet SDLS025B"),
            _family("HC", "4.5 0.3 0.7 0.33 0", "74HC data sheets, 4 mA", ratio="inputs", voh_drop="0.66"),
            _family("HCT", "4.5 0.8 2.0 0.33 3.84", "74HCT data sheets, 4 mA"),
            _family("CMOS", "5 0.3 0.7 0.1 0", "5 V CMOS data sheets", ratio="inputs", voh_drop="0.6"),
            _family("LVTTL", "3.3 0.8 2.0 0.4 2.4", "JESD8C.01, LVTTL"),
            _family("LVCMOS", "3.3 0.8 2.0 0.2 0", "JESD8C.01, LVCMOS", voh_drop="0.2"),
            _family("JESD8-5", "2.5 0.7 1.7 0.4 2.0", "JESD8-5A.01, 1 mA"),
            _family("JESD8-7", "1.8 0.35 0.65 0.45 0", "JESD8-7A", ratio="inputs", voh_drop="0.45"),
            _family("JESD8-11", "1.5 0.35 0.65 0.25 0.75", "JESD8-11A (number from memory)", ratio="all"),
            _family("JESD8-12", "1.2 0.35 0.65 0.25 0.75", "JESD8-12A (number from memory)", ratio="all"),
        )
    )
)
"""By name. JEDEC families by their standard's number; the 5 V ones by the letters of the 74 series."""

_OTHER_NAMES = MappingProxyType(
    {
        "74LS": "LS",
        "74HC": "HC",
        "74HCT": "HCT",
        "5VCMOS": "CMOS",
        "5VTTL": "TTL",
        "JESD8C": "LVTTL",
        "3V3LVTTL": "LVTTL",
    }
    | {"JESD8C01": "LVTTL", "3V3LVCMOS": "LVCMOS", "LVCMOS33": "LVCMOS", "LVTTL33": "LVTTL"}
    | {"JESD85": "JESD8-5", "JESD87": "JESD8-7", "JESD811": "JESD8-11", "JESD812": "JESD8-12"}
    | {"LVCMOS25": "JESD8-5", "LVCMOS18": "JESD8-7", "LVCMOS15": "JESD8-11", "LVCMOS12": "JESD8-12"}
)
_BY_SUPPLY = (
    (_D("3.3"), "LVTTL"),
    (_D("2.5"), "JESD8-5"),
    (_D("1.8"), "JESD8-7"),
    (_D("1.5"), "JESD8-11"),
    (_D("1.2"), "JESD8-12"),
)
_RANGES = MappingProxyType(
    {
        _D("5"): (_D("4.75"), _D("5.25"), "74 series TTL, recommended operating conditions (from memory)"),
        _D("3.3"): (_D("3"), _D("3.6"), "JESD8C.01"),
        _D("2.5"): (_D("2.3"), _D("2.7"), "JESD8-5A.01"),
        _D("1.8"): (_D("1.65"), _D("1.95"), "JESD8-7A"),
    }
)
_NEAR = _D("0.1")  # JEDEC's normal supply ranges are ±10 % or narrower


def family_named(text: str) -> Family | None:
    """The family a person means by ``LVTTL``, ``74HCT``, ``JESD8-5A.01``; None where there is none."""
    key = "".join(filter(str.isalnum, text)).upper()
    name = _OTHER_NAMES.get(key, _OTHER_NAMES.get(key.rstrip("ABC01"), key))
    return FAMILIES.get(name)


def family_at(supply: Decimal) -> Family | None:
    """The JEDEC family of a supply voltage; None where several are usual (5 V) or none is.

    The more cautious LVTTL stands for 3.3 V.
    """
    return next((FAMILIES[name] for volts, name in _BY_SUPPLY if abs(supply - volts) <= volts * _NEAR), None)


def supply_range(nominal: Decimal) -> tuple[Decimal, Decimal, str] | None:
    """The lowest and highest supply (V) that is published for a nominal one, and where; None where none is."""
    return _RANGES.get(nominal)


def margins(driver: Levels, receiver: Levels) -> Margins:
    """Noise margins from an output to an input. Source: the definitions of the JESD8 standards."""
    return Margins(driver.voh - receiver.vih, receiver.vil - driver.vol)


def input_limit(supply: Decimal, *, tolerant: bool) -> tuple[Decimal, str]:
    """The highest voltage (V) that an input stands where its sheet isn't at hand, and where that is from.

    5.5 V for a 5 V tolerant pin, the supply + 0.3 V for any other: the absolute maximum ratings of
    microcontroller data sheets (STM32F103, older sheets; newer ones allow 4.0 V at 3.3 V). Without supply the
    tolerance of many pins is gone.
    """
    if tolerant:
        return _D("5.5"), "absolute maximum of 5 V tolerant pins, STM32F103 data sheet"
    return supply + _D("0.3"), "absolute maximum VDD + 0.3 V, STM32F103 data sheet"
