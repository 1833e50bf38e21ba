"""Every name that an output shows, explained: rules, codes, kinds of change, and the words for what things mean."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from revdiff.compare.kinds import KINDS
from revdiff.judge.drift import MEANINGS
from revdiff.judge.registry import ALL, rule_named
from revdiff.judge.settings import CODES
from revdiff.readers.fault_codes import FAULT_CODES
from revdiff.release.words import GROUP_TITLES, MEANING_OF_WORDS
from revdiff.report.rule_text import rule_list, rule_text


def names() -> list[str]:
    """Everything that can be explained."""
    return [*(rule.name for rule in ALL), *MEANINGS, *CODES, *FAULT_CODES, *KINDS, *MEANING_OF_WORDS]


def explained(name: str, width: int) -> str:
    """The text on one name; empty where there is no such name."""
    rule = rule_named(name)
    if rule is not None:
        return rule_text(rule, width)
    if name in MEANINGS:
        told = (
            f"A contradiction between documents of one revision, which revdiff ready and check tell: {MEANINGS[name]}."
        )
    elif name in CODES:
        severity, meaning = CODES[name]
        told = f"A change of what is read or of what judges, which revdiff check tells as {severity}: {meaning}."
    elif name in FAULT_CODES:
        told = (
            f"About the data, as a fault that has to be mended or as a notice of what was assumed: {FAULT_CODES[name]}."
        )
    elif name in KINDS:
        group, meaning = KINDS[name]
        about = [rule.name for rule in ALL if name.partition(".")[2] in rule.about]
        told = f"A kind of change, {meaning}; it concerns first: {GROUP_TITLES[group].lower()}."
        told += f" Rules that may follow from it: {', '.join(about)}." if about else ""
    elif name in MEANING_OF_WORDS:
        told = MEANING_OF_WORDS[name]
    else:
        return ""
    return "\n".join((name, *textwrap.wrap(told, width, initial_indent="  ", subsequent_indent="  "), ""))


def everything(width: int) -> str:
    """All names, group by group."""
    return rule_list(width) + "".join(
        f"\n{title}\n{''.join(_rows(found, width))}"
        for title, found in (
            ("Words for what a finding, a cause or an arrangement means", MEANING_OF_WORDS),
            ("Contradictions between documents (ready, check)", MEANINGS),
            ("Changes of what is read or judges (check)", {code: meaning for code, (_, meaning) in CODES.items()}),
            ("About the data: faults and notices (all commands)", FAULT_CODES),
            ("Kinds of change (compare, check, JSON)", {kind: meaning for kind, (_, meaning) in KINDS.items()}),
        )
    )


def _rows(found: Mapping[str, str], width: int) -> Iterator[str]:
    lead = max(map(len, found))
    for name, meaning in found.items():
        text = textwrap.wrap(
            meaning,
            width,
            initial_indent=f"  {name:<{lead}}  ",
            subsequent_indent=" " * (lead + 4),
            break_on_hyphens=False,
        )
        yield "\n".join((*text, ""))
