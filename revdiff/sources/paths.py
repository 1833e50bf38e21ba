"""Paths inside a design, and names of strangers shown safely."""

from __future__ import annotations

from revdiff.errors import DataFault
from revdiff.quantities.pattern import pattern

# Python 3.12 and later take any character for the name of a drive on Windows, earlier ones a letter.
_DRIVE = pattern(r"(?:\.?/)*.:")
_SHOWN = 200


def inside(path: str) -> str:
    """Normalise a design-relative path: 'a/b.csv' from './a//b.csv'.

    Raises DataFault for a path that could lead outside the design on any system: absolute, with a drive, a
    backslash, '..', a control or undecodable character, into git's own folder, or empty.
    """
    fault = _fault(path)
    parts = [part for part in path.split("/") if part not in ("", ".")]
    if fault is None and not parts:
        fault = "it is empty"
    if fault is not None:
        raise DataFault(f"{shown(path)} isn't a path inside the design: {fault}")
    return "/".join(parts)


def _fault(path: str) -> str | None:
    if "\\" in path:
        return "a backslash doesn't separate folders here; write '/'"
    if path.startswith("/"):
        return "it is absolute; paths start at the design's root"
    if _DRIVE.match(path):
        return "it names a drive; paths start at the design's root"
    if any(ord(character) < 32 or ord(character) == 127 for character in path):
        return "it holds a control character"
    if any("\ud800" <= character <= "\udfff" for character in path):
        return "it holds bytes that aren't UTF-8"
    parts = [part.casefold() for part in path.split("/")]
    if ".." in parts:
        return "'..' leads out of it"
    # GIT~1 is the short name that Windows gives a .git folder. Git's own settings can hold passwords.
    if ".git" in parts or "git~1" in parts:
        return "git's own folder is no part of a design"
    return None


def join(folder: str, path: str) -> str:
    """Put a normalised path below a normalised folder, '' being the root."""
    return f"{folder}/{path}" if folder else path


def below(folder: str, path: str) -> str | None:
    """Give a path relative to a folder, '' being the root, or None if it isn't below it."""
    if not folder:
        return path
    return path.removeprefix(folder + "/") if path.startswith(folder + "/") else None


def hidden(path: str) -> bool:
    """Tell whether a file lies in a folder whose name starts with a dot."""
    return any(part.startswith(".") for part in path.split("/")[:-1])


def printable(name: str) -> str:
    """Replace the bytes of a file name that aren't UTF-8, which can't be written anywhere, by `\\xNN`."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")


def shown(text: str) -> str:
    """Quote a stranger's text for one line of a message: cut to 200 characters, nothing invisible in it."""
    cut = text[:_SHOWN] + ("…" if len(text) > _SHOWN else "")
    escaped = (
        character if character.isprintable() else character.encode("unicode_escape").decode("ascii")
        for character in cut
    )
    return f"'{''.join(escaped)}'"
