"""Whether a revision ever left the house: ``shipped = true`` or ``false`` in ``[boards.NAME]``; severity follows it.

Whoever holds an old board can be hurt by a break; a revision that nobody holds can break nothing for others. A hazard
stays a hazard: it burns hardware in the house, too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from revdiff.rules.finding import Finding, Party
from revdiff.rules.situation import Situation


def by_exposure(findings: Iterable[Finding], situation: Situation) -> Iterator[Finding]:
    """Each break with what is known of the old boards in its pairing; one step down where none ever left the house."""
    stated = {name: board.sections.shipped for name, board in situation.old.boards.items()}
    for item in findings:
        boards = _old_boards(item.parties, situation)
        known = {name: stated.get(name) for name in boards}
        if item.severity != "break" or not known or None in known.values():
            yield item
            continue
        names = ", ".join(f"{name}@{situation.old_name}" for name in boards)
        if any(known.values()):
            out = ", ".join(f"{name}@{situation.old_name}" for name, given in known.items() if given)
            yield replace(item, message=f"{item.message}; {out} was shipped")
        elif item.hazard:
            yield replace(item, message=f"{item.message}; {names} was never shipped")
        else:
            yield replace(item, severity="caution", message=f"{item.message}; {names} was never shipped")


def _old_boards(parties: tuple[Party, ...], situation: Situation) -> tuple[str, ...]:
    """The boards of a pairing that are there in their old revision, or for whose old revision the firmware was made."""
    boards = [party for party in parties if not party.firmware and party.name in situation.old.boards]
    old = [party.name for party in boards if party.role != "new"]
    return tuple(dict.fromkeys(old or [party.name for party in boards]))
