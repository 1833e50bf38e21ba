"""One meaning in the many ways in which people write it (common practice, no source)."""

from __future__ import annotations

import re
from decimal import Decimal
from random import Random

_NUMBER = re.compile(r"^(\d+(?:\.\d+)?)([pnumkMRG]?)(Ω|F|H|Hz|V|A|W|)$")
_POWERS = {"p": -12, "n": -9, "u": -6, "m": -3, "": 0, "R": 0, "k": 3, "M": 6, "G": 9}
_WORDS = {
    "in": ("in", "input", "I", "In"),
    "out": ("out", "output", "O", "Out"),
    "bidirectional": ("bidirectional", "I/O", "bidi", "inout"),
    "open drain": ("open drain", "OD", "open collector"),
    "analog in": ("analog in", "analogue in", "AIN", "analog"),
    "supply in": ("supply in", "power in", "pwr in"),
    "supply out": ("supply out", "power out"),
    "ground": ("ground", "gnd", "GND"),
    "passive": ("passive", "Passive"),
    "high": ("high", "H", "active high", "High"),
    "low": ("low", "L", "active low", "LOW"),
    "male": ("male", "M", "pin header", "Male"),
    "female": ("female", "F", "socket", "receptacle"),
    "joint": ("joint", "stacking", "board to board"),
    "outside": ("outside", "external", "cable"),
    "C0G": ("C0G", "NP0", "c0g"),
    "none": ("none", "no", "None"),
}
_UNUSED = ("", "NC", "-", "n.c.")
_QUANTITIES = {"value", "voltage", "power", "current", "level", "rating", "resistance", "clock"}
_TEXTS = {"manufacturer", "part_number", "lifecycle", "description", "function", "port", "note", "Remark", "signal"}


def spell(column: str, prefix: str, text: str, rng: Random, comma: bool) -> str:
    """Another way to write a cell. ``prefix``: the class letters, for values; ``comma``: decimal commas."""
    if column == "signal":
        return rng.choice(_UNUSED) if not text else _cased(text, rng)
    if not text:
        return rng.choice(("", "", "-")) if column not in ("fitted", "designator", "contact", "pin") else ""
    if text in _WORDS and column not in ("function", "port"):
        return rng.choice(_WORDS[text])
    if column in _QUANTITIES:
        return _pointed(_quantity(column, prefix, text, rng), comma)
    if column == "tolerance" and text.endswith("%"):
        return _pointed(rng.choice((text, f"±{text}", f"{text[:-1]} %")), comma)
    if column in ("pitch", "height", "x", "y"):
        return _pointed(_length(text, rng), comma)
    if column == "cost":
        return _pointed(text + rng.choice(("", "0")) if "." in text else text, comma)
    if column == "pull":
        return _pull(text, rng)
    if column == "alternates":
        items = text.split("; ")
        rng.shuffle(items)
        return rng.choice(("; ", ";")).join(items)
    if column == "package":
        return rng.choice((text, text.lower(), text.upper()))
    return _cased(text, rng) if column in _TEXTS else text


def _cased(text: str, rng: Random) -> str:
    return rng.choice((text, text, text, f" {text}", f"{text} ", text.upper(), text.lower()))


def _pointed(text: str, comma: bool) -> str:
    return text.replace(".", ",") if comma and re.match(r"^\D?\d*\.\d", text) else text


def _quantity(column: str, prefix: str, text: str, rng: Random) -> str:
    found = _NUMBER.match(text)
    if found is None:
        return _cased(text, rng) if column == "value" else text
    number, letter, unit = found.groups()
    if column == "value" and not unit:
        unit = {"R": "Ω", "C": "F", "L": "H"}.get(prefix, "")
        if not unit:
            return text
        return rng.choice(_values(number, "" if letter == "R" else letter, unit))
    spellings = [f"{number}{letter}{unit}", f"{number} {letter}{unit}"]
    if unit == "V" and not letter and "." in number:
        spellings.append(number.replace(".", "V"))
    if unit == "W" and number == "0.25":
        spellings.append("1/4 W")
    if unit in ("W", "A") and not letter and Decimal(number) < 1:
        spellings.append(f"{_plain(Decimal(number) * 1000)} m{unit}")
    return rng.choice(spellings)


def _values(number: str, letter: str, unit: str) -> list[str]:
    shown = letter.replace("u", "µ")
    found = [f"{number}{letter}{unit}", f"{number} {shown}{unit}"]
    if unit == "Ω":
        mark = letter or "R"
        found += [f"{number}{mark}", number.replace(".", mark) if "." in number else f"{number}{mark}"]
        found.append(_plain(Decimal(number).scaleb(_POWERS[letter])))
        found.append(f"{number} {letter}Ohm")
    else:
        found.append(f"{number}{letter}")
        if "." in number:
            found.append(number.replace(".", letter))
        if letter == "n" and unit == "F" and Decimal(number) >= 100:
            found.append(f"{_plain(Decimal(number) / 1000)}u{unit}")
        if letter == "u" and Decimal(number) < 1:
            found.append(f"{_plain(Decimal(number) * 1000)}n{unit}")
    return found


def _plain(number: Decimal) -> str:
    return format(number.normalize(), "f")


def _length(text: str, rng: Random) -> str:
    found = re.match(r"^(-?[\d.]+) mm$", text)
    if found is None:
        return text
    spellings = [text, f"{found[1]}mm", found[1]]
    if found[1] == "2.54":
        spellings += ["0.1 in", "100 mil"]
    if found[1] == "1.27":
        spellings += ["0.05 in", "50mil"]
    return rng.choice(spellings)


def _pull(text: str, rng: Random) -> str:
    way, _, strength = text.partition(" ")
    tail = f" {strength}" if strength else ""
    return rng.choice((text, f"pull-{way}{tail}", f"{way.upper()}{tail}"))
