"""Rules of parts that others rely on without a net of their own: what regulates a voltage, and what protects."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from revdiff.compare.part_changes import REPLACED, describe
from revdiff.design import Board, Part, PartData
from revdiff.judge.fact import Ask
from revdiff.judge.revisions import Revisions
from revdiff.judge.rule import ChangeRule, Item, Margin, holds
from revdiff.quantities.designator import compress, letters_of
from revdiff.quantities.pattern import pattern
from revdiff.quantities.quantity import Quantity, read_quantity, show

# What makes or holds a voltage, in the words of several languages (common practice, no source).
_MAKES = pattern(
    r"regul|regler|stabili|\bldo\b|régul|converter|wandler|buck|boost|dc[-/ ]?dc|referen[cz]|référence|zener"
)
# What protects. Class letters of IEEE 315-1975: F fuse, E spark gap; words: common practice, no source.
_PROTECTS = pattern(
    r"\btvs\b|\besd\b|transient|suppress|surge|varistor|\bmov\b|\bfuse|\bptc\b|polyfuse|crowbar|clamp|"
    r"free-?wheel|fly-?back diode|snubber|freilauf|roue libre|"
    r"sicherung|überspannung|fusible|parafoudre|protecci|reverse polarity|schutz|(?<!write )(?<!write-)\bprotect"
)
_FUSES = frozenset({"F"})
_FUSE = pattern(r"\bfuse|\bptc\b|polyfuse|sicherung|fusible")
_LETTERS = frozenset({"F", "E", "RV"})
_VOLTS = pattern(r"(?<![\w.,])([0-9]{1,3}(?:[.,][0-9]{1,3})?) ?v(?![\w])|(?<![\w.,])([0-9]{1,2})v([0-9]{1,2})(?![\w])")
# The end of an order number that says an output: LX-3.3, LX33, LX-5.0, LX50.
_ENDING = pattern(r"[0-9][.v]?[0-9]$")


def _words(data: PartData) -> str:
    return " ".join((data.value.raw, data.description.raw, data.part_number.raw)).lower()


def _volts(data: PartData) -> frozenset[Decimal]:
    """The voltages that value and description write out."""
    found = set()
    for plain, whole, tenths in _VOLTS.findall(f"{data.value.raw} {data.description.raw}".lower()):
        found.add(Decimal(plain.replace(",", ".") if plain else f"{whole}.{tenths}"))
    return frozenset(found)


def _makers(revisions: Revisions) -> Iterator[Item]:
    """Replaced parts that make a voltage, where both say which."""
    for change in revisions.of_kind(*REPLACED):
        old, new = (revisions.member(change.board, role) for role in ("old", "new"))
        alike: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for one, two in change.pairs:
            before, after = old.board.parts[one].data, new.board.parts[two].data
            if _MAKES.search(f"{_words(before)} {_words(after)}") and (said := _said(before, after)):
                alike.setdefault(said, []).append((one, two))
        for said, refs in alike.items():
            records = [(old, old.board.parts[one]) for one, _ in refs] + [
                (new, new.board.parts[two]) for _, two in refs
            ]
            subject = compress([two for _, two in refs])
            yield Item(subject, (change.board, subject), (old, new), tuple(records), said, changes=(change.id,))


def _said(before: PartData, after: PartData) -> tuple[str, str] | None:
    """What both say of their voltage: written out, else the ending in which their order numbers differ."""
    one, two = _volts(before), _volts(after)
    if one and two:
        return tuple(", ".join(show(Quantity(item, "V")) for item in sorted(found)) for found in (one, two))  # type: ignore[return-value]
    numbers = before.part_number.raw.strip(), after.part_number.raw.strip()
    stems = [item[: end.start()].rstrip("-_/ ") for item in numbers if (end := _ENDING.search(item.lower()))]
    return numbers if len(stems) == 2 and stems[0] == stems[1] != "" else None


def _output(_ask: Ask, item: Item) -> Margin | None:
    before, after = item.what
    message = f"what makes a voltage here says {after} now, and said {before}: check what it feeds"
    return holds(before == after, message, f"{before} → {after}")


def _guards(revisions: Revisions) -> Iterator[Item]:
    """Parts that protect, and were taken out of the list, are no longer placed, or became something else."""
    for change in revisions.of_kind("part.removed", "part.fitted", *REPLACED):
        if not {change.board} <= revisions.old.boards.keys() & revisions.new.boards.keys():
            continue
        old, new = (revisions.member(change.board, role) for role in ("old", "new"))
        for one, two in change.pairs:
            before = old.board.parts.get(one)
            after = new.board.parts.get(two) if change.kind != "part.removed" else None
            if before is not None and _protects(before, old.board) and before.data.fitted.meaning is not False:
                records = ((old, before), *(((new, after),) if after is not None else ()))
                what = (before, after, new.board)
                yield Item(one, (change.board, one), (old, new), records, what, changes=(change.id,))


def _protects(part: Part, board: Board) -> bool:
    """By its letters or words, or since the manifest says that it keeps a rail from being fed backwards."""
    value = part.data.value.quantity
    if value is not None and value.unit == "Ω" and not value.magnitude:
        return False
    blocking = {ref for ref in board.sections.blocking.values() if ref}
    return part.ref in blocking or letters_of(part.ref) in _LETTERS or bool(_PROTECTS.search(_words(part.data)))


def _gone(_ask: Ask, item: Item) -> Margin | None:
    before, after, board = item.what
    if after is None or after.data.fitted.meaning is False:
        message = f"{describe(before.data)} protected something here, and is no longer placed"
        return holds(False, message, "1 placed → 0")
    message = f"{describe(before.data)} protected something here; {describe(after.data)}, which took its place, may not"
    return holds(_protects(after, board), message, f"{describe(before.data)} → {describe(after.data)}")


def _fuses(revisions: Revisions) -> Iterator[Item]:
    """Replaced fuses of which both revisions say at how many amperes they open."""
    for change in revisions.of_kind(*REPLACED):
        old, new = (revisions.member(change.board, role) for role in ("old", "new"))
        for one, two in change.pairs:
            before, after = old.board.parts[one], new.board.parts[two]
            opens = _opens(before), _opens(after)
            if None not in opens:
                records = ((old, before), (new, after))
                yield Item(two, (change.board, two), (old, new), records, opens, changes=(change.id,))


def _opens(part: Part) -> Decimal | None:
    """A, of a fuse: in its value, else in its current."""
    if letters_of(part.ref) not in _FUSES and not _FUSE.search(_words(part.data)):
        return None
    first = part.data.value.raw.partition(" ")[0]  # 0.5 A resettable; 2A slow
    written = read_quantity(" ".join(part.data.value.raw.split()[:2]), "A") or read_quantity(first, "A")
    found = (part.data.value.quantity, written, part.data.current.quantity)
    return next((item.magnitude for item in found if item is not None and item.unit == "A"), None)


def _lets_through(_ask: Ask, item: Item) -> Margin | None:
    before, after = item.what
    shown = [show(Quantity(amps, "A")) for amps in (before, after)]
    message = f"the fuse opens at {shown[1]}, and opened at {shown[0]}: wires, contacts and tracks behind it see more"
    return Margin(before - after, message, f"{shown[0]} → {shown[1]}", shown[0])


RULES = (
    ChangeRule(
        name="part-fuse-raised",
        title="A fuse lets more through than before",
        audience="assembly",
        step="minor",
        over=_fuses,
        margin=_lets_through,
        danger="caution",
        needs=("Value or Current of the parts list",),
        why="A fuse protects the wiring behind it. What was chosen for the old one gets hot before the new one opens.",
        how="The amperes in Value or Current of parts with the class letter of fuses (IEEE 315-1975), or called one.",
        remedy="Check wires, contacts and tracks behind it against the new fuse, by the code that applies.",
        witness="A fuse of 20 A for the one of 10 A: the 8 A contacts of the battery connector burn first.",
    ),
    ChangeRule(
        name="part-output-voltage",
        title="A regulator, converter or reference says another voltage",
        audience="assembly",
        step="minor",
        over=_makers,
        margin=_output,
        danger="caution",
        needs=("Value, Description or Part number of the parts list",),
        why="A fixed regulator of another voltage sits on the same pads: everything behind it gets that voltage.",
        how="Of replaced parts that are called regulator, converter or reference: the voltages that value and "
        "description write out, else the ending in which two order numbers alone differ.",
        remedy="Check what the part feeds against the new voltage, and say it in the release notes.",
        witness="A regulator of 3.3 V became the one of 5 V, and the controller behind it stands 3.6 V.",
    ),
    ChangeRule(
        name="part-protection-removed",
        title="A part that protects is no longer placed, or another kind of part",
        audience="assembly",
        step="minor",
        over=_guards,
        margin=_gone,
        danger="caution",
        needs=("Designator, Value and Description of the parts list",),
        why="The board works without it until the surge, the short circuit or the turned plug that it was there for.",
        how="Class letters of fuses, spark gaps and varistors, the trade's words for what protects, and what "
        "boards.NAME.blocking names, among the parts that were taken out, are no longer fitted, or were replaced by "
        "one that none of this says of.",
        remedy="Confirm that the line is protected otherwise; take out nothing that a standard or approval asks for.",
        witness="The suppressor at the battery input was left out, and the first load dump destroys the regulator.",
    ),
)
