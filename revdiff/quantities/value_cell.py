"""Value cells of parts lists, which often hold more than the value: `100n/16V/X7R`, `10k 1% 0603`."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from msgspec import Struct

from revdiff.quantities.codes import read_code
from revdiff.quantities.dielectric import read_dielectric
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import DecimalMark, Quantity, read_quantity
from revdiff.quantities.size_code import read_package
from revdiff.quantities.text import clean, fold
from revdiff.quantities.tolerance import Tolerance, letter_tolerance, read_tolerance_in


class ValueCell(Struct, frozen=True):
    """What a value cell says. `rest`: the text of a cell that isn't wholly understood; it has no `value`."""

    value: Quantity | None = None
    tolerance: Tolerance | None = None
    voltage: Quantity | None = None
    power: Quantity | None = None
    current: Quantity | None = None
    dielectric: str = ""
    package: str = ""
    fitted: bool | None = None
    rest: str = ""


# Common practice, no source. `NC` is left out: it may also mean a normally closed contact.
_UNFITTED: Final = frozenset(
    (
        *("dnp", "dni", "dnf", "dnm", "dns", "nf", "n/f", "nofit", "no-fit", "no fit"),
        *("nopop", "no-pop", "no pop", "unfitted", "unpopulated", "omit", "omitted"),
        *(f"not {done}" for done in ("fitted", "placed", "populated", "mounted", "installed", "assembled")),
        *(f"do not {do}" for do in ("fit", "place", "populate", "mount", "install", "assemble", "stuff")),
    )
)
_LONGEST: Final = 128
_MOST_WORDS: Final = 14
_JOINED: Final = 4  # `do not populate` and `+80 / -20 %` are the longest pieces in words
_EMPTY: Final = ValueCell()

# A comma between figures may be a decimal mark, so it doesn't part two fields.
_BETWEEN = pattern(r" ?[/;|] ?| ?, | ?(?<![0-9]),| ?,(?![0-9])| |(?<=[^ /;|,(])(?=±|\+/)")
_FAMILY = pattern(
    r"(?:sot|sod|soic|so|tssop|ssop|msop|sop|qfn|dfn|qfp|lqfp|tqfp|dip|to|sc|do|sma|smb|smc|melf|minimelf|bga|wlcsp)"
    r"[ -]?[0-9]{1,4}(?:-[0-9]{1,3}l?)?|sma|smb|smc|melf|minimelf"
)


def read_value_cell(text: str, unit: str, *, decimal: DecimalMark = "either", code: bool = False) -> ValueCell:
    """Read a value cell of a part whose value is in `unit` (`""`: not known).

    Each piece must be understood, and one of them be the value; otherwise the cell stays text as a whole
    (`LED red`, `1N4148`, `X7R` alone). A part marked as not fitted is told so even then, and the mark is
    left out of `rest`. With `code`, the value may be a marking code: `104`, `4992`, `01C`.
    """
    cleaned = clean(text)
    if not cleaned:
        return _EMPTY
    if len(cleaned) > _LONGEST:
        return ValueCell(rest=cleaned)
    return _read(cleaned, unit, decimal, code)


@lru_cache(maxsize=16384)
def _read(text: str, unit: str, decimal: DecimalMark, code: bool) -> ValueCell:
    value, tolerance = _read_value(text, unit, decimal, code)
    if value and (value.unit not in ("%", "ppm") or value.unit == unit):
        return ValueCell(value=value, tolerance=tolerance)
    if is_unfitted(text):
        return ValueCell(fitted=False)
    return _Reading(text, unit, decimal, code).cell()


def names_package(text: str) -> bool:
    """Whether a text names a package and nothing else: a chip size, or one of the usual families."""
    package = read_package(text)
    return bool(package.sizes) or _FAMILY.fullmatch(package.text) is not None


def is_unfitted(text: str) -> bool:
    """Whether the text says that the part isn't fitted: `DNP`, `not fitted`, `do not place`, ..."""
    folded = fold(text).strip("()[]").strip()
    return folded in _UNFITTED


def _read_value(text: str, unit: str, decimal: DecimalMark, code: bool) -> tuple[Quantity | None, Tolerance | None]:
    if not code or unit not in ("Ω", "F"):
        return read_quantity(text, unit, decimal=decimal), None
    value, tolerance = read_code(text, "Ω" if unit == "Ω" else "F", decimal=decimal)
    if value is None:
        other = read_quantity(text, unit, decimal=decimal)
        value = other if other and other.unit != unit else None
    return value, tolerance


