"""Two revisions to their review, and one revision to what is to be seen in it alone."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from revdiff.app.lending import Lending
from revdiff.app.moments import moment_and_tags
from revdiff.app.reading import with_firmware
from revdiff.compare.comparison import compare_designs
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import UsageFault
from revdiff.judge import judge_change, judge_itself
from revdiff.judge.drift import drifts
from revdiff.judge.waivers import waive
from revdiff.readers.entries import MANIFEST
from revdiff.readers.loader import Loader
from revdiff.release.review import Look, Review
from revdiff.sources import Revision, open_revision
from revdiff.sources.files import open_files
from revdiff.sources.open import means_folder
from revdiff.sources.place import top_of


def design_of(name: str, repository: Path, design: str) -> str:
    """The folder of the design in a repository: as stated, else the one the user stands in where it has a manifest."""
    if design or means_folder(name, repository) or not (repository / MANIFEST).is_file():
        return design
    here, root = repository.resolve(), top_of(repository)
    return "" if root in (None, here) else here.relative_to(root).as_posix()


def look_at_revision(name: str | None, *, repository: Path = Path(), design: str = "") -> Look:
    """Reads one revision and holds it against itself. Raises as ``review_revisions`` does.

    Only what is committed is lent a manifest: one that is missing where people work is a fault.
    """
    if name is None:
        try:
            inside = design_of("worktree", repository, design)
            source = open_revision("worktree", repository=repository, design=inside)
        except UsageFault:
            source = open_revision(f"folder:{repository}", repository=repository, design=design)
    else:
        source = open_revision(name, repository=repository, design=design_of(name, repository, design))
    loader = Loader()
    if source.identity.commit:
        loaded = Lending(loader, repository, design_of("worktree", repository, design)).read(source)
    else:
        loaded = with_firmware(loader.load(source), source, budget=loader.budget)
    return Look(source.identity, loaded, drifts(loaded), judge_itself(loaded, source.identity.name))


def _open(old: str, new: str, repository: Path, design: str, manifest: str) -> list[Revision]:
    """The two revisions; files that are named instead are each a design of its own."""
    files = open_files(old, new, repository)
    if files is not None:
        if manifest:
            raise UsageFault("--manifest is for revisions; two files are compared without one")
        from revdiff.readers.loose import open_loose

        return open_loose(*files)
    return [
        open_revision(name, repository=repository, design=design_of(name, repository, design)) for name in (old, new)
    ]


def review_revisions(
    old: str,
    new: str,
    *,
    repository: Path = Path(),
    design: str = "",
    strict_names: bool = False,
    contracts: tuple[str, ...] = (),
    manifest: str = "",
    waivers: str = "",
    today: date | None = None,
) -> Review:
    """Reads, compares and judges two revisions.

    ``old`` and ``new`` name a tag, branch, commit, ``worktree``, ``index`` or a folder; ``design`` is the
    folder of the design inside the repository. ``contracts`` name folders or revisions with further firmware
    contracts for both. ``manifest``: a file, or REV:FILE, that both are read by; without it, one that has none is read
    by the other's, the work tree's, or what its files are recognised as. ``waivers`` names the revision whose waivers
    count (default: ``old``), ``today`` the day by which they lapse (default: that of the newest commit among all of
    these). Raises UsageFault for a revision that can't be opened, FaultyDesign with the faults of both revisions where
    one can't be read at all.
    """
    sources = _open(old, new, repository, design, manifest)
    further = [open_revision(name, repository=repository) for name in contracts]
    loader = Loader()
    designs: list[Design] = []
    faults: list[Diagnostic] = []
    lending = Lending(loader, repository, design_of("worktree", repository, design), manifest)
    for source in sources:
        try:
            designs.append(lending.read(source, sources[::-1], further))
        except FaultyDesign as error:
            faults.extend(error.diagnostics)
    if faults:
        raise FaultyDesign(faults)
    comparison = compare_designs(designs[0], designs[1], strict_names=strict_names)
    names = [source.identity.name for source in sources]
    if names[0] == names[1]:
        names = [f"{name} ({which})" for name, which in zip(names, ("old", "new"), strict=True)]
    verdict = judge_change(comparison, names[0], names[1])
    one, two = (source.identity for source in sources)
    source = sources[0]
    accepted = designs[0].sections.waivers
    if waivers:
        source = open_revision(waivers, repository=repository, design=design_of(waivers, repository, design))
        accepted = loader.load(source).sections.waivers
    waived = waive(verdict.findings, accepted, *moment_and_tags((one, two, source.identity), repository, today))
    return Review(one, two, comparison, verdict, waived)
