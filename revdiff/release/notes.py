"""The draft of the release notes, in Markdown.

The order is the one that readers of published hardware notes find their answers in first: which board, what
it means to me, what is dangerous, what fits what; then pins, contacts, parts; then every change; then what was
not checked. What only a person can know is a visible blank.
"""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.compare.change import Change
from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.compare.records import shown
from revdiff.judge.waivers import waiver_lines
from revdiff.quantities.designator import natural_key
from revdiff.release.clear import no_hazard, what_fits
from revdiff.release.markdown import escape, table
from revdiff.release.review import Review
from revdiff.release.scope import nothing_changed
from revdiff.release.stock import stock_rows
from revdiff.release.verdicts import counted, findings_by_pairing, is_alone, verdicts
from revdiff.release.words import CAUTIONS, GROUP_TITLES
from revdiff.sources import Identity

BLANK = "**[to be filled in: {}]**"
_REASON = "**[why?]**"


def release_notes(review: Review) -> str:
    """The whole draft; ends with a line end."""
    lines: list[str] = []
    for section in (
        _identity(review),
        _verdicts(review),
        _safety(review),
        _compatibility(review),
        _pins(review),
        _contacts(review),
        _stock(review),
        _changes(review),
        _not_checked(review),
    ):
        part = list(section)
        if part:
            lines += [*part, ""]
    return "\n".join(lines).rstrip("\n") + "\n"


def _identity(review: Review) -> Iterator[str]:
    design = review.comparison.new
    yield f"# {escape(design.title or design.name)}: release notes for {escape(review.new.name)} (draft)"
    yield ""
    rows = [["This revision", _named(review.new)], ["Predecessor", _named(review.old)]]
    if review.new.date:
        rows.append(["Date of the commit", escape(review.new.date)])
    if review.new.message:
        rows.append(["Tag message", escape(review.new.message)])
    rows.append(["Release date", BLANK.format("date")])
    rows.append(["Status", BLANK.format("for example experimental, released, do not build")])
    yield from table(["", ""], rows)
    yield ""
    boards = []
    for name, board in design.boards.items():
        before = review.comparison.old.boards.get(name)
        count = sum(1 for change in review.changes if name in change.board.split(", "))
        boards.append(
            [
                escape(name),
                escape(board.title),
                escape(before.revision) or "–" if before else "new",
                escape(board.revision) or BLANK.format("revision"),
                str(count),
                BLANK.format("where it says so") if count else "unchanged",
            ]
        )
    yield from table(["Board", "Title", "Printed revision before", "now", "Changes", "How to recognise it"], boards)


def _named(identity: Identity) -> str:
    text = f"{escape(identity.kind)} {escape(identity.name)}"
    return f"{text}, commit `{identity.commit}`" if identity.commit else text


def _verdicts(review: Review) -> Iterator[str]:
    yield "## In one sentence for each reader"
    yield ""
    for item in verdicts(review):
        yield f"- **{item.reader}.** {escape(item.sentence)}"


def _safety(review: Review) -> Iterator[str]:
    hazards = [item for item in review.findings if item.hazard and item.severity == "break"]
    yield "## Safety: do not mix"
    yield ""
    if hazards:
        yield "These can destroy hardware or start a load by themselves:"
        yield ""
        for pairing, found in findings_by_pairing(tuple(hazards)).items():
            alone = escape(found[0].parties[-1].label) if is_alone(found[0]) else ""
            what = f"put {alone} in the place of an older one" if alone else f"combine {escape(pairing)}"
            yield f"- **Do not {what}.**"
            yield from (f"  - {escape(item.subject, start=True)}: {escape(item.told)}" for item in found)
        yield ""
    else:
        yield escape(no_hazard(review))
        yield ""
    for text in CAUTIONS:
        yield f"- {text}"
    if review.waivers:
        yield from ("", "Waivers, and what became of them:", "")
        yield from (f"- {escape(line)}" for line in waiver_lines(review.waivers))


def _compatibility(review: Review) -> Iterator[str]:
    yield "## What fits what"
    yield ""
    rows = []
    for audience, name in (("stacking", "stacking"), ("firmware", "firmware")):
        for pairing, found in findings_by_pairing(review.findings, audience=audience).items():
            breaks = [item for item in found if item.severity == "break"]
            cautions = [item for item in found if item.severity == "caution"]
            if not breaks and not cautions:
                continue
            verdict = "does not fit" if breaks else "fits with care"
            reasons = "; ".join(f"{escape(item.subject)} ({item.rule})" for item in (breaks or cautions)[:6])
            rest = len(breaks or cautions) - 6
            rows.append([escape(pairing), name, verdict, reasons + (f"; and {rest} more" if rest > 0 else "")])
    if rows:
        yield from table(["Combination", "for", "Verdict", "Because of"], rows)
        yield ""
    yield from (f"- {escape(text)}" for text in what_fits(review, tuple(row[1] for row in rows)))
    yield ""
    yield f"Minimum firmware for this revision: {BLANK.format('version')}"


