"""Whether the joints between two boards can be put together at once: one rigid placement of board on board."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

from msgspec import Struct

from revdiff.design import Connector, Reading


class Placement(Struct, frozen=True):
    """How the second board lies on the first: turned by ``angle`` degrees, ``mirrored`` where it is upside down.

    ``misfits``: for each joint, in their order, how far (m) its two connectors are apart.
    """

    angle: float
    mirrored: bool
    misfits: tuple[float, ...]

    @property
    def worst(self) -> float:
        """The largest misfit, m."""
        return max(self.misfits)


def position(connector: Connector) -> complex | None:
    """X + iY of a connector, m; None where it isn't stated."""
    x, y = connector.x.quantity, connector.y.quantity
    return complex(float(x.magnitude), float(y.magnitude)) if x is not None and y is not None else None


def place(pairs: Sequence[tuple[Connector, Connector]]) -> Placement | None:
    """The rigid placement that joins the connectors of each pair best; None where a position isn't stated.

    The turn minimises the squared distances (rigid least squares in the plane, Kabsch 1976, from memory, here in
    complex numbers). Board on board is tried first, face to face (mirrored) only where that fits better by far.
    With one joint only the rotations of its connectors say how the board is turned.
    """
    points = [(position(a), position(b)) for a, b in pairs]
    known = [(one, two) for one, two in points if one is not None and two is not None]
    if not known or len(known) < len(points):
        return None
    if len(known) == 1:
        return Placement(_turn(*pairs[0]), False, (0.0,))
    plain, mirrored = _fit(known, mirrored=False), _fit(known, mirrored=True)
    return mirrored if len(known) > 2 and mirrored.worst * 10 < plain.worst else plain


def _fit(points: Sequence[tuple[complex, complex]], *, mirrored: bool) -> Placement:
    ones = [one.conjugate() if mirrored else one for one, _ in points]
    twos = [two for _, two in points]
    centre_one, centre_two = sum(ones) / len(ones), sum(twos) / len(twos)
    cross = sum((two - centre_two) * (one - centre_one).conjugate() for one, two in zip(ones, twos, strict=True))
    turn = cross / abs(cross) if abs(cross) > 1e-15 else complex(1)
    misfits = tuple(abs(turn * (one - centre_one) - (two - centre_two)) for one, two in zip(ones, twos, strict=True))
    return Placement(math.degrees(cmath.phase(turn)), mirrored, misfits)


def _turn(a: Connector, b: Connector) -> float:
    return _degrees(b.rotation) - _degrees(a.rotation)


def _degrees(reading: Reading) -> float:
    return float(reading.quantity.magnitude) if reading.quantity is not None else 0.0


def turn(a: Connector, b: Connector, placement: Placement | None) -> int | None:
    """By how many degrees, 0 to 359, two connectors are turned against each other in a placement; None: can't be told.

    Seen from below, as a mirrored board is, b turns the other way.
    """
    if placement is None or a.rotation.quantity is None or b.rotation.quantity is None:
        return None
    way = -1 if placement.mirrored else 1
    return round(_degrees(b.rotation) - way * _degrees(a.rotation) - placement.angle) % 360
