"""Revisions to designs: by their own manifest, else by one that is lent, else by what their files are recognised as."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from msgspec.structs import replace

from revdiff.app.reading import with_firmware
from revdiff.design import Design, Diagnostic, Origin
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import DataFault, RevdiffError, UsageFault
from revdiff.readers.entries import MANIFEST
from revdiff.readers.faults import Faults
from revdiff.readers.loader import Loader
from revdiff.readers.manifest import read_manifest
from revdiff.sources import Revision, open_revision
from revdiff.sources.files import file_of
from revdiff.sources.paths import shown

if TYPE_CHECKING:
    from revdiff.readers.proposal import Proposal
    from revdiff.readers.survey import Seen

# Most designs have a manifest at each revision: what recognises tables and lends is imported where one hasn't.
_LISTED = 3
_OF_NONE = "what revdiff init would write"


class Lending:
    """Reads revisions of one design. ``named``: the manifest that the user named for those that aren't its own.

    ``recognising``: where nobody has a manifest, the tables are recognised; else that is a fault, and so is a revision
    that has no table of a lent one.
    """

    def __init__(
        self, loader: Loader, repository: Path, design: str, named: str = "", *, recognising: bool = True
    ) -> None:
        self._loader = loader
        self._repository = repository
        self._design = design
        self._named = named_manifest(named, repository) if named else None
        self._recognising = recognising
        self._proposals: dict[int, Proposal | None] = {}
        self._seen: Seen = {}

    def read(self, revision: Revision, among: Sequence[Revision] = (), further: Sequence[Revision] = ()) -> Design:
        """The design at a revision. ``among``: all that are compared, the newest first; they lend to each other.

        Raises FaultyDesign where it can't be read, or there is neither a manifest nor a table that is recognised.
        """
        own = _manifest_of(revision)
        if self._named is not None and own != self._named[1]:
            return self._lent(revision, *self._named, further, trusted=True)
        if own is not None:
            return with_firmware(self._loader.load(revision), revision, further, self._loader.budget)
        for other in self._lenders(revision, among):
            data = _manifest_of(other)
            if data is not None:
                return self._lent(revision, f"{MANIFEST} of {_spoken(other)}", data, further, trusted=False)
        return self._recognised(revision, among or (revision,), further) if self._recognising else self._none(revision)

    def _lenders(self, revision: Revision, among: Sequence[Revision]) -> Iterator[Revision]:
        """Who may lend: what is compared with it, then the work tree and the newest commit of the same repository."""
        yield from (item for item in among if item is not revision)
        if revision.identity.kind in ("folder", "file"):
            return
        for name in ("worktree", "HEAD"):
            try:
                yield open_revision(name, repository=self._repository, design=self._design)
            except RevdiffError:
                continue

    def _recognised(self, revision: Revision, among: Sequence[Revision], further: Sequence[Revision]) -> Design:
        """By what the files of the newest one with tables are, so that boards have the same names in all."""
        from revdiff.readers.overlay import Overlay

        for one in (revision, *self._lenders(revision, among)):
            _tell_nested(one)
        for one in among:
            data = self._written(one, among)
            if data is None:
                continue
            if one is not revision:
                return self._lent(revision, f"{_OF_NONE} for {one.identity.name}", data, further, trusted=False)
            told = Diagnostic(
                code="no-manifest-yet",
                severity="notice",
                message=f"{one.identity.name} has no {MANIFEST}; it was read by {_OF_NONE}: {_tables(data)}",
                origin=Origin(MANIFEST, 1),
                remedy="Run revdiff init, and correct what it writes.",
                revision=one.identity.name,
            )
            overlay = Overlay(revision, revision.identity, data)
            design = with_firmware(self._loader.load(overlay), overlay, further, self._loader.budget)
            return dataclasses.replace(design, lent_by=_OF_NONE, diagnostics=(told, *design.diagnostics))
        return self._none(revision)

    def _none(self, revision: Revision) -> Design:
        """Raises FaultyDesign, since there is no manifest."""
        return self._loader.load(revision)

    def _written(self, revision: Revision, among: Sequence[Revision]) -> bytes | None:
        """What init would write of the tables of a revision, and of the joints that any of these shows.

        None where no table is recognised. No contract: a guessed one would take the place of the whole pin map, and
        hide what it leaves out. Contacts that changed places hide a joint in one revision, just where it matters.
        """
        from revdiff.readers.proposal import with_joints_of
        from revdiff.readers.proposal_text import manifest_text

        proposal = self._proposed(revision)
        if proposal is None:
            return None
        for other in among:
            proposal = with_joints_of(proposal, self._proposed(other))
        return manifest_text(replace(proposal, contracts=())).encode()

    def _proposed(self, revision: Revision) -> Proposal | None:
        from revdiff.readers.proposal import propose
        from revdiff.readers.survey import survey

        key = id(revision)
        if key not in self._proposals:
            try:
                found = propose(
                    survey(revision, self._loader.budget, self._seen), self._repository.resolve().name or "design"
                )
            except DataFault:
                found = None
            self._proposals[key] = found if found is not None and found.boards else None
        return self._proposals[key]

    def _lent(
        self, revision: Revision, lender: str, data: bytes, further: Sequence[Revision], *, trusted: bool
    ) -> Design:
        from revdiff.readers.lending import Loan, as_lent, lend, plainly
        from revdiff.readers.overlay import Overlay

        manifest = read_manifest(data, Faults(self._loader.budget))
        loan = lend(manifest, lender, revision, self._loader.budget, self._seen, trusted=trusted)
        if not loan.manifest.boards and not self._recognising:
            return self._none(revision)
        overlay = Overlay(revision, revision.identity, data)
        try:
            loaded = self._loader.load(overlay, loan.manifest)
        except FaultyDesign as error:
            files = frozenset(item.origin.file.partition("#")[0] for item in error.diagnostics)
            again = plainly(loan.manifest, files)
            if again == loan.manifest:
                raise
            try:
                loaded = self._loader.load(overlay, again)
            except FaultyDesign:
                raise error from None
            told = Diagnostic(
                code="read-plainly",
                severity="notice",
                message=f"the lent {MANIFEST} doesn't fit {', '.join(sorted(files))}; read without its word on them",
                origin=Origin(MANIFEST, 1),
                revision=revision.identity.name,
            )
            loan = Loan(again, (*loan.told, told))
        return as_lent(with_firmware(loaded, overlay, further, self._loader.budget), loan, lender)


NamedManifest: TypeAlias = tuple[str, bytes]
"""The name of a manifest for people, and its bytes."""


def by_named(revision: Revision, named: NamedManifest | None) -> Revision:
    """The revision with the manifest that the user named in the place of its own, or as it is."""
    from revdiff.readers.overlay import Overlay

    return revision if named is None else Overlay(revision, revision.identity, named[1])


def as_named(design: Design, revision: Revision, named: NamedManifest | None) -> Design:
    """A design that was read so, with the notice of it."""
    if named is None:
        return design
    told = Diagnostic(
        code="lent-manifest",
        severity="notice",
        message=f"{revision.identity.name} was read by {named[0]}",
        origin=Origin(MANIFEST, 1),
        revision=revision.identity.name,
    )
    return dataclasses.replace(design, lent_by=named[0], diagnostics=(told, *design.diagnostics))


def named_manifest(asked: str, repository: Path) -> NamedManifest:
    """Who lends, and the manifest that the user named. Raises UsageFault where it can't be read."""
    file = file_of(asked, repository)
    if file is None:
        raise UsageFault(f"--manifest: there is no file {shown(asked)}; name one, or one of a revision: REVISION:FILE")
    blob = file.revision.find(file.path)
    if blob is None:
        raise UsageFault(f"--manifest: {shown(asked)} isn't there")
    return file.name, file.revision.read(blob)


def _tell_nested(revision: Revision) -> None:
    """Raises DataFault where a folder below has a manifest: who wrote one meant that."""
    try:
        nested = [path for path in revision.paths() if path.endswith(f"/{MANIFEST}")]
    except DataFault:  # too many files to look through
        return
    if nested:
        raise DataFault(
            f"{_spoken(revision)} has no {MANIFEST} at the root of the design, but "
            f"{', '.join(map(shown, nested[:_LISTED]))}; name the folder of the one that is meant with --design"
        )


def _manifest_of(revision: Revision) -> bytes | None:
    blob = revision.find(MANIFEST)
    return None if blob is None else revision.read(blob)


def _spoken(revision: Revision) -> str:
    return (
        f"the {revision.identity.name}" if revision.identity.kind in ("work tree", "index") else revision.identity.name
    )


def _tables(data: bytes) -> str:
    manifest = read_manifest(data, Faults())
    told = [
        f"board {name}: {', '.join(f'{kind} {spec.file}' for kind, spec in board.tables.items()) or 'a netlist'}"
        for name, board in manifest.boards.items()
    ]
    told += [
        f"joint {item.board_a}.{item.connector_a} with {item.board_b}.{item.connector_b}" for item in manifest.joints
    ]
    return "; ".join(told)
