"""Names of a controller's ports, as makers write them (common practice, no source)."""

from __future__ import annotations

import re

from revdiff.quantities.pattern import pattern

# Without ASCII a long s would match as a letter of its own.
_LETTERED = pattern(r"P([A-Z])[_.]?([0-9]{1,2})", re.IGNORECASE | re.ASCII)
_NUMBERED = pattern(r"P?([0-9])[_.]([0-9]{1,2})", re.IGNORECASE | re.ASCII)
_FLAT = pattern(r"(?:GPIO|IO|GP)_?([0-9]{1,2})", re.IGNORECASE | re.ASCII)


def port_line(port: str) -> tuple[str, int] | None:
    """(bank, line) of a port: ``PB2`` is line 2 of ``b``, ``GPIO5`` line 5 of ``0``; None for other names."""
    port = port.strip()
    for shape in (_LETTERED, _NUMBERED):
        if found := shape.fullmatch(port):
            return found[1].lower(), int(found[2])
    found = _FLAT.fullmatch(port)
    return ("0", int(found[1])) if found else None
