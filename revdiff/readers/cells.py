"""One cell to a reading, field by field: what the text means, or a fault where a field can't hold it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Literal, TypeAlias

from msgspec import Struct

from revdiff.design import EMPTY, Reading
from revdiff.design.fields import Field
from revdiff.quantities.dielectric import read_dielectric
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import Quantity, ambiguous_number, read_quantity
from revdiff.quantities.size_code import Package, read_package
from revdiff.quantities.text import clean, fold, squeeze
from revdiff.quantities.tolerance import read_tolerance_in
from revdiff.readers import words

Decimals = Literal["either", "point", "comma"]

_PULL = pattern(r"^(?:pull\W*)?(up|down|pu|pd|u|d|none|no|off|float(?:ing)?|上拉|下拉)(?:\W+(.*))?$", re.IGNORECASE)
_COST = pattern(r"^([€$£¥]|[A-Z]{3})?\s*([0-9][0-9.,' ]*|[.,][0-9]+)\s*([€$£¥]|[A-Z]{3})?$")
_CURRENCIES: Mapping[str, str] = {"€": "EUR", "$": "USD", "£": "GBP", "¥": "JPY"}
_LONGEST_PLACEHOLDER = max(map(len, words.PLACEHOLDERS))
_COMMAS = pattern(r"(?<![\w.,])[1-9][0-9]{0,2}(?:,[0-9]{3}){1,5}(?![0-9,])")
_POINTS = pattern(r"(?<![\w.,])[1-9][0-9]{0,2}(?:\.[0-9]{3}){1,5}(?![0-9.])")
# With or without the name of a library before it (common practice, no source).
_CODES = pattern(r"(?:[\w .-]{1,40}:)?[A-Za-z]{1,8}_([0-9]{4,6})_([0-9]{4,6})Metric(_[\w.-]{1,80})?")
_BEGINS_NUMBER = frozenset("0123456789+-−±.,")
_ITEMS = pattern(r"[;,\n]")


def is_placeholder(text: str) -> bool:
    """Whether a cleaned text says nothing: blank, a dash, ``n/a``, ``?`` and the like."""
    return len(text) <= _LONGEST_PLACEHOLDER and text.lower() in words.PLACEHOLDERS


def without_thousands(text: str, decimal: Decimals) -> str:
    """A number without the marks between its thousands, where the decimal mark is settled to be the other one."""
    if decimal == "either" or not ("," in text if decimal == "point" else "." in text):
        return text
    pattern, mark = (_COMMAS, ",") if decimal == "point" else (_POINTS, ".")
    return pattern.sub(lambda found: found[0].replace(mark, ""), text)


class UnreadableCell(ValueError):
    """The cell can't hold what its field is for. The text says what was expected."""


class CellContext(Struct, frozen=True):
    """What the table and its manifest entry say about reading its cells."""

    decimal: Decimals = "either"
    package_code: Literal["", "inch", "metric"] = ""


def text_reading(raw: str, _context: CellContext) -> Reading:
    """Text, compared with case and blanks normalised."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    return Reading(text, text.lower() if text.isascii() else fold(text))


def own_reading(raw: str, context: CellContext) -> Reading:
    """A cell of a column that the program has no name for: a quantity where number and unit say so, else text.

    Without a unit it stays text: ``4E3`` may be a part number.
    """
    text = clean(raw)
    if text[:1] in _BEGINS_NUMBER and not text[-1:].isdecimal():
        quantity = read_quantity(without_thousands(text, context.decimal), "", decimal=context.decimal)
        if quantity is not None and quantity.unit:
            return Reading(text, quantity)
    return text_reading(text, context)


def quantity_reading(unit: str) -> Callable[[str, CellContext], Reading]:
    """A reader of quantities in ``unit``; text that is none stays text."""

    def read(raw: str, context: CellContext) -> Reading:
        text = clean(raw)
        if is_placeholder(text):
            return EMPTY
        quantity = read_quantity(without_thousands(text, context.decimal), unit, decimal=context.decimal)
        if quantity is None:
            return Reading(text, fold(text), unclear=ambiguous_number(text))
        return Reading(text, quantity)

    return read


def number_reading(raw: str, context: CellContext) -> Reading:
    """A plain whole number, such as a count. Raises UnreadableCell."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    quantity = read_quantity(without_thousands(text, context.decimal), "", decimal=context.decimal)
    if quantity is None or quantity.unit or quantity.magnitude % 1 or not 0 <= quantity.magnitude <= 10**6:
        raise UnreadableCell("a whole number")
    return Reading(text, quantity)


