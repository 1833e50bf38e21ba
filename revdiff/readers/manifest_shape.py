"""What a manifest may look like before it is parsed: its size, and how deep its keys and values are nested.

The parser takes quadratic time for a key of many parts and the stack for nested values, so both are bounded in the
text first, in one pass over its tokens (TOML 1.0: strings, comments, brackets, dots).
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

from revdiff.quantities.pattern import pattern

MAX_BYTES = 1024 * 1024
DEEPEST = 24  # tables and arrays in each other; a manifest has four
_LARGEST = 2**63  # of an integer in TOML 1.0
_TOKEN = pattern(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"""|\Z)|' + r"'''(?:[^']|'(?!''))*+(?:'''|\Z)"
    r'|"(?:[^"\\\n]|\\.)*+"?|' + r"'[^'\n]*+'?"
    r"""|\#[^\n]*+|[.,=\n\[\]{}]|[^"'\#.,=\n\[\]{}]++""",
    re.DOTALL,
)


class MisshapenManifest(ValueError):
    """A manifest that isn't parsed. ``line`` counts from 1."""

    def __init__(self, message: str, line: int) -> None:
        self.line = line
        super().__init__(message)


def parse_toml(data: bytes) -> dict[str, Any]:
    """The values of a manifest.

    Raises UnicodeDecodeError, MisshapenManifest for one that is too large or too deep, and ValueError for what is no
    TOML.
    """
    if len(data) > MAX_BYTES:
        raise MisshapenManifest(f"it has {len(data)} bytes, expected {MAX_BYTES} at most", 1)
    text = data.decode("utf-8-sig")
    _check_depth(text)
    try:
        parsed = tomllib.loads(text)
        _check_values(parsed, 0)
    except RecursionError:
        raise MisshapenManifest("values are nested too deep", 1) from None
    return parsed


def _check_depth(text: str) -> None:
    brackets = dots = 0
    line = 1
    for token in _TOKEN.finditer(text):
        sign = token[0]
        if sign == ".":
            dots += 1
        elif sign in ("[", "{"):
            brackets, dots = brackets + 1, 0
        elif sign in ("]", "}"):
            brackets, dots = max(brackets - 1, 0), 0
        elif sign in (",", "=", "\n"):
            dots = 0
        if brackets + dots > DEEPEST:
            raise MisshapenManifest(f"values are nested too deep, expected {DEEPEST} levels at most", line)
        line += sign.count("\n")


def _check_values(value: object, depth: int) -> None:
    if depth > DEEPEST:
        raise MisshapenManifest(f"values are nested too deep, expected {DEEPEST} levels at most", 1)
    if isinstance(value, dict):
        for item in value.values():
            _check_values(item, depth + 1)
    elif isinstance(value, list):
        for item in value:
            _check_values(item, depth + 1)
    elif isinstance(value, int) and not -_LARGEST <= value < _LARGEST:
        raise ValueError("a whole number is larger than 64 bits hold")
