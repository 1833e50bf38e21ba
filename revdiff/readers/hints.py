"""What else a survey lets be guessed of a board: its printed revision, the controller that a pin map is of."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePosixPath
from types import MappingProxyType

from msgspec import Struct

from revdiff.design import Part, Pin
from revdiff.quantities.designator import natural_key
from revdiff.quantities.pattern import pattern
from revdiff.readers.faults import counted

# Words before a revision in the lines above a table, in a folder's or a file's name (common practice, no source).
_STATED = pattern(
    r"(?i)\b(?:rev(?:ision)?|ver(?:sion)?|issue|stand|ausgabe|indice)\b[ .:#=-]{0,3}"
    r"([a-z][0-9]{0,2}|v?[0-9]{1,3}(?:\.[0-9]{1,3}){0,2})(?![\w.])"
)
_NAMED = pattern(r"(?i)(?:^|[-_ .])((?:rev|v)[-_ .]?[0-9]{1,3}(?:\.[0-9]{1,3}){0,2}|rev[-_ .]?[a-z])(?=$|[-_ .])")
_FEW = 8
_LONGEST = 200  # characters of a line that may state a revision
_CONTROLLER = pattern(r"(?i)\b(?:micro-?controller|controller|mcu|soc|processor|cpu|fpga|module)\b")
_DEVICES = pattern(r"(?:U|IC|M|MOD)[0-9]{1,4}[A-Z]?")
# Packages of integrated circuits whose names end in the number of their terminals (JEDEC families; no single source).
_PACKAGE = pattern(r"(?i)(?:qfp|qfn|dfn|son|bga|csp|soic|sop|dip|lcc|lga)[-_ ]?([0-9]{1,4})(?![0-9])")
_SMALL = pattern(r"(?i)^(?:[\w-]{0,30}[_:])?(?:sot|sc|to|dpak|d2pak)[-_ ]?[0-9]")  # of eight terminals at most
_COUNTED = pattern(r"(?i)\b([0-9]{2,4})[- ]?pins?\b")
_SHARED = 3  # signals that a pin map and a part must share to be of one controller


class Guess(Struct, frozen=True):
    """``found``: empty where nothing can be told. ``why``: by what, or between what somebody has to choose."""

    found: str
    why: str


def stated_revision(lines: Iterable[Sequence[str]]) -> str:
    """The revision that the lines above a table state; empty where they state none."""
    for cells in lines:
        found = _STATED.search(" ".join(filter(None, map(str.strip, cells)))[:_LONGEST])
        if found is not None:
            return found[1]
    return ""


def printed_revision(paths: Mapping[str, str]) -> Guess:
    """``paths``: of a board's tables, each with the revision that its own lines state, or empty."""
    stated: dict[str, str] = {}
    for path, revision in paths.items():
        named = [found[1] for part in reversed(PurePosixPath(path).parts) for found in _NAMED.finditer(_bare(part))]
        for text in (revision, *named[:1]):
            if text:
                stated.setdefault(text, path)
                break
    if len(stated) == 1:
        (found, path), *_ = stated.items()
        return Guess(found, f"by {path}; as printed on the board")
    told = ", ".join(f"{text} by {path}" for text, path in stated.items())
    return Guess("", f"as printed on the board: {told}" if told else "as printed on the board")


def controller_of(
    pins: Mapping[object, Pin], parts: Mapping[str, Part], nets: Mapping[str, frozenset[str]] = MappingProxyType({})
) -> Guess:
    """The part that a pin map without a device is of: by its signals, where ``nets`` has the folded nets at each part;
    else by words of the parts list and the number of its terminals.
    """
    shared = _sharing({pin.signal.word for pin in pins.values() if pin.signal}, nets)
    if shared is not None:
        return shared
    candidates = {ref: part for ref, part in parts.items() if _DEVICES.fullmatch(ref)}
    if not candidates:
        return Guess("", "")
    numbers = [int(pin.number) for pin in pins.values() if pin.number.isdecimal()]
    scores: dict[str, int] = {}
    reasons: dict[str, str] = {}
    for ref, part in candidates.items():
        text = " ".join(item.raw for item in (part.data.value, part.data.description, part.data.part_number))
        terminals = _terminals(f"{part.data.package.raw} {text}")
        if terminals and numbers and (terminals < max(numbers) or terminals < len(pins)):
            continue  # it has fewer pins than the map
        if _SMALL.match(part.data.package.raw) and len(pins) > _FEW:
            continue
        word = _CONTROLLER.search(text)
        scores[ref] = 2 * bool(word) + (2 if terminals and terminals in (len(pins), max(numbers, default=0)) else 0)
        why = [f"the parts list calls it {word[0]}"] if word else []
        why += [f"it has {counted(terminals, 'terminal')}"] if terminals and scores[ref] != 2 * bool(word) else []
        reasons[ref] = " and ".join(why)
    best = max(scores.values(), default=0)
    named = [ref for ref, score in scores.items() if score == best]
    if len(named) == 1:
        return Guess(named[0], reasons[named[0]] or "no other part could have these pins")
    among = sorted(named or candidates, key=natural_key)
    return Guess("", f"which of {', '.join(among[:6])}{' ...' if len(among) > 6 else ''} has these pins?")


def _sharing(signals: set[str], nets: Mapping[str, frozenset[str]]) -> Guess | None:
    """The one part that has most of these signals, and at least twice as many as any other; None where none has."""
    shared = [(len(signals & found), ref) for ref, found in nets.items() if _DEVICES.fullmatch(ref)]
    first, second = (*sorted(shared, reverse=True)[:2], (0, ""), (0, ""))[:2]
    if first[0] < max(_SHARED, len(signals) / 2) or first[0] < 2 * second[0]:
        return None
    return Guess(first[1], f"{first[0]} of the {len(signals)} signals are on its nets")


def _terminals(text: str) -> int:
    found = _PACKAGE.search(text) or _COUNTED.search(text)
    return int(found[1]) if found is not None else 0


def _bare(part: str) -> str:
    """A folder's or file's name without the ending of a table."""
    return re.sub(r"(?i)\.(?:csv|tsv|tab|txt|xlsx|xlsm|md|markdown|h|hpp)$", "", part)
