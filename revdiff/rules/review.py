"""Two revisions to their review: read, compared and judged. What every command and the Python API start from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from revdiff.compare.change import Change
from revdiff.compare.comparison import Comparison, compare_designs
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import UsageFault
from revdiff.readers.entries import MANIFEST
from revdiff.readers.loader import Loader
from revdiff.rules.finding import Finding, NotChecked
from revdiff.rules.firmware_faults import with_firmware
from revdiff.rules.judge import Judgement, judge
from revdiff.sources import Identity, Revision, open_revision

if TYPE_CHECKING:
    from revdiff.rules.drift import Drift


@dataclass(frozen=True, slots=True)
class Review:
    """The comparison of two revisions with its judgement. All its parts are in a fixed, meaningful order."""

    old: Identity
    new: Identity
    comparison: Comparison
    judgement: Judgement

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes."""
        return self.comparison.changes

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, the loudest first."""
        return self.judgement.findings

    @property
    def not_checked(self) -> tuple[NotChecked, ...]:
        """The checks that could not be made."""
        return self.judgement.not_checked

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """What is to be told about the data of both revisions; the same statement about both only once."""
        seen: dict[object, Diagnostic] = {}
        for design in (self.comparison.old, self.comparison.new):
            for item in design.diagnostics:
                seen.setdefault((item.code, item.origin, item.message, item.found, item.revision), item)
        return tuple(seen.values())

    @property
    def faulty(self) -> bool:
        """Whether the data of either revision has faults."""
        return any(item.severity == "fault" for item in self.diagnostics)


@dataclass(frozen=True, slots=True)
class Look:
    """One revision by itself: its design and where its documents contradict each other."""

    identity: Identity
    design: Design
    drifts: tuple[Drift, ...]

    @property
    def faulty(self) -> bool:
        """Whether its data has faults."""
        return any(item.severity == "fault" for item in self.design.diagnostics)

    @property
    def missing(self) -> tuple[str, ...]:
        """What could not be held against each other, and what would allow it."""
        found = []
        for name, board in self.design.boards.items():
            if not board.nodes:
                found.append(f"{name}: nothing was held against a netlist; boards.{name}.netlist would name one")
        if not self.design.contracts:
            found.append("no firmware contract is declared; [firmware.NAME] would name one")
        return tuple(found)


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
    from revdiff.rules.drift import drifts

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
