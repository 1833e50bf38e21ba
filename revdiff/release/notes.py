"""The draft of the release notes: what a person would publish, with a visible blank for what only a person knows.

The order is that in which readers look: which board, what to use together, what is dangerous, what firmware has to
change, what has to be built and bought; then what a person adds, what was not checked, and all the rest, folded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from revdiff.judge.engine import NOT_STATED
from revdiff.judge.finding import Audience, Finding
from revdiff.judge.waivers import waiver_lines
from revdiff.quantities.designator import natural_key
from revdiff.release.cause_text import (
    ToldCause,
    everything_else,
    runs,
    told_causes,
    worked,
)
from revdiff.release.clear import already, no_hazard, what_fits
from revdiff.release.document import (
    Blank,
    Block,
    Cell,
    Folded,
    Heading,
    Items,
    Pair,
    Pairs,
    Row,
    Section,
    Sentence,
    Table,
    Tone,
)
from revdiff.release.hits import hits_of
from revdiff.release.pin_notice import pin_notice
from revdiff.release.review import Review
from revdiff.release.rework import Rework, reworks
from revdiff.release.scope import nets_compared, nothing_changed, scope_of
from revdiff.release.standing import broken_together, standing
from revdiff.release.verdicts import counted, is_alone
from revdiff.release.version_step import Advice, advice
from revdiff.release.words import CAUTIONS
from revdiff.sources import Identity

_PARTS = ("part.value", "part.package", "part.rating", "part.substituted", "part.fitted")


def release_notes(review: Review) -> tuple[Section, ...]:
    """The whole draft, section by section."""
    causes = told_causes(review)
    hazards = [item for item in causes if item.word == "hazard"]
    told, table = _pin_rows(review, causes)
    rest = [item for item in causes if item not in hazards and item.number not in told]
    made = (
        ("title", (*_title(review), *_identity(review))),
        ("together", tuple(_together(review, causes))),
        ("safety", tuple(_safety(review, hazards))),
        ("causes", tuple(_causes("What else will not work, or is to be checked", rest))),
        ("firmware", (Heading("What firmware must change"), table) if table.rows else ()),
        ("parts", tuple(_parts(review))),
        ("by-hand", tuple(_by_hand(review))),
        ("not-checked", (*_not_checked(review), *_rest(review))),
    )
    return tuple(Section(name, blocks) for name, blocks in made if blocks)


def _title(review: Review) -> Iterator[Block]:
    design = review.comparison.new
    yield Heading(f"{design.title or design.name}: {review.new.name}", 1)
    yield Sentence(Blank("summary", "in a few sentences, what this revision is for and whom it is for"))


def _identity(review: Review) -> Iterator[Block]:
    design = review.comparison.new
    status = dict(design.extra).get("status")
    told = {item.name: item for item in advice(review)}
    design_step = _step(told[""])
    yield Pairs(
        (
            Pair("This revision", f"{_named(review.new)}; it follows {_named(review.old)}"),
            *((Pair("Tagged with", review.new.message),) if review.new.message else ()),
            Pair("Status", str(status) if status else Blank("status", "experimental, released, or do not build")),
            *((Pair("Step of its number", design_step),) if design_step else ()),
        )
    )
    rows = []
    for name, board in design.boards.items():
        before = review.comparison.old.boards.get(name)
        same = before is not None and before.revision == board.revision
        was = "new" if before is None else before.revision or "–"
        known: Cell = "as before" if same and not told[name].step else Blank(f"seen-{name}", "where it is printed")
        printed: Cell = board.revision or Blank(f"revision-{name}", "printed revision")
        rows.append(Row((name, board.title, was, printed, known, _step(told[name]))))
    yield Table(("Board", "Title", "Was", "Is", "How to recognise it", "Step that it asks for"), tuple(rows))


def _named(item: Identity) -> str:
    return ", ".join(
        filter(None, (f"{item.kind} {item.name}", item.commit and f"commit {item.commit}", item.date[:10]))
    )


def _step(item: Advice) -> str:
    if not item.step:
        return ""
    because = f", because of {runs(item.causes)}" if item.causes else ""
    following = f" ({item.next})" if item.next else ""
    warning = f"; {item.warning}" if item.warning else ""
    return f"{item.step}{following}{because}{warning}"


def _together(review: Review, causes: Iterable[ToldCause]) -> Iterator[Block]:
    """The set that belongs together, what else fits, and what doesn't."""
    design = review.comparison.new
    boards = [f"{name} {board.revision}".strip() for name, board in design.boards.items()]
    releases = [item.title for item in design.contracts.values()]
    yield Heading("What to use together")
    yield Sentence(f"{review.new.name}: {' + '.join((*boards, *releases))}. {_own(review, causes)}")
    yield Items(tuple(what_fits(review, ("stacking", "firmware"))))
    rows = _unfit(causes)
    if rows:
        yield Table(("Don't use", "It", "Because of"), tuple(rows))
    yield Pairs((Pair("Oldest firmware for this revision", Blank("oldest-firmware", "release")),))


