"""A record of the table through the public entries: files, readers, judge; where it says so, through a command."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from revdiff.cli.group import cli
from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.judge import ChangeVerdict, Verdict, judge_change, judge_stack, member
from tests.judge.designs.case import Answer, Case
from tests.judge.designs.notation import files
from tests.judge.designs.worked import Figure
from tests.support import load

_PREFIX = {"": 1.0, "k": 1e3, "M": 1e6, "m": 1e-3, "µ": 1e-6, "n": 1e-9, "p": 1e-12}
_VALUE = re.compile(r"(\d+(?:\.\d+)?)\s*([kMmµnp]?)(V|A|Ω|F|Hz)(?![a-z])")


@dataclass(frozen=True, slots=True)
class Told:
    """One finding, in words."""

    rule: str
    severity: str
    hazard: bool
    text: str


@dataclass(frozen=True, slots=True)
class Result:
    """What came out: the answer, what was found, and what was asked for."""

    answer: str
    found: tuple[Told, ...]
    asked: str


def design_of(text: str) -> Design:
    """The design; a fault in it is a slip of the table."""
    return design_of_files(files(text))


def design_of_files(found: Mapping[str, str]) -> Design:
    """The design that these files make."""
    design = load(found)
    faults = [item for item in design.diagnostics if item.severity == "fault"]
    assert not faults, faults
    return design


def stacked(design: Design, *names: str) -> Verdict:
    """All boards together, each with the firmware that the design states."""
    return judge_stack(member(design, name, "r") for name in names or design.boards)


def changed(old: Design, new: Design) -> ChangeVerdict:
    """What a change brings."""
    return judge_change(compare_designs(old, new), "old", "new")


def result_of(verdict: Verdict | ChangeVerdict) -> Result:
    """The verdict in words."""
    found = tuple(
        Told(item.rule, item.severity, item.hazard, f"{item.message} {item.arithmetic} {item.limit}")
        for item in verdict.findings
    )
    return Result(verdict.answer, found, " ".join(f"{item.what}: {item.needs}" for item in verdict.not_checked))


def run(case: Case, folder: Path) -> Result:
    """A record, by the entry that it asks for."""
    if case.ask == "compare":
        return through_compare(files(case.text), files(case.second), folder)
    if case.change:
        return result_of(changed(design_of(case.text), design_of(case.second)))
    return result_of(stacked(design_of(case.text)))


def through_compare(old: Mapping[str, str], new: Mapping[str, str], folder: Path) -> Result:
    """Two folders through ``revdiff compare``."""
    for name, found in (("old", old), ("new", new)):
        written(found, folder / name)
    given = _asked("compare", f"folder:{folder / 'old'}", f"folder:{folder / 'new'}")
    found_all = _findings(given)
    heard = {item.severity for item in found_all}
    answer = "does not fit" if "break" in heard else "fits with care" if "caution" in heard else "fits"
    return Result(answer, found_all, json.dumps(given.get("not_checked", ""), ensure_ascii=False))


def through_stack(found: Mapping[str, str], boards: Iterable[str], folder: Path) -> Result:
    """Boards of a folder through ``revdiff stack``."""
    written(found, folder)
    given = _asked("stack", *(f"{name}@folder:{folder}" for name in boards))["stack"]
    return Result(given["verdict"], _findings(given), json.dumps(given["not_checked"], ensure_ascii=False))


def _asked(*arguments: str) -> Any:
    said = CliRunner().invoke(cli, [*arguments, "--format", "json"], standalone_mode=False)
    assert said.exception is None, said.output
    return json.loads(said.stdout)


def _findings(given: Any) -> tuple[Told, ...]:
    return tuple(
        Told(item["rule"], item["severity"], item["hazard"], f"{item['message']} {item['arithmetic']} {item['limit']}")
        for item in given["findings"]
    )


def written(found: Mapping[str, str], folder: Path) -> None:
    """The files in a folder."""
    for path, text in found.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text, encoding="utf-8")


def problems(case: Case, result: Result) -> list[str]:
    """In what a result isn't what the record says; empty where it is right."""
    wrong = []
    if not _fits(case.answer, result):
        wrong.append(f"{result.answer!r} where {case.answer.value!r} is right")
    loud = [item for item in result.found if item.severity in ("break", "caution")]
    if case.answer in (Answer.BREAK, Answer.UNFIT, Answer.HAZARD):
        loud = [item for item in loud if item.severity == "break"]
    if case.answer is Answer.HAZARD:
        loud = [item for item in loud if item.hazard]
    if case.rules and not any(item.rule in case.rules for item in loud):
        wrong.append(f"told by none of {', '.join(case.rules)}")
    said = " ".join(item.text for item in result.found if item.rule in case.rules)
    wrong += [f"{item.value:.4g} {item.unit} isn't told" for item in case.figures if not _told(item, said)]
    if case.needs and case.needs.casefold() not in (result.asked + " ".join(i.text for i in result.found)).casefold():
        wrong.append(f"{case.needs} isn't asked for")
    if wrong:
        wrong.append(f"found: {[(item.rule, item.severity, item.hazard, item.text) for item in result.found]}")
        wrong.append(f"asked: {result.asked}")
    return wrong


def _fits(wanted: Answer, result: Result) -> bool:
    hazard = any(item.hazard for item in result.found)
    told = any(item.severity in ("break", "caution") for item in result.found)
    match wanted:
        case Answer.FITS:
            return result.answer == "fits" and not told
        case Answer.CARE:
            return result.answer == "fits with care"
        case Answer.SOUND:
            return result.answer in ("fits", "fits with care")
        case Answer.TELL:
            return result.answer in ("cannot tell", "not judged")
        case Answer.TOLD:
            return told
        case Answer.BREAK:
            return result.answer == "does not fit" and not hazard
        case Answer.UNFIT:
            return result.answer == "does not fit"
        case Answer.HAZARD:
            return result.answer == "does not fit" and hazard


def _told(figure: Figure, said: str) -> bool:
    values = (float(number) * _PREFIX[prefix] for number, prefix, unit in _VALUE.findall(said) if unit == figure.unit)
    return any(abs(value - abs(figure.value)) <= abs(figure.value) * 0.01 for value in values)
