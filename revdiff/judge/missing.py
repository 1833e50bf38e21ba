"""What no rule could ask about: missing tables and contracts, and texts that could mean two things."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from revdiff.compare.stated import unknown_pairs
from revdiff.judge.arrangement import Member
from revdiff.judge.effects import effects
from revdiff.judge.finding import Audience, NotChecked
from revdiff.judge.programs import releases
from revdiff.judge.revisions import Revisions
from revdiff.quantities.designator import natural_key

_BUILT: tuple[Audience, ...] = ("assembly", "buying")
_RUN: tuple[Audience, ...] = ("firmware",)
_STACKED: tuple[Audience, ...] = ("stacking",)
# table -> what can't be judged without it, and who is told of that
_TABLES: dict[str, tuple[str, tuple[Audience, ...]]] = {
    "parts": ("parts, ratings and stock", _BUILT),
    "pins": ("pins of controllers, and firmware against them", (*_RUN, *_STACKED)),
    "connectors": ("pitch, gender, size and position of connectors", _STACKED),
    "contacts": ("signals, supplies and currents of connectors", _STACKED),
}


def missing(revisions: Revisions) -> Iterator[NotChecked]:
    """Of a change, each with what would allow the check."""
    old, new = revisions.old, revisions.new
    for name in new.boards:
        yield from _tables(name, revisions.both(name))
    if not new.joints:
        why = f"no joints are declared in {revisions.new_name}"
        yield NotChecked("stacking", why, "[[joints]] in revdiff.toml", _STACKED)
    if not new.contracts and any(board.pins for board in new.boards.values()):
        yield NotChecked(
            "released firmware on the new boards",
            "no firmware contract is declared",
            "[firmware.NAME] in revdiff.toml",
            _RUN,
        )
    held = ((old, revisions.old_name), (new, revisions.new_name))
    yield from _firmware(Member(design, design.boards[name], label) for design, label in held for name in design.boards)
    yield from _recognition(revisions)
    yield from _stated(revisions)
    yield from effects(revisions)
    yield from _left_out(revisions)
    readers = _readers(revisions) if revisions.comparison.unclear else {}
    for item in revisions.comparison.unclear:
        if item.no_column:
            yield NotChecked(
                f"{item.board}: {item.field.replace('_', ' ')} of {item.subject}",
                f"the table {item.origin.file} of one of the two revisions has no such column",
                "the column in both",
                readers.get(item.origin.file, ()),
            )
            continue
        one = "yes or no" if item.field == "fitted" else "a text with one meaning"
        beside = "" if item.field == "fitted" else ", or package_code / decimal in the manifest"
        yield NotChecked(
            f"{item.board} {item.subject}: {item.field.replace('_', ' ')}",
            f"{item.before!r} and {item.after!r} can mean the same or not",
            f"{one} at {item.origin}{beside}",
            readers.get(item.origin.file, ()),
        )


def _readers(revisions: Revisions) -> dict[str, tuple[Audience, ...]]:
    """File -> who reads it, of parts lists and pin maps; a file that isn't there, or is both, is for everybody."""
    boards = [board for design in (revisions.old, revisions.new) for board in design.boards.values()]
    parts = {part.origin.file for board in boards for part in board.parts.values()}
    pins = {pin.origin.file for board in boards for pin in board.pins.values()}
    return dict.fromkeys(parts - pins, _BUILT) | dict.fromkeys(pins - parts, _RUN)


def _recognition(revisions: Revisions) -> Iterator[NotChecked]:
    """Boards that firmware sees changed, and of which nothing says how software tells the revisions apart."""
    for name in sorted({item.board for item in revisions.new.contracts.values()} & set(revisions.old.boards)):
        said = any(item.recognises for item in revisions.new.contracts.values() if item.board == name)
        touched = any(name in item.boards and item.group == "firmware" for item in revisions.changes)
        if touched and not said and name not in revisions.new.sections.identities:
            yield NotChecked(
                f"how software tells {name}@{revisions.new_name} from {name}@{revisions.old_name}",
                "neither the manifest nor a firmware contract says it",
                f"[identity.{name}] or recognises in [firmware.NAME] in revdiff.toml",
                _RUN,
            )


def _stated(revisions: Revisions) -> Iterator[NotChecked]:
    """Parts of which the manifest says what they became, and which the old revision doesn't have."""
    for name, board in revisions.new.boards.items():
        before = revisions.old.boards.get(name)
        for one, two in (unknown_pairs(before, board) if before is not None else {}).items():
            yield NotChecked(
                f"{name}: whether {two} was {one}",
                f"{revisions.old_name} has no {one}",
                f"the old designator of {two} in boards.{name}.renumbered",
                _BUILT,
            )


def _left_out(revisions: Revisions) -> Iterator[NotChecked]:
    """Numbers of a source that changed and could be pins; tables of a document beside the one that was read."""
    for name, board in revisions.new.boards.items():
        before = revisions.old.boards.get(name)
        for key, pin in board.numbers.items() if before is not None else ():
            old = before.numbers.get(key) if before is not None else None
            if old is not None and old.number != pin.number:
                yield NotChecked(
                    f"{name}: {pin.signal.raw}",
                    f"it was {old.number} and is {pin.number} at {pin.origin}, and could be a pin",
                    "the word PIN or GPIO in its name, or a table of the pins",
                    _RUN,
                )
    unread = {
        item.origin.file.partition("#")[0]: item
        for design in (revisions.old, revisions.new)
        for item in design.diagnostics
        if item.code in ("several-tables", "several-worksheets")
    }
    for file, item in unread.items():
        yield NotChecked(f"{file}: its other tables", item.message, "the name of each in the manifest")


def missing_of(members: Iterable[Member]) -> Iterator[NotChecked]:
    """Of boards as they are."""
    found = sorted(members, key=lambda item: natural_key(item.name))
    for item in found:
        yield from _tables(item.name, (item,))
    yield from _firmware(found)


def _tables(board: str, members: Iterable[Member]) -> Iterator[NotChecked]:
    """``members``: the revisions of the board."""
    for table, (what, audiences) in _TABLES.items():
        sides = [item.revision for item in members if table not in item.board.tables]
        if sides:
            where = f"no {table} table in {' and '.join(sides)}"
            yield NotChecked(f"{board}: {what}", where, f"boards.{board}.{table} in revdiff.toml", audiences)


def _firmware(members: Iterable[Member]) -> Iterator[NotChecked]:
    """Releases of which the needs, or the pins of their board, are not listed."""
    seen = set()
    for member in members:
        for item in releases(member.design, member.board.name, member.revision):
            title = item.contract.title
            if title in seen:
                continue
            seen.add(title)
            if not item.contract.needs:
                why, needs = "the contract lists no needs", f"needs in firmware.{item.key}"
            elif not member.board.pins:
                why = f"{member.board.name}@{member.revision} has no pin map"
                needs = f"boards.{member.board.name}.pins in revdiff.toml"
            elif item.stands_in:
                why = "no firmware contract lists it; the pin map that it was built for stood in"
                needs = "needs in [firmware.NAME] in revdiff.toml"
            else:
                continue
            yield NotChecked(f"what {title} really relies on", why, needs, _RUN)
