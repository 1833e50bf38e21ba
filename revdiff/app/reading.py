"""A design with what its sections leave to other files, and with all faults of these."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from msgspec.structs import replace

from revdiff.budget import Budget
from revdiff.design import Design
from revdiff.judge.waivers import unknown_rules
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.manifest_values import Values
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
        design = dataclasses.replace(design, contracts={**elsewhere, **design.contracts})
    blob = revision.find(MANIFEST)
    text = revision.read(blob).decode("utf-8-sig", "replace") if blob is not None else ""
    values = Values(text, Faults(budget))
    if any(contract.extra for contract in design.contracts.values()):
        from revdiff.readers.contract_sources import with_sources

        design = with_sources(design, revision, values)
    unknown_rules(design, values)
    found = tuple(replace(item, revision=revision.identity.name) for item in values.faults.found)
    return dataclasses.replace(design, diagnostics=(*design.diagnostics, *found)) if found else design
