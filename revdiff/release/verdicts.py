"""One sentence for each reader, and the pairings that the sentences rest on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from revdiff.compare.part_changes import REPLACED
from revdiff.judge.finding import Finding
from revdiff.quantities.designator import natural_key
from revdiff.release.review import Review
from revdiff.release.stock import stock_rows


@dataclass(frozen=True, slots=True)
class Verdict:
    """``answer`` is yes, no or unknown; ``sentence`` says it in words, bounded by what was compared."""

    reader: str
    answer: str
    sentence: str


def counted(number: int, noun: str) -> str:
    """``1 change``, ``2 changes``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def findings_by_pairing(
    findings: tuple[Finding, ...], *, audience: str = "", severity: str = ""
) -> dict[str, list[Finding]]:
    """Findings of one audience and severity, by pairing in natural order."""
    found: dict[str, list[Finding]] = {}
    for item in findings:
        if (not audience or item.audience == audience) and (not severity or item.severity == severity):
            found.setdefault(item.pairing, []).append(item)
    return dict(sorted(found.items(), key=lambda pair: natural_key(pair[0])))


def verdicts(review: Review) -> tuple[Verdict, ...]:
    """The verdicts for stacked boards, firmware, and building or buying, in this order."""
    return (_stacking(review), _firmware(review), _building(review), _buying(review))


def _stacking(review: Review) -> Verdict:
    reader = "People who stack boards"
    broken = findings_by_pairing(review.findings, audience="stacking", severity="break")
    if broken:
        return Verdict(reader, "no", " ".join(_not_fitting(broken)))
    if not review.comparison.new.joints:
        return Verdict(reader, "unknown", "No joints are declared, so stacking was not judged.")
    if review.verdict.doubtful("stacking"):
        return Verdict(reader, "unknown", "Nobody can tell whether old and new boards fit before somebody has looked.")
    if any(change.group == "stacking" for change in review.changes):
        return Verdict(
            reader, "yes", "Within what was compared, the stacking changes break no pairing of old and new boards."
        )
    return Verdict(reader, "yes", "Within what was compared, nothing changed that stacked boards can see.")


def _not_fitting(broken: Mapping[str, list[Finding]]) -> Iterator[str]:
    """What doesn't fit together, and what is broken whatever it is combined with."""
    alone = [found[0].parties[-1].label for found in broken.values() if is_alone(found[0])]
    together = [name for name, found in broken.items() if not is_alone(found[0])]
    if together:
        verb = "does" if len(together) == 1 else "do"
        yield f"{counted(len(together), 'combination')} {verb} not fit: {'; '.join(together)}."
    if alone:
        who, verb = ("By itself", "doesn't") if len(alone) == 1 else ("By themselves", "don't")
        yield f"{who} {counted(len(alone), 'board')} {verb} work as before: {'; '.join(alone)}."


def is_alone(finding: Finding) -> bool:
    """Whether it is about one thing by itself, whatever that is combined with."""
    return len({party.name for party in finding.parties}) == 1


def _firmware(review: Review) -> Verdict:
    reader = "Firmware developers"
    broken = findings_by_pairing(review.findings, audience="firmware", severity="break")
    if broken:
        return Verdict(
            reader, "no", f"Firmware and board don't fit in {counted(len(broken), 'case')}: {'; '.join(broken)}."
        )
    if review.verdict.doubtful("firmware"):
        return Verdict(reader, "unknown", "Nobody can tell whether firmware and board fit before somebody has looked.")
    kinds = {change.kind for change in review.changes}
    if any(kind.startswith("pin.") and kind != "pin.field" for kind in kinds):
        if not review.comparison.new.contracts:
            return Verdict(
                reader, "unknown", "Pins changed; no firmware contract says whether released firmware minds."
            )
        return Verdict(reader, "yes", "Pins changed; within what was compared, no firmware contract is broken.")
    if not any(board.pins for board in review.comparison.new.boards.values()):
        return Verdict(reader, "unknown", "No pin map is given, so firmware was not judged.")
    if "signal.renamed" in kinds:
        return Verdict(reader, "yes", "Within what was compared, signals were renamed and no pin changed.")
    return Verdict(reader, "yes", "Within what was compared, no pin changed.")


def _building(review: Review) -> Verdict:
    reader = "People who build boards"
    kinds = {change.kind for change in review.changes if change.kind.startswith("part.")}
    if kinds & {"part.added", "part.removed", "part.fitted", *REPLACED}:
        return Verdict(reader, "no", "What is placed changed: old and new boards need different parts.")
    if kinds & {"part.renumbered"}:
        return Verdict(
            reader,
            "yes",
            "By the parts list the same parts are placed; designators were renumbered or exchanged.",
        )
    if not any(board.parts for board in review.comparison.new.boards.values()):
        return Verdict(reader, "unknown", "No parts list is given, so assembly was not judged.")
    return Verdict(reader, "yes", "Within what was compared, the same parts are placed.")


def _buying(review: Review) -> Verdict:
    reader = "Buyers"
    if not any(board.parts for board in review.comparison.new.boards.values()):
        return Verdict(reader, "unknown", "No parts list is given, so buying was not judged.")
    pieces = len(stock_rows(review))
    others = sum(1 for change in review.changes if change.kind in ("part.cost", "part.lifecycle"))
    if pieces or others:
        said = [f"{counted(pieces, 'part')} needed in another number of pieces"] if pieces else []
        said += [f"{counted(others, 'change')} of price or life cycle"] if others else []
        return Verdict(reader, "no", f"{'; '.join(said)}.")
    return Verdict(reader, "yes", "Within what was compared, nothing else has to be bought.")
