"""What firmware rules need beyond the tables: contracts from sources, and faults of their sections at their line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from revdiff.budget import Budget
from revdiff.design import Design
from revdiff.design.derived import work_out
from revdiff.quantities.formula import FormulaFault
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.manifest_values import Values
from revdiff.rules.finding import NotChecked
from revdiff.rules.situation import Situation
from revdiff.rules.waivers import unknown_rules
from revdiff.sources import Revision


def with_firmware(
    design: Design, revision: Revision, further: Sequence[Revision] = (), budget: Budget | None = None
) -> Design:
    """The design with the contracts that firmware sources and ``further`` revisions give, and with all faults of these.

    Raises FaultyDesign where the contracts of a further revision can't be read; LimitFault beyond ``budget``.
    """
    if further:
        from revdiff.readers.contract_folder import contracts_in

        elsewhere = {key: item for other in further for key, item in contracts_in(other, design.boards, budget).items()}
        design = replace(design, contracts={**elsewhere, **design.contracts})
    blob = revision.find(MANIFEST)
    text = revision.read(blob).decode("utf-8-sig", "replace") if blob is not None else ""
    values = Values(text, Faults(budget))
    if any(contract.extra for contract in design.contracts.values()):
        from revdiff.rules.firmware_contracts import with_sources

        design = with_sources(design, revision, values)
    unknown_rules(design, values)
    found = tuple(replace(item, revision=revision.identity.name) for item in values.faults.found)
    return replace(design, diagnostics=(*design.diagnostics, *found)) if found else design


def firmware_missing(situation: Situation) -> Iterator[NotChecked]:
    """What of firmware was judged by something weaker than it should be, or not at all."""
    seen = set()
    for item in situation.employments:
        if item.stands_in and item.contract.title not in seen:
            seen.add(item.contract.title)
            yield NotChecked(
                f"what {item.contract.title} really relies on",
                "no firmware contract lists it; the pin map that it was built for stood in",
                "needs in [firmware.NAME] in revdiff.toml",
            )
    yield from _recognition(situation)
    for design, name in ((situation.old, situation.old_name), (situation.new, situation.new_name)):
        for item_name, derived in design.sections.derived.items():
            try:
                work_out(derived, design.boards)
            except FormulaFault as fault:
                yield NotChecked(
                    f"the derived quantity {item_name} in {name}", str(fault), f"derived.{item_name} in revdiff.toml"
                )


def _recognition(situation: Situation) -> Iterator[NotChecked]:
    identities = situation.new.sections.identities
    boards = {item.board.name for item in situation.employments if not item.stands_in}
    for name in sorted(boards):
        contracts = [item for item in situation.new.contracts.values() if item.board == name]
        touched = any(name in change.board.split(", ") and change.group == "firmware" for change in situation.changes)
        if name in identities or not touched or any(item.recognises for item in contracts):
            continue
        yield NotChecked(
            f"how software tells {name}@{situation.new_name} from {name}@{situation.old_name}",
            "neither the manifest nor a firmware contract says it",
            f"[identity.{name}] or recognises in [firmware.NAME] in revdiff.toml",
        )