def length_reading(raw: str, context: CellContext) -> Reading:
    """A length; a bare number is in millimetres. Raises UnreadableCell."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    quantity = read_quantity(text, "", decimal=context.decimal)
    if quantity is not None and not quantity.unit:
        quantity = read_quantity(f"{text} mm", "", decimal=context.decimal)
    if quantity is None or quantity.unit != "m":
        raise UnreadableCell("a length such as 2.54 mm, 0.1 in or 100 mil")
    return Reading(text, quantity)


def angle_reading(raw: str, context: CellContext) -> Reading:
    """An angle in degrees, taken modulo a full turn. Raises UnreadableCell."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    quantity = read_quantity(text.rstrip("°").removesuffix("deg").strip(), "", decimal=context.decimal)
    if quantity is None or quantity.unit:
        raise UnreadableCell("an angle in degrees")
    turned = quantity.magnitude % 360
    return Reading(text, Quantity(turned + 360 if turned < 0 else turned, "°"))


def word_reading(vocabulary: Mapping[str, str]) -> Callable[[str, CellContext], Reading]:
    """A reader of a small vocabulary; a word outside it stays text."""

    def read(raw: str, _context: CellContext) -> Reading:
        text = clean(raw)
        if is_placeholder(text):
            return EMPTY
        return Reading(text, vocabulary.get(squeeze(text)) or fold(text))

    return read


def direction_reading(raw: str, context: CellContext) -> Reading:
    """A direction; "not connected" says nothing beyond the missing signal."""
    return Reading(clean(raw), None) if fold(raw) in words.UNUSED_SIGNAL else _direction(raw, context)


def fitted_reading(raw: str, inverse: bool) -> Reading:
    """Whether a part is placed. ``inverse``: the column says *not* placed. Raises UnreadableCell.

    A sign of not fitting (``DNP``) means not fitted under either kind of header; an empty cell means fitted.
    """
    text = clean(raw)
    if is_placeholder(text):
        return Reading("", True)
    folded = fold(text)
    if folded in words.UNFITTED:
        return Reading(text, False)
    if folded in words.YES:
        return Reading(text, not inverse)
    if folded in words.NO:
        return Reading(text, inverse)
    raise UnreadableCell("yes or no, or a sign such as DNP")


def yes_no_reading(raw: str, _context: CellContext) -> Reading:
    """Yes or no; other text stays text."""
    folded = fold(raw)
    if is_placeholder(folded):
        return EMPTY
    return Reading(clean(raw), True if folded in words.YES else False if folded in words.NO else folded)


def signal_reading(raw: str, _context: CellContext) -> Reading:
    """A signal name; the signs of an unused pin or contact read as empty, with the sign kept."""
    folded = fold(raw)
    return Reading(clean(raw), None) if folded in words.UNUSED_SIGNAL else Reading(clean(raw), folded)


def pull_reading(raw: str, context: CellContext) -> Reading:
    """``up``, ``down`` or ``none``, with an optional resistance (``up 10k``); other text stays text."""
    text = clean(raw)
    folded = fold(text)
    if folded in words.PLACEHOLDERS - {"none"}:
        return EMPTY
    parts = _PULL.match(text)
    if parts is None:
        return Reading(text, folded)
    strength = read_quantity(parts[2].strip("() "), "Ω", decimal=context.decimal) if parts[2] else None
    if parts[2] and strength is None:
        return Reading(text, folded)
    way = words.PULLS.get(parts[1].casefold(), "none")
    return Reading(text, (way, strength) if strength is not None else (way,))


def package_reading(raw: str, context: CellContext) -> Reading:
    """A package: a chip size by its dimensions, anything else by its letters and digits."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    package = read_package(_pair_of_codes(text), context.package_code)
    return Reading(text, Package("" if package.sizes else squeeze(text) or package.text, package.sizes))


def _pair_of_codes(text: str) -> str:
    """The two codes of a footprint's name that is made of them (`C_0603_1608Metric`), or the text itself."""
    found = _CODES.fullmatch(text)
    return f"{found[1]} ({found[2]} metric)" if found else text


def land_pattern_of(raw: str) -> Reading:
    """What the name of a land pattern says beyond the package (`..._HandSolder`); empty where that is nothing."""
    text = clean(raw)
    found = _CODES.fullmatch(text)
    return Reading(text, fold(text.rpartition(":")[2])) if found is not None and found[3] else EMPTY


