"""The whole line from bytes to a review. This module alone opens, loads, compares and judges; all else calls it."""

from __future__ import annotations

from pathlib import Path

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import UsageFault
from revdiff.readers.entries import MANIFEST
from revdiff.readers.loader import Loader
from revdiff.release.review import Look, Review
from revdiff.rules.drift import drifts
from revdiff.rules.firmware_faults import with_firmware
from revdiff.rules.judge import judge
from revdiff.sources import Revision, open_revision


def design_of(name: str, repository: Path, design: str) -> str:
    """The folder of the design in a repository: as stated, else the one the user stands in where it has a manifest."""
    if design or name.startswith("folder:") or Path(name).is_dir() or not (repository / MANIFEST).is_file():
        return design
    here = repository.resolve()
    root = next((folder for folder in (here, *here.parents) if (folder / ".git").exists()), here)
    return "" if root == here else here.relative_to(root).as_posix()


def look_at_revision(name: str | None, *, repository: Path = Path(), design: str = "") -> Look:
    """Reads one revision and looks for contradictions in it. Raises as ``review_revisions`` does."""
    if name is None:
        try:
            inside = design_of("worktree", repository, design)
            source = open_revision("worktree", repository=repository, design=inside)
        except UsageFault:
            source = open_revision(f"folder:{repository}", repository=repository, design=design)
    else:
        source = open_revision(name, repository=repository, design=design_of(name, repository, design))
    loaded = Loader().load(source)
    return Look(source.identity, loaded, drifts(loaded))


def _open(old: str, new: str, repository: Path, design: str) -> list[Revision]:
    """The two revisions; two files that are named instead are each a design of its own."""
    others = [name for name in (old, new) if ":" in name or not Path(name).is_file()]
    if not others:
        from revdiff.readers.loose import open_loose

        return open_loose(Path(old), Path(new))
    try:
        return [
            open_revision(name, repository=repository, design=design_of(name, repository, design))
            for name in (old, new)
        ]
    except UsageFault:
        if len(others) == 1 and ":" not in others[0]:
            file = new if others[0] == old else old
            raise UsageFault(f"there is no file {others[0]!r} to compare the file {file!r} with") from None
        raise


def review_revisions(
    old: str,
    new: str,
    *,
    repository: Path = Path(),
    design: str = "",
    strict_names: bool = False,
    contracts: tuple[str, ...] = (),
) -> Review:
    """Reads, compares and judges two revisions.

    ``old`` and ``new`` name a tag, branch, commit, ``worktree``, ``index`` or a folder; ``design`` is the
    folder of the design inside the repository. ``contracts`` name folders or revisions with further firmware
    contracts for both. Raises UsageFault for a revision that can't be opened,
    FaultyDesign with the faults of both revisions where one can't be read at all.
    """
    sources = _open(old, new, repository, design)
    further = [open_revision(name, repository=repository) for name in contracts]
    loader = Loader()
    designs: list[Design] = []
    faults: list[Diagnostic] = []
    for source in sources:
        try:
            designs.append(with_firmware(loader.load(source), source, further))
        except FaultyDesign as error:
            faults.extend(error.diagnostics)
    if faults:
        raise FaultyDesign(faults)
    comparison = compare_designs(designs[0], designs[1], strict_names=strict_names)
    names = [source.identity.name for source in sources]
    if names[0] == names[1]:
        names = [f"{name} ({which})" for name, which in zip(names, ("old", "new"), strict=True)]
    return Review(sources[0].identity, sources[1].identity, comparison, judge(comparison, names[0], names[1]))