def _rating(rating: Quantity | None) -> ValueCell | None:
    match rating.unit if rating else "":
        case "V":
            return ValueCell(voltage=rating)
        case "W":
            return ValueCell(power=rating)
        case "A":
            return ValueCell(current=rating)
    return None


def _together(one: ValueCell, other: ValueCell) -> ValueCell | None:
    """Both, unless they contradict each other: a second voltage, say."""
    for name in ValueCell.__struct_fields__:
        mine, others = getattr(one, name), getattr(other, name)
        if mine != others and mine != getattr(_EMPTY, name) != others:
            return None
    return ValueCell(
        one.value or other.value,
        one.tolerance or other.tolerance,
        one.voltage or other.voltage,
        one.power or other.power,
        one.current or other.current,
        one.dielectric or other.dielectric,
        one.package or other.package,
        other.fitted if one.fitted is None else one.fitted,
    )


class _Reading(Struct):
    """One cell being read, piece by piece."""

    text: str
    unit: str
    decimal: DecimalMark
    code: bool
    found: ValueCell = _EMPTY
    bare: bool = False  # the value is a number without unit or prefix

    def cell(self) -> ValueCell:
        spans = self._words()
        if len(spans) > _MOST_WORDS:
            return ValueCell(rest=self.text)
        at = 0
        while at < len(spans):
            taken = self._take(spans, at)
            if not taken:
                return self._left_as_text(spans)
            at += taken
        return self.found if self.found.value else self._left_as_text(spans)

    def _words(self) -> list[tuple[int, int]]:
        spans, start = [], 0
        for between in _BETWEEN.finditer(self.text):
            spans.append((start, between.start()))
            start = between.end()
        spans.append((start, len(self.text)))
        return [(a, b) for a, b in spans if a < b]

    def _take(self, spans: list[tuple[int, int]], at: int) -> int:
        """Understand the longest piece that begins here; how many words it took."""
        for count in range(min(_JOINED, len(spans) - at), 0, -1):
            piece = self.text[spans[at][0] : spans[at + count - 1][1]]
            if self._understand(piece) or (piece[0] in "([" and self._understand(piece.strip("()[] "))):
                return count
        return 0

    def _understand(self, piece: str) -> bool:
        said = self._said(piece)
        together = _together(self.found, said) if said else None
        if together is None:
            return False
        self.found = together
        return True

    def _said(self, piece: str) -> ValueCell | None:
        if not piece:
            return None
        if is_unfitted(piece):
            return ValueCell(fitted=False)
        if self.found.value is None:
            value, tolerance = _read_value(piece, self.unit, self.decimal, self.code)
            if value and value.unit == (self.unit or value.unit) and value.unit not in ("%", "ppm"):
                self.bare = not any(map(str.isalpha, piece))
                return ValueCell(value=value, tolerance=tolerance)
        if tolerance := self._tolerance(piece):
            return ValueCell(tolerance=tolerance)
        if self.unit in ("F", "") and (dielectric := read_dielectric(piece)):
            return ValueCell(dielectric=dielectric.code)
        package = read_package(piece)
        if package.sizes or _FAMILY.fullmatch(package.text):
            return ValueCell(package=package.text)
        return _rating(read_quantity(piece, decimal=self.decimal))

    def _tolerance(self, piece: str) -> Tolerance | None:
        if len(piece) == 1:
            # After a bare number the letter may be its prefix (`4.7 M`), and F or H its unit.
            if self.found.value is None or self.bare or piece == self.unit:
                return None
            return letter_tolerance(piece, self.found.value)
        tolerance = read_tolerance_in(piece, self.decimal)
        if tolerance is None:
            return None
        if tolerance.unit == "%":
            return tolerance
        # Parts per million are the accuracy of a crystal but the temperature drift of a resistor.
        if tolerance.unit == "ppm":
            return tolerance if self.unit == "Hz" else None
        signed = piece[0] in "±+-−–"
        return tolerance if signed and tolerance.unit == (self.unit or tolerance.unit) else None

    def _left_as_text(self, spans: list[tuple[int, int]]) -> ValueCell:
        """Text, but for a mark `not fitted` at either end."""
        for count in range(min(_JOINED, len(spans) - 1), 0, -1):
            last, first = spans[-count][0], spans[count - 1][1]
            if is_unfitted(self.text[last:]):
                return ValueCell(fitted=False, rest=self.text[: spans[-count - 1][1]])
            if is_unfitted(self.text[:first]):
                return ValueCell(fitted=False, rest=self.text[spans[count][0] :])
        return ValueCell(rest=self.text)
