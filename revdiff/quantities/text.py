"""Text as people type it, made comparable: blanks, invisible characters, look-alike signs, case."""

from __future__ import annotations

from functools import lru_cache

from revdiff.quantities.pattern import pattern

_CACHED_LENGTH = 256  # longer texts are rare and would make the cache hold a stranger's megabytes

# Unicode's Default_Ignorable_Code_Point set (UAX #44; from memory), the interlinear annotation marks, the
# control characters that are no blanks, and lone surrogates: nothing of this shows on paper or on a screen.
_HIDDEN = pattern(
    "[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f"
    "\u200b-\u200f\u202a-\u202e\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufffb"
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff\ud800-\udfff]"
)
_CONTROL_NAMES = {0x00: "NULL", 0x07: "BELL", 0x08: "BACKSPACE", 0x1B: "ESCAPE", 0x7F: "DELETE"}


def clean(text: str) -> str:
    """The text without outer blanks and invisible characters, inner runs of blanks as one space, in form NFC.

    The Greek mu becomes the micro sign and the ohm sign the Greek omega, so that each unit has one spelling.
    Case and everything visible stay.
    """
    if text.isascii() and text.isprintable() and "  " not in text and text[:1] != " " and text[-1:] != " ":
        return text
    return _clean_cached(text) if len(text) <= _CACHED_LENGTH else _clean(text)


def _clean(text: str) -> str:
    from unicodedata import normalize

    visible = normalize("NFC", _HIDDEN.sub("", text))
    return " ".join(visible.split()).replace("\u03bc", "\u00b5").replace("\u2126", "\u03a9")


_clean_cached = lru_cache(maxsize=8192)(_clean)


def fold(text: str) -> str:
    """The key under which two texts are equal: cleaned, without regard to case."""
    cleaned = clean(text)
    if cleaned.isascii():
        return cleaned.lower()
    return _fold_cached(cleaned) if len(cleaned) <= _CACHED_LENGTH else _fold(cleaned)


def _fold(cleaned: str) -> str:
    # Folding case can undo form NFC (a capital with a combining mark), so it is cleaned again.
    return clean(cleaned.casefold())


_fold_cached = lru_cache(maxsize=8192)(_fold)


def hidden(text: str) -> tuple[str, ...]:
    """The invisible characters in a text, each once, in order, as `U+200B ZERO WIDTH SPACE`."""
    if text.isascii() and text.isprintable():
        return ()
    from unicodedata import name

    def described(char: str) -> str:
        known = name(char, "") or _CONTROL_NAMES.get(ord(char), "CONTROL OR INVISIBLE CHARACTER")
        return f"U+{ord(char):04X} {known}"

    return tuple(map(described, dict.fromkeys(_HIDDEN.findall(text))))


def squeeze(text: str) -> str:
    """Only the letters and digits of the folded text, in any script: the key for column names and aliases."""
    folded = fold(text)
    return folded if folded.isalnum() else "".join(filter(str.isalnum, folded))


def as_number(text: str) -> int | str:
    """A whole number by its value (``0x48`` is ``72``), any other text folded: codes and bus addresses are compared so.

    Only digits, and ``0x``, ``0o``, ``0b`` before them, make a number.
    """
    try:
        return int(text.strip(), 0)
    except ValueError:
        return fold(text)
