"""Whether a board of the old revision can become one of the new by work on its parts alone, and that work in order.

Pads and tracks stay as they are: whatever asks for other ones asks for a new printed circuit board. Wires that somebody
solders over a board are not thought of. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from msgspec import Struct

from revdiff.compare.change import Change
from revdiff.quantities.designator import natural_key
from revdiff.release.review import Review

Work = Literal["remove", "exchange", "fit"]
ORDER: Final[tuple[Work, ...]] = ("remove", "exchange", "fit")
# Kinds of change that need other pads, tracks or places, and what a person calls that.
_TRACKS: Final = {
    "contact.added": "contacts came",
    "contact.removed": "contacts went",
    "contact.moved": "contacts moved",
    "contact.swapped": "contacts trade places",
    "contact.signal": "contacts carry other signals",
    "connector.added": "connectors came",
    "connector.removed": "connectors went",
    "connector.split": "connectors were split",
    "connector.merged": "connectors were merged",
    "connector.count": "connectors have another number of contacts",
    "connector.pitch": "connectors have another pitch",
    "connector.gender": "connectors are of the other gender",
    "connector.position": "connectors are at another place",
    "connector.numbering": "connectors are numbered or keyed otherwise",
    "pin.controller": "a controller was replaced by another part",
    "pin.added": "pins of a controller are newly connected",
    "pin.removed": "pins of a controller are no longer connected",
    "pin.moved": "signals moved to other pins",
    "pin.swapped": "signals trade pins",
    "pin.signal": "pins carry other signals",
    "part.added": "parts came that the old board has no pads for",
}
_EXCHANGED: Final = ("part.value", "part.rating", "part.package")
_PCB_KEYS: Final = ("pcb", "pcb number", "pcb_number", "board number", "board_number")


class Step(Struct, frozen=True):
    """One kind of work at ``where`` (designators of the new revision), from one part to another."""

    work: Work
    where: tuple[str, ...]
    before: str
    after: str


class Rework(Struct, frozen=True):
    """``steps``: in the order to be done; ``needs``: (why a new board is needed, what is concerned)."""

    board: str
    before: str
    after: str
    steps: tuple[Step, ...]
    needs: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def possible(self) -> bool:
        """Whether work on parts is enough."""
        return not self.needs


def reworks(review: Review) -> tuple[Rework, ...]:
    """One for each board that both revisions have and whose parts, pins, contacts or connectors changed."""
    old, new = review.comparison.old, review.comparison.new
    found = []
    for name, board in new.boards.items():
        if name not in old.boards:
            continue
        changes = [item for item in review.changes if name in item.boards]
        steps, needs = _steps(changes), _needs(changes, name)
        if steps or needs:
            found.append(Rework(name, old.boards[name].revision, board.revision, steps, needs))
    return tuple(found)


def _needs(changes: list[Change], board: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    needs: dict[str, list[str]] = {}
    for item in changes:
        if item.kind in _TRACKS:
            needs.setdefault(_TRACKS[item.kind], []).append(item.subject)
        elif item.kind in _EXCHANGED and _other_pads(item):
            needs.setdefault("parts have another package", []).append(item.subject)
        elif item.kind == "design.field" and item.subject.removeprefix(f"{board}.").casefold() in _PCB_KEYS:
            needs.setdefault("the printed circuit board has another number", []).append(item.after)
    return tuple((why, tuple(what)) for why, what in needs.items())


def _other_pads(change: Change) -> bool:
    field = change.field("package")
    return field is not None and field.before != field.after and bool(field.before.raw or field.after.raw)


def _steps(changes: list[Change]) -> tuple[Step, ...]:
    found = [step for item in changes if item.kind.startswith("part.") for step in _step(item)]
    return tuple(sorted(found, key=lambda item: (ORDER.index(item.work), natural_key(item.where[0]))))


def _step(change: Change) -> Iterator[Step]:
    where = tuple(new or old for old, new in change.pairs) or (change.subject,)
    fitted = change.field("fitted")
    if change.kind == "part.removed":
        yield Step("remove", where, change.before, "")
    elif change.kind == "part.added":
        yield Step("fit", where, "", change.after)
    elif change.kind == "part.fitted" and fitted is not None:
        work: Work = "fit" if fitted.after.meaning is not False else "remove"
        yield Step(work, where, change.before, change.after)
    elif change.kind in _EXCHANGED:
        yield Step("exchange", where, change.before, change.after)