def _own(review: Review, causes: Iterable[ToldCause]) -> str:
    """Whether the new set by itself is any worse than the old one was."""
    broken, stood = broken_together(review), standing(review)
    stood = replace(stood, mixed=())
    if broken or stood.findings:
        new = dict.fromkeys(item.pairing for item in broken)
        fresh = f"These don't fit each other: {'; '.join(new)}." if new else ""
        return f"{fresh}{already(stood)}".strip()
    scope = scope_of(review.comparison)
    missing = [why for why in (scope.not_stacked, scope.not_run) if why]
    if len(missing) == 2:
        return f"Whether they fit each other was not judged: {'; '.join(missing)}."
    audiences: tuple[Audience, ...] = ("stacking", "firmware")
    if stood.new_doubted or any(review.verdict.doubts(one, together=True) for one in audiences):
        return "Nobody can tell whether they fit each other before somebody has looked."
    care = [one.number for one in causes if any(_of_the_set(item) for item in one.findings)]
    found = f"What was found in this set that is worse than in that of {review.old.name} is told under {runs(care)}"
    if not care:
        found = f"Nothing was found in this set that is worse than in that of {review.old.name}"
    said = f"{found}, in {scope.counts}."
    return f"{said} Not judged: {missing[0]}." if missing else said


def _all_new(finding: Finding) -> bool:
    """Whether it is about things of the new revision together."""
    return not is_alone(finding) and {party.role for party in finding.parties} <= {"new", ""}


def _of_the_set(finding: Finding) -> bool:
    """Whether somebody who uses the new set alone has to mind it: among its things, or of one that isn't as it was."""
    return finding.severity != "info" and {party.role for party in finding.parties} <= {"new", ""}


def _unfit(causes: Iterable[ToldCause]) -> list[Row]:
    """What doesn't fit or is to be checked; what is only to be checked in the new set by itself is told there."""
    said = {"hazard": "can hurt or destroy", "break": "will not work", "caution": "is to be checked"}
    rows: dict[tuple[Tone, str], list[str]] = {}
    for hit in hits_of(_of_old_and_new(causes)):
        if hit.word in said:
            place = " in the place of an older one" if hit.alone else ""
            rows.setdefault((hit.word, hit.numbers), []).extend(f"{name}{place}" for name in hit.names)
    return [Row((", ".join(names), said[word], numbers), word) for (word, numbers), names in rows.items()]


def _of_old_and_new(causes: Iterable[ToldCause]) -> Iterator[ToldCause]:
    for item in causes:
        mixed = (one for one in item.findings if not (one.severity == "caution" and _all_new(one)))
        yield replace(item, findings=tuple(mixed))


def _safety(review: Review, hazards: list[ToldCause]) -> Iterator[Block]:
    yield from _causes("Safety: what can hurt or destroy", hazards)
    if not hazards:
        yield Heading("Safety")
        yield Sentence(no_hazard(review))
    yield Sentence(f"Cautions: {' '.join(CAUTIONS)}")
    if review.waivers:
        yield Sentence(f"Findings that somebody decided to live with: {'; '.join(waiver_lines(review.waivers))}.")


def _causes(title: str, causes: list[ToldCause]) -> Iterator[Block]:
    """Each cause with what follows, and one place for its reason."""
    if not causes:
        return
    yield Heading(title)
    rows = [
        Row(
            (
                str(item.number),
                item.title or item.hits,
                " ".join(_messages(item)),
                Blank(f"why-{item.cause.id}", "why"),
            ),
            item.word,
        )
        for item in causes
    ]
    yield Table(("No.", "What changed", "What follows", "Why it was changed"), tuple(rows))


def _messages(item: ToldCause) -> list[str]:
    """The strongest message of each rule."""
    rules: dict[str, Finding] = {}
    for one in item.findings:
        if not one.below:
            rules.setdefault(one.rule, one)
    return [f"{one.told} ({text})." if (text := worked(one)) else f"{one.told}." for one in rules.values()]


def _pin_rows(review: Review, causes: tuple[ToldCause, ...]) -> tuple[set[int], Table]:
    """The table of pins, each with its reason or the number of its cause; and the causes that it tells whole."""
    at: dict[tuple[str, str], ToldCause] = {}
    for cause in causes:
        for item in cause.changes if cause.cause.kind else ():
            if item.kind.startswith("pin."):
                for place in (place for pair in item.pairs for place in pair):
                    at.setdefault((item.board, place), cause)
            elif item.kind == "signal.renamed":
                for board in item.boards:
                    at.setdefault((board, item.after), cause)
    told: set[int] = set()
    rows: dict[tuple[object, ...], tuple[list[str], Row]] = {}
    for controller in pin_notice(review).controllers:
        for line in controller.lines:
            found = (at.get((controller.board, place)) for place in (*line.places, line.signal))
            why = _reason(next(filter(None, found), None), told)
            gone = () if line.new_pin else (line.todo,)
            key = (controller.name, *gone) if gone else (controller.name, line.signal)
            named = f"{line.signal} ({line.old_pin})" if line.old_pin else line.signal
            row = Row((controller.name, "", line.new_pin or "–", line.todo, why))
            rows.setdefault(key, ([], row))[0].append(named)
    table = (Row((row.cells[0], ", ".join(names), *row.cells[2:])) for names, row in rows.values())
    return told, Table(("Controller", "Signal (old pin)", "New pin", "In the source", "Why"), tuple(table))


