"""The result of a check as a document: the answer, what judges, cause by cause what breaks, then the rest, folded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from revdiff.compare.kinds import GROUPS, KINDS
from revdiff.judge.finding import SEVERITIES, Finding, Severity
from revdiff.judge.settings import SettingChange
from revdiff.judge.waivers import waiver_lines
from revdiff.release.cause_text import said_of, told_causes, word_of
from revdiff.release.check import Check, ToldFinding, same_result
from revdiff.release.document import Block, Document, Heading, Items, Pair, Pairs, Sentence, Tone
from revdiff.release.scope import nets_compared, nothing_changed
from revdiff.release.verdicts import counted
from revdiff.release.words import CAUTIONS, GROUP_TITLES, SEVERITY_TITLES
from revdiff.report.answer import answer_blocks
from revdiff.report.cause_blocks import cause_blocks, sentence_of
from revdiff.report.check_text import group_of, held_against, of_severity, seen, setting_line, states, summary
from revdiff.report.data_lines import data_lines
from revdiff.report.drift import drift_line
from revdiff.report.page import change_line
from revdiff.report.review_document import listed, not_made

_FEW = 3  # settings of one sort that are told with their values
_TONES: dict[str, Tone] = {"break": "break", "caution": "caution", "info": "info"}


def check_page(check: Check, *, detail: bool = False) -> Document:
    """All but ``closing``. ``detail``: every finding by what it is about, and every change, instead of the causes."""
    return tuple(_blocks(check, detail))


def closing(check: Check) -> Document:
    """What stands at the end of a result, whatever else is left out."""
    return (Sentence(f"Cautions: {' '.join(CAUTIONS)}"),) if check.findings else ()


def _blocks(check: Check, detail: bool) -> Iterator[Block]:
    yield Heading(f"{check.title}: check of {check.change.name}", 1)
    told = (" ".join(filter(None, (one.kind, one.name, one.commit[:12]))) for _, one in states(check))
    named = "; ".join(f"{name} {one}" for (name, _), one in zip(states(check), told, strict=True))
    yield Sentence(f"{named}; base: {check.chosen}. {held_against(check)}")
    yield Sentence(summary(check), tone="title")
    yield from answer_blocks(check.review, one_by_one=False)
    yield from _settings(check, detail)
    yield from _found(check) if detail else _causes(check)
    yield from listed("Contradictions between documents that the change brings", map(drift_line, check.brought))
    yield from listed("Contradictions that it cures", map(drift_line, check.cured))
    yield from not_made(check.not_checked, detail=detail)
    yield from _unmentioned(check, detail)
    if detail:
        yield from _changes(check)
    if not check.changes:
        yield Sentence(nothing_changed(check.review.comparison))
    yield from listed("Waivers", waiver_lines(check.waivers))
    yield from listed("About the data", data_lines(check.diagnostics))


def _settings(check: Check, detail: bool) -> Iterator[Block]:
    """Grouped by what they are, the loudest first; of many that break nothing the names alone."""
    found: dict[tuple[Severity, str, str], list[SettingChange]] = {}
    for item in sorted(check.settings, key=lambda item: SEVERITIES.index(item.severity)):
        found.setdefault((item.severity, item.meaning, item.code), []).append(item)
    if found:
        yield Heading(f"What is read and what judges changed ({len(check.settings)}); judged as the base says")
    for (severity, meaning, code), items in found.items():
        head = f"{severity}: {meaning} [{code}]"
        if detail:
            yield Sentence(head, 1, _TONES[severity])
            yield Items(tuple(map(setting_line, items)), 2)
            continue
        if severity == "break" or len(items) <= _FEW:
            told = "; ".join(map(setting_line, items))
        else:
            told = f"{'; '.join(_by_section(item.subject for item in items))} (values: --detail)"
        yield Pairs((Pair(severity, f"{meaning} [{code}]: {told}", _TONES[severity]),), 1)


def _by_section(keys: Iterable[str]) -> Iterator[str]:
    """``firmware.irrigation: version, clock``: keys of the manifest, those of one section together."""
    sections: dict[str, list[str]] = {}
    for key in keys:
        *head, rest = key.split(".", 2)
        sections.setdefault(".".join(head), []).append(rest)
    for section, names in sections.items():
        yield f"{section}: {', '.join(names)}" if section else ", ".join(names)


def _causes(check: Check) -> Iterator[Block]:
    """What the change brings against its base, cause by cause; then what only other readings and revisions show."""
    causes = told_causes(check.review)
    against = {same_result(item.finding): item.against for item in check.findings if not item.hidden}
    known = {same_result(item) for cause in causes for item in cause.findings}
    further = [item for item in check.findings if item.hidden or same_result(item.finding) not in known]
    hidden = [item for item in further if item.hidden and not item.standing]
    yield from _folded("Seen only where the change is read or judged as the base's manifest says", hidden)
    if causes:
        yield Heading(f"Cause by cause ({len(causes)})")
    remedies: dict[str, int] = {}
    for cause in causes:
        yield from cause_blocks(cause, remedies, titled=True)
        held = dict.fromkeys(name for one in cause.findings for name in against.get(same_result(one), ())[1:])
        if held:
            yield Sentence(f"Also against {', '.join(held)}.", 2)
    shipped = [item for item in further if not item.hidden and not item.standing]
    yield from _folded("Against shipped revisions alone", shipped)
    yield from _folded("Not by this change: the base had these already", [i for i in further if i.standing])
    told = {change for cause in causes if cause.cause.kind for change in cause.cause.changes}
    rest = [item.change for item in check.changes if item.change.id not in told or "own" not in item.readings]
    if rest:
        yield Sentence(f"Everything else ({len(rest)}): {said_of(rest)}.")
    if check.changes and (terminals := nets_compared(check.review.comparison)):
        yield Sentence(terminals)


def _folded(title: str, found: list[ToldFinding]) -> Iterator[Block]:
    """The strongest finding of each cause against each revision, with how many more there are."""
    causes: dict[tuple[object, ...], list[ToldFinding]] = {}
    for item in found:
        causes.setdefault((item.finding.cause, item.against), []).append(item)
    rows = []
    for items in causes.values():
        head = items[0].finding
        more = f" And {len(items) - 1} more of the same cause." if len(items) > 1 else ""
        rows.append(Pair(word_of(head), f"{head.pairing}: {sentence_of(head)}{more}", word_of(head)))
    if rows:
        yield Heading(f"{title} ({len(found)})")
        yield Pairs(tuple(rows), 1)


def _unmentioned(check: Check, detail: bool) -> Iterator[Block]:
    """What no commit message names: how many changes of which board, or each."""
    if not check.commits:
        yield Sentence("What commit messages name was not looked at: no commit lies between base and change.")
        return
    messages = counted(len(check.commits), "commit message")
    found: dict[str, dict[str, list[str]]] = {}
    for item in check.unmentioned:
        kinds = found.setdefault(item.change.board or "all boards", {})
        kinds.setdefault(KINDS[item.change.kind][1], []).append(item.change.subject)
    if not found:
        yield Sentence(f"Every change is named by one of {messages}.")
        return
    if not detail:  # the number is in the summary
        return
    rule = "no message has the signal, connector or part number, or designator and board"
    yield Heading(f"Not named in {messages} ({len(check.unmentioned)}): {rule}")
    rows = []
    for board, kinds in found.items():
        rows.append(Pair(board, "; ".join(f"{kind}: {', '.join(names)}" for kind, names in kinds.items())))
    yield Pairs(tuple(rows), 1)


def _found(check: Check) -> Iterator[Block]:
    """Every finding, by what is held against what; each once, with the revisions that it holds for."""
    waived = [item for item in check.findings if item.finding.waiver and not item.standing]
    groups = [(SEVERITY_TITLES[one], _TONES[one], of_severity(check.brings, one)) for one in SEVERITIES]
    groups += [("Waived", "title", waived)]
    groups += [("Not by this change: the base had these already", "title", [i for i in check.findings if i.standing])]
    for title, tone, found in groups:
        if not found:
            continue
        yield Heading(f"{title} ({len(found)})", 2, tone)
        held: dict[str, list[ToldFinding]] = {}
        for item in found:
            held.setdefault(group_of(item), []).append(item)
        for group, items in held.items():
            yield Sentence(group, 1, "title")
            yield Pairs(tuple(_row(item.finding) for item in items), 2)


def _row(finding: Finding) -> Pair:
    word = word_of(finding)
    return Pair(word, f"{finding.subject}: {finding.told} ({finding.worked}) [{finding.rule}]", word)


def _changes(check: Check) -> Iterator[Block]:
    for group in GROUPS:
        found = [item for item in check.changes if item.change.group == group]
        if not found:
            continue
        yield Heading(f"{GROUP_TITLES[group]} ({len(found)})")
        places: dict[tuple[str, str], list[str]] = {}
        for item in sorted(found, key=lambda told: told.change.board):
            key = item.change.board or "all boards", KINDS[item.change.kind][1]
            places.setdefault(key, []).append(change_line(item.change) + seen(item))
        for (board, kind), lines in places.items():
            yield Sentence(f"{board}: {kind}", 1, "title")
            yield Items(tuple(lines), 2)
