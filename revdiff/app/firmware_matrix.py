"""The matrix of firmware releases and the tagged revisions of their boards."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec.structs import replace

from revdiff.app.acceptance import Acceptance, Dated
from revdiff.app.lending import Lending
from revdiff.app.shipped import shipped_beside
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import LENT, FaultyDesign
from revdiff.errors import DataFault, UsageFault
from revdiff.judge.finding import Finding
from revdiff.judge.firmware_matrix import FirmwareMatrix, firmware_matrix
from revdiff.judge.waivers import Waived
from revdiff.quantities.revision_label import revision_key
from revdiff.readers.loader import Loader
from revdiff.sources import open_revision
from revdiff.sources.open import tags


def firmware_matrix_of_tags(
    repository: Path,
    design: str = "",
    pattern: str = "*",
    *,
    subject: str = "",
    manifest: str = "",
    acceptance: Acceptance | None = None,
) -> FirmwareMatrix:
    """Reads every tag that matches, and judges all pairs. A tag without a readable design is left out and told.

    With a ``subject``, that revision is judged with every one that is marked as shipped. ``manifest``: the one that the
    user named for revisions that it isn't of. Raises UsageFault where nothing is left, or there is no repository.
    """
    designs: list[tuple[str, Design]] = []
    left_out: list[tuple[str, str]] = []
    faults: list[Diagnostic] = []
    dated: dict[str, Dated] = {}
    loader = Loader()
    lending = Lending(loader, repository, design, manifest, recognising=False)

    def load(asked: str, name: str) -> Dated:
        source = open_revision(asked, repository=repository, design=design)
        loaded = lending.read(source)
        designs.append((name, loaded))
        faults.extend(item for item in loaded.diagnostics if item.severity == "fault" or item.code in LENT)
        dated[name] = source.identity, loaded.sections.waivers
        return dated[name]

    if subject:
        identity, _ = load(subject, subject)
        for item in shipped_beside(loader, identity, repository, design, pattern):
            name = item.identity.name
            if item.design is None:
                left_out.append((name, item.why))
            else:
                designs.insert(len(designs) - 1, (name, item.design))
                dated[name] = item.identity, item.design.sections.waivers
    names = sorted(tags(repository, pattern), key=revision_key) if not subject else []
    newest = names[-1] if names else dated[subject][0].name if subject else ""
    for tag in names:
        try:
            load(f"tag:{tag}", tag)
        except FaultyDesign as error:
            left_out.append((tag, error.diagnostics[0].message))
            faults += [item for item in error.diagnostics if item.code != "no-manifest"]
        except (DataFault, UsageFault) as error:  # a tag of a file or a folder is no revision
            left_out.append((tag, str(error)))
    if not designs:
        raise UsageFault(f"no tag that matches {pattern!r} holds a design. 'git tag --list' shows the tags.")

    def accept(old: str, new: str, findings: Sequence[Finding]) -> Waived:
        if acceptance is None:
            return Waived(tuple(findings), ())
        return acceptance.of((dated[old], dated[new]), findings)

    matrix = firmware_matrix(designs, subject=subject, accept=accept)
    held = tuple(name for name, _ in designs if name != subject) if subject else ()
    told = replace(matrix, left_out=tuple(left_out), faults=tuple(faults), newest=newest)
    return replace(told, subject=subject, held=held)
