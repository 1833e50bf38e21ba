"""Text from a stranger, made safe to look at: nothing that moves the cursor, hides or turns text round."""

from __future__ import annotations

import unicodedata

# Bidirectional and zero-width characters make people read something else (CVE-2021-42574).
_HIDING = frozenset(
    "\u00ad\u061c\u180e\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"
)


def visible(text: str) -> str:
    """The text on one line, with control and hiding characters written out as ``\\u202e``."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character in "\n\r\t\v\f\u2028\u2029\u0085":
        return " "
    category = unicodedata.category(character)
    if category in ("Cc", "Cs", "Co", "Cn") or character in _HIDING:
        code = ord(character)
        return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
    return " " if category == "Zs" else character
