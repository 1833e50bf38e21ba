"""Preferred numbers of IEC 60063:2015."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from revdiff.quantities.quantity import Quantity, plain_decimal

_E24: Final = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
# round(100 · 10^(n/192)), with the one exception of the standard: place 185 comes to 919, the standard
# lists 920.
_E192: Final = tuple(920 if n == 185 else round(100 * 10 ** (n / 192)) for n in range(192))

#: The values of each series over one decade: two figures up to E24, three above.
SERIES: Final[Mapping[str, tuple[int, ...]]] = MappingProxyType(
    {
        "E3": _E24[::8],
        "E6": _E24[::4],
        "E12": _E24[::2],
        "E24": _E24,
        "E48": _E192[::4],
        "E96": _E192[::2],
        "E192": _E192,
    }
)


def in_series(q: Quantity, series: str) -> bool:
    """Whether the value is a preferred number of the series. Raises ValueError for an unknown series."""
    values = _values(series)
    if not q.magnitude.is_finite() or q.magnitude <= 0:
        return False
    figures, _ = _figures(q.magnitude)
    width = len(str(values[0]))
    return len(str(figures)) <= width and int(str(figures).ljust(width, "0")) in values


def series_of(q: Quantity) -> tuple[str, ...]:
    """Every series that holds the value, the coarsest first."""
    return tuple(series for series in SERIES if in_series(q, series))


def nearest(q: Quantity, series: str) -> Quantity:
    """The preferred number nearest by ratio; of two equally near the lower.

    Raises ValueError for an unknown series, and for a value that isn't above zero.
    """
    values = _values(series)
    if not q.magnitude.is_finite() or q.magnitude <= 0:
        raise ValueError(f"found {q.magnitude}; expected a value above zero")
    figures, power = _figures(q.magnitude)
    # All in whole numbers: the value as figures · 10^power, the series scaled to the same power.
    spare = max(0, len(str(values[0])) - len(str(figures)))
    figures, power = figures * 10**spare, power - spare
    scale = 10 ** (len(str(figures)) - len(str(values[0])))
    candidates = [value * scale for value in values] + [values[0] * scale * 10]
    below = max(candidate for candidate in candidates if candidate <= figures)
    above = min(candidate for candidate in candidates if candidate >= figures)
    chosen = below if figures * figures <= below * above else above
    return Quantity(plain_decimal(Decimal(f"{chosen}e{power}")), q.unit)


def _values(series: str) -> tuple[int, ...]:
    if series not in SERIES:
        raise ValueError(f"found series {series!r}; expected one of {', '.join(SERIES)}")
    return SERIES[series]


def _figures(magnitude: Decimal) -> tuple[int, int]:
    """A positive value as whole figures without trailing zeros, and a power of ten."""
    _, digits, exponent = magnitude.as_tuple()
    text = "".join(map(str, digits))
    figures = text.rstrip("0")
    return int(figures), int(exponent) + len(text) - len(figures)
