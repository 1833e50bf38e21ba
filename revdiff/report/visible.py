"""Text from a stranger, made safe to look at: nothing that moves the cursor, hides or turns text round, and nothing
that the service which keeps the log of a run would obey."""

from __future__ import annotations

import unicodedata

from revdiff.quantities.pattern import pattern

# Bidirectional and zero-width characters make people read something else (CVE-2021-42574).
_HIDING = frozenset(
    "\u00ad\u061c\u180e\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"
)


# Log commands of CI services: two colons where a line starts, and two number signs with a word and a bracket anywhere.
# A blank may become a line's start where the text is wrapped. Common practice, no source.
_AT_A_START = pattern(r"(?:^|(?<=\s)):(?=:)")
_ANYWHERE = pattern(r"#(?=#[^\s\[]{0,80}\[)")


def visible(text: str) -> str:
    """The text on one line, with control and hiding characters written out as ``\\u202e``, and no log command in it."""
    if not (text.isascii() and text.isprintable()):
        text = "".join(_shown(character) for character in text)
    return unheeded(text) if "::" in text or "##" in text else text


def unheeded(text: str) -> str:
    """The text with a backslash inside each mark that would make it a log command of a CI service."""
    return _ANYWHERE.sub(r"#\\", _AT_A_START.sub(r":\\", text))


def _shown(character: str) -> str:
    if character in "\n\r\t\v\f\u2028\u2029\u0085":
        return " "
    category = unicodedata.category(character)
    if category in ("Cc", "Cs", "Co", "Cn") or character in _HIDING:
        code = ord(character)
        return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
    return " " if category == "Zs" else character