def _reason(cause: ToldCause | None, told: set[int]) -> Cell:
    """The place for the reason of a cause that only pins have, at its first pin; else the number of the cause."""
    if cause is None:
        return "–"
    more = any(one.audience != "firmware" or not one.crossing for one in cause.findings if one.severity != "info")
    if not cause.cause.kind.startswith("pin.") or cause.word == "hazard" or more:
        return str(cause.number)
    if cause.number in told:
        return f"as for {cause.number}"
    told.add(cause.number)
    return Blank(f"why-{cause.cause.id}", f"{cause.number}, why")


def _parts(review: Review) -> Iterator[Block]:
    """Part by part: exchanged, with both part numbers; gone; new. What is the same on several boards, once for all."""
    found: dict[tuple[str, str], dict[str, list[str]]] = {}
    for item in review.changes:
        if item.kind in (*_PARTS, "part.added", "part.removed"):
            word = {"part.added": "new", "part.removed": "gone"}.get(item.kind, "exchanged")
            arrow = " → ".join(filter(None, (item.before, item.after)))
            found.setdefault((word, arrow), {}).setdefault(item.board, []).append(item.subject)
    told: dict[tuple[str, str], list[str]] = {}
    for (word, arrow), boards in found.items():
        alone = len(boards) == 1
        where = (", ".join(refs) if alone else f"{', '.join(refs)} ({board})" for board, refs in boards.items())
        told.setdefault((", ".join(boards), word), []).append(f"{', '.join(where)}: {arrow}")
    if told:
        yield Heading("What to build and buy")
        rows = sorted(told.items(), key=lambda one: (one[0][0].count(","), one[0]))
        yield Pairs(tuple(Pair(f"{boards}, {word}", "; ".join(parts)) for (boards, word), parts in rows))


def _by_hand(review: Review) -> Iterator[Block]:
    yield Heading("Faults and old boards")
    rows = [
        Pair("Fixed", Blank("fixed", "faults of the old revision that are cured, with their numbers")),
        Pair("Known faults", Blank("errata", "what is known to be wrong, and how to live with it")),
    ]
    found = reworks(review)
    rows += [Pair(item.board, _rework(item)) for item in found if item.possible]
    if impossible := [item.board for item in found if not item.possible]:
        told = "can't become the new revision by work on parts alone; revdiff rework tells why."
        rows.append(Pair(", ".join(impossible), told))
    if found:
        rows.append(Pair("Old boards", Blank("old-boards", "what to do with stock and with boards in the field")))
    yield Pairs(tuple(rows))


def _rework(item: Rework) -> str:
    count = sum(len(step.where) for step in item.steps)
    return f"can become the new revision by work on {counted(count, 'part')}; revdiff rework tells the steps."


def _not_checked(review: Review) -> Iterator[Block]:
    yield Heading("Not checked")
    unmade = {
        item.check: None for verdict in (review.verdict.itself, *review.verdict.crossings) for item in verdict.unmade
    }
    unmade |= {item.what: None for item in review.verdict.missing if item.why == NOT_STATED}
    lines = [said] if (said := nets_compared(review.comparison)) else []
    lines += [f"Where the tables don't say enough: {'; '.join(unmade)}."] if unmade else []
    lines += [f"{item.what}: {item.why}." for item in review.verdict.missing if item.why != NOT_STATED]
    lines += [
        f"Nothing is claimed about what a fault touches: {item.revision}, {item.origin}: {item.message}."
        for item in review.diagnostics
        if item.severity == "fault"
    ]
    lines.append(
        "Schematic, layout, mechanics beyond the stated connectors, electromagnetic and radio behaviour, and files "
        "that aren't part of the published tables."
    )
    yield Items(tuple(lines))


def _rest(review: Review) -> Iterator[Block]:
    if not review.changes:
        yield Sentence(nothing_changed(review.comparison))
        return
    rest = [item for item in everything_else(review) if item.kind not in (*_PARTS, "part.added", "part.removed")]
    lines: dict[str, list[str]] = {}
    for item in sorted(rest, key=lambda one: natural_key(one.subject)):
        arrow = " → ".join(text or "–" for text in (item.before, item.after))
        lines.setdefault(item.board or "all boards", []).append(f"{item.subject}: {arrow}")
    if lines:
        blocks = tuple(Pair(board, "; ".join(found)) for board, found in lines.items())
        yield Folded(f"Everything else ({counted(len(rest), 'change')})", (Pairs(blocks),))