def codes_reading(texts: Iterable[str]) -> Reading:
    """Order codes out of one or several cells, compared without regard to order; a link is the code that it ends in."""
    found: dict[str, str] = {}
    for text in texts:
        for item in _ITEMS.split(text):
            code = fold(_code_of(clean(item)))
            if code not in words.PLACEHOLDERS:
                found.setdefault(code, clean(item))
    return Reading("; ".join(found.values()), tuple(sorted(found))) if found else EMPTY


def _code_of(text: str) -> str:
    """The last step of a link's path, or what its query ends in."""
    scheme, sign, rest = text.partition("://")
    if not sign or not scheme.isalpha():
        return text
    path, _, query = rest.partition("#")[0].partition("?")
    last = path.rstrip("/").rpartition("/")[2] if "/" in path.rstrip("/") else ""
    return last if any(map(str.isdecimal, last)) or not query else query.rpartition("=")[2]


def tolerance_reading(raw: str, context: CellContext) -> Reading:
    """A tolerance; text that is none stays text."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    return Reading(text, read_tolerance_in(text, context.decimal) or fold(text))


def dielectric_reading(raw: str, _context: CellContext) -> Reading:
    """A dielectric code in its canonical form (NP0 and C0G are one); text that is none stays text."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY
    dielectric = read_dielectric(text)
    return Reading(text, fold(dielectric.code) if dielectric is not None else fold(text))


def list_reading(raw: str, _context: CellContext) -> Reading:
    """A list separated by semicolons, commas or line breaks, compared without regard to order."""
    items: set[str] = {fold(item) for item in _ITEMS.split(raw)} - words.PLACEHOLDERS
    return Reading(clean(raw), tuple(sorted(items))) if items else EMPTY


def cost_reading(raw: str, context: CellContext) -> tuple[Reading, str]:
    """A unit cost and the currency that the cell itself names (empty where none). Raises UnreadableCell."""
    text = clean(raw)
    if is_placeholder(text):
        return EMPTY, ""
    parts = _COST.match(text)
    number = without_thousands(parts[2].replace(" ", "").replace("'", ""), context.decimal) if parts else ""
    quantity = read_quantity(number, "", decimal=context.decimal) if parts else None
    if parts is None or quantity is None:
        if parts and ambiguous_number(number):
            return Reading(text, fold(text), unclear=True), ""
        raise UnreadableCell("a price such as 0.012 or 0,012 EUR")
    sign = parts[1] or parts[3] or ""
    return Reading(text, quantity), _CURRENCIES.get(sign, sign)


def tolerant_reading(raw: str, context: CellContext) -> Reading:
    """Whether an input stands 5 V; ``FT`` is how pin tables mark it (common practice, no source)."""
    return Reading(clean(raw), True) if fold(raw) in words.TOLERANT else yes_no_reading(raw, context)


def turn_reading(raw: str, context: CellContext) -> Reading:
    """How far a part is turned; text that is no angle stays text."""
    try:
        return angle_reading(raw, context)
    except UnreadableCell:
        return text_reading(raw, context)


CellReader: TypeAlias = Callable[[str, CellContext], Reading]

_direction = word_reading(words.DIRECTIONS)
hertz_reading = quantity_reading("Hz")
plain_reading = quantity_reading("")
READERS: Mapping[str, CellReader] = {
    "text": text_reading,
    "signal": signal_reading,
    "direction": direction_reading,
    "active": word_reading(words.ACTIVE),
    "pull": pull_reading,
    "tolerant": tolerant_reading,
    "yes or no": yes_no_reading,
    "number": number_reading,
    "length": length_reading,
    "angle": angle_reading,
    "turn": turn_reading,
    "package": package_reading,
    "tolerance": tolerance_reading,
    "dielectric": dielectric_reading,
    "list": list_reading,
    "gender": word_reading(words.GENDERS),
    "role": word_reading(words.ROLES),
    "numbering": word_reading(words.NUMBERINGS),
    "view": word_reading(words.VIEWS),
    "board side": word_reading(words.BOARD_SIDES),
    "drive": word_reading(words.DRIVES),
    "power-on": word_reading(words.POWER_ON),
}


def reader_of(field: Field) -> CellReader:
    """How a cell of a column is read."""
    return quantity_reading(field.unit) if field.cell == "quantity" else READERS[field.cell]
