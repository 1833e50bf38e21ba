"""What was not checked: missing tables and columns, and texts that could mean two things."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.stated import unknown_pairs
from revdiff.rules.contacts import is_supply
from revdiff.rules.finding import NotChecked
from revdiff.rules.firmware import needs_met
from revdiff.rules.firmware_faults import firmware_missing
from revdiff.rules.situation import Situation
from revdiff.rules.stack_missing import stacking_not_checked

_TABLES = {
    "parts": "parts, ratings and stock",
    "pins": "pins of controllers, and firmware against them",
    "connectors": "pitch, gender, size and position of connectors",
    "contacts": "signals, supplies and currents of connectors",
}


def missing_checks(situation: Situation) -> Iterator[NotChecked]:
    """Every check that the data did not allow, each with what would allow it."""
    yield from _tables(situation)
    yield from _supplies(situation)
    yield from _properties(situation)
    yield from _firmware(situation)
    yield from firmware_missing(situation)
    yield from stacking_not_checked(situation)
    yield from _stated(situation)
    for item in situation.comparison.unclear:
        if item.no_column:
            yield NotChecked(
                f"{item.board}: {item.field.replace('_', ' ')} of {item.subject}",
                f"the parts list {item.origin.file} of one of the two revisions has no such column",
                "the column in both",
            )
            continue
        yield NotChecked(
            f"{item.board} {item.subject}: {item.field.replace('_', ' ')}",
            f"{item.before!r} and {item.after!r} can mean the same or not",
            f"a text with one meaning at {item.origin}, or package_code / decimal in the manifest",
        )


def _tables(situation: Situation) -> Iterator[NotChecked]:
    for name, board in situation.new.boards.items():
        before = situation.old.boards.get(name)
        for table, what in _TABLES.items():
            sides = [
                label
                for item, label in ((before, situation.old_name), (board, situation.new_name))
                if item is not None and table not in item.tables
            ]
            if sides:
                yield NotChecked(
                    f"{name}: {what}",
                    f"no {table} table in {' and '.join(sides)}",
                    f"boards.{name}.{table} in revdiff.toml",
                )
    if not situation.new.joints:
        yield NotChecked("stacking", f"no joints are declared in {situation.new_name}", "[[joints]] in revdiff.toml")


def _stated(situation: Situation) -> Iterator[NotChecked]:
    """Parts of which the manifest says what they became, and which the old revision doesn't have."""
    for name, board in situation.new.boards.items():
        before = situation.old.boards.get(name)
        for one, two in (unknown_pairs(before, board) if before is not None else {}).items():
            yield NotChecked(
                f"{name}: whether {two} was {one}",
                f"{situation.old_name} has no {one}",
                f"the old designator of {two} in boards.{name}.renumbered",
            )


def _supplies(situation: Situation) -> Iterator[NotChecked]:
    """Supplies of joints that state no voltage, one line for each connector."""
    seen = set()
    for meeting in situation.meetings:
        for side in (meeting.a, meeting.b):
            unknown = [
                item.number
                for item in side.connector.contacts.values()
                if is_supply(item) and item.level.quantity is None
            ]
            place = f"{side.board.name}.{side.connector.name}"
            if unknown and place not in seen:
                seen.add(place)
                yield NotChecked(
                    f"supply voltage on {place}, contacts {', '.join(unknown)}",
                    "no level is stated, or none that is a voltage",
                    f"the column Level at {side.connector.origin.file}",
                )


def _properties(situation: Situation) -> Iterator[NotChecked]:
    """Mating connectors that state no pitch or no gender."""
    seen = set()
    for meeting in situation.meetings:
        for side in (meeting.a, meeting.b):
            missing = [name for name in ("pitch", "gender") if not getattr(side.connector, name)]
            place = f"{side.board.name}.{side.connector.name}"
            if missing and place not in seen and "connectors" in side.board.tables:
                seen.add(place)
                yield NotChecked(
                    f"{' and '.join(missing)} of {place}", "not stated", f"the columns of {side.connector.origin.file}"
                )


def _firmware(situation: Situation) -> Iterator[NotChecked]:
    if not situation.new.contracts and any(board.pins for board in situation.new.boards.values()):
        yield NotChecked(
            "released firmware on the new boards", "no firmware contract is declared", "[firmware.NAME] in revdiff.toml"
        )
    seen = set()
    for employment in situation.employments:
        contract = employment.contract
        if not contract.needs:
            yield NotChecked(employment.pairing, "the contract lists no needs", f"needs in firmware.{contract.key}")
            continue
        if not employment.board.pins:
            yield NotChecked(
                employment.pairing,
                f"{employment.label} has no pin map",
                f"boards.{contract.board}.pins in revdiff.toml",
            )
            continue
        loose = [need.signal.raw for need, _ in needs_met(employment) if not need.pin]
        if loose and contract.title not in seen:
            seen.add(contract.title)
            yield NotChecked(
                f"the pins that {contract.title} has as constants",
                f"{len(loose)} needs name no pin: {', '.join(loose[:4])}{' …' if len(loose) > 4 else ''}",
                "the column Pin of its needs",
            )