def _pins(review: Review) -> Iterator[str]:
    """Old and new side by side, for every signal whose pin or meaning changed."""
    rows = []
    for change in sorted(review.changes, key=lambda item: (item.board, natural_key(item.subject))):
        if not change.kind.startswith("pin.") or change.kind == "pin.field":
            continue
        rows.append(
            [
                escape(change.board),
                escape(change.subject),
                KINDS[change.kind][1],
                escape(change.before) or "–",
                escape(change.after) or "–",
            ]
        )
    renames = [change for change in review.changes if change.kind == "signal.renamed"]
    if not rows and not renames:
        return
    yield "## Pins"
    yield ""
    if rows:
        yield from table(["Board", "Signal or pin", "What", "Before", "Now"], rows)
    if renames:
        yield ""
        yield "Renamed only (the source of the firmware is touched, a built firmware is not):"
        yield ""
        for change in renames:
            yield f"- {escape(change.before)} is now {escape(change.after)} on {escape(change.board)}"


def _contacts(review: Review) -> Iterator[str]:
    rows = []
    for change in sorted(review.changes, key=lambda item: item.board):
        kind, _, detail = change.kind.partition(".")
        if kind in ("contact", "connector", "joint") and detail != "field":
            rows.append(
                [
                    escape(change.board),
                    escape(change.subject),
                    _what(change),
                    escape(change.before) or "–",
                    escape(change.after) or "–",
                ]
            )
    if rows:
        yield "## Connectors and contacts"
        yield ""
        yield from table(["Board", "Where", "What", "Before", "Now"], rows)


def _what(change: Change) -> str:
    text = KINDS[change.kind][1]
    return f"{text}: {escape(change.pattern)}" if change.pattern else text


def _stock(review: Review) -> Iterator[str]:
    rows = stock_rows(review)
    if not rows:
        return
    yield "## Parts and stock"
    yield ""
    yield "Pieces needed for one of each board, for parts whose number of pieces changed:"
    yield ""
    yield from table(
        ["Part", "Before", "Now", "Difference", "What to do with stock"],
        [
            [
                escape(row.part),
                str(row.before),
                str(row.after),
                f"{row.after - row.before:+d}",
                BLANK.format("decision") if row.after < row.before else "buy",
            ]
            for row in rows
        ],
    )


def _changes(review: Review) -> Iterator[str]:
    yield "## All changes"
    yield ""
    if not review.changes:
        yield escape(nothing_changed(review.comparison))
        return
    count = counted(len(review.changes), "change")
    yield f"{count} and no others, within what was compared. Reasons are for a person to give."
    for group in GROUPS:
        found = [change for change in review.changes if change.group == group]
        if not found:
            continue
        yield ""
        yield f"### {GROUP_TITLES[group]}"
        yield ""
        rows = []
        for change in found:
            rows.append(
                [
                    escape(change.board) or "all",
                    escape(change.subject),
                    _what(change),
                    escape(_side(change, "before")) or "–",
                    escape(_side(change, "after")) or "–",
                    _REASON,
                ]
            )
        yield from table(["Board", "What", "Change", "Before", "Now", "Reason"], rows)


def _side(change: Change, which: str) -> str:
    """One side of a change; of a contract the fields that differ, since its version says too little."""
    text = getattr(change, which)
    if change.kind != "contract.changed":
        return str(text)
    fields = [item for item in change.fields if getattr(item, which)][:8]
    listed = ", ".join(f"{item.name} {shown(item.name, getattr(item, which))}" for item in fields)
    return f"{text}: {listed}" if listed else str(text)


def _not_checked(review: Review) -> Iterator[str]:
    yield "## What was not checked"
    yield ""
    for item in review.not_checked:
        yield f"- {escape(item.what, start=True)}: {escape(item.why)}. It would need {escape(item.needs)}."
    for fault in review.diagnostics:
        if fault.severity == "fault":
            place = f"{escape(fault.revision)}, {escape(str(fault.origin))}"
            yield f"- Data fault in {place}: {escape(fault.message)}. Nothing is claimed about what it touches."
    yield "- Schematic, layout, mechanics beyond the stated connector properties, electromagnetic and radio behaviour,"
    yield "  and every file that the manifest does not name: not read."
