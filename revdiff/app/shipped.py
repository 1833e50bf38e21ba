"""The released revisions that reached users, as the tags' own manifests and the base's say; never a change's."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from revdiff.app.reading import with_firmware
from revdiff.app.review import design_of
from revdiff.design import Board, Design
from revdiff.errors import DataFault, UsageFault
from revdiff.judge.finding import Finding
from revdiff.quantities.revision_label import revision_key
from revdiff.readers.entries import MANIFEST
from revdiff.readers.loader import Loader
from revdiff.sources import Identity, Revision, default_base, open_revision, tags


class Released(Struct, frozen=True):
    """A tagged revision, its boards that reached users, and other tags of the same content.

    ``boards`` is empty, and ``why`` says why, for one that can't be read.
    """

    identity: Identity
    design: Design | None
    boards: tuple[str, ...]
    also: tuple[str, ...] = ()
    why: str = ""


def released(loader: Loader, repository: Path, design: str, trusted: Design | None) -> tuple[Released, ...]:
    """Every tagged revision with a board that reached users, oldest label first, each distinct content once.

    A board of a tag did where the tag's manifest marks it, or where that of ``trusted`` marks the board and both print
    the same revision on it: often a board is marked when it is already out. The limits of stacking are those of
    ``trusted`` too; None: every tag speaks for itself. Without a repository there are none.
    """
    try:
        names = sorted(tags(repository), key=lambda name: revision_key(name.rpartition("/")[2]))
    except (DataFault, UsageFault):
        return ()
    found: list[Released] = []
    for name in names:
        item = _released(loader, name, repository, design, trusted)
        if item is None:
            continue
        same = next((index for index, known in enumerate(found) if _same(known, item)), None)
        if same is None:
            found.append(item)
        else:
            found[same] = replace(found[same], also=(*found[same].also, item.identity.name))
    return tuple(found)


def _same(one: Released, two: Released) -> bool:
    return one.design is not None and (one.design, one.boards) == (two.design, two.boards)


def _released(loader: Loader, tag: str, repository: Path, design: str, trusted: Design | None) -> Released | None:
    try:
        asked = f"tag:{tag}"
        revision = open_revision(asked, repository=repository, design=design_of(asked, repository, design))
    except (DataFault, UsageFault):
        return None  # a tag of a file, or of a time before the design was there
    try:
        boards = tuple(_shipped(loader, revision, tag, trusted))
    except (DataFault, UsageFault):
        if revision.find(MANIFEST) is None:
            return None
        return Released(revision.identity, None, (), (), "its manifest can't be read")
    if not boards:
        return None
    try:
        loaded = with_firmware(loader.load(revision), revision, budget=loader.budget)
    except (DataFault, UsageFault) as error:
        return Released(revision.identity, None, boards, (), str(error).splitlines()[0])
    marked = {name: _marked(board) if name in boards else board for name, board in loaded.boards.items()}
    policy = loaded.sections.policy if trusted is None else trusted.sections.policy
    sections = replace(loaded.sections, policy=policy)
    return Released(revision.identity, dataclasses.replace(loaded, boards=marked, sections=sections), boards)


def _marked(board: Board) -> Board:
    return dataclasses.replace(board, sections=replace(board.sections, shipped=True))


def _shipped(loader: Loader, revision: Revision, tag: str, trusted: Design | None) -> Iterator[str]:
    boards = loader.manifest(revision).boards
    family = tag.partition("/")[0] if "/" in tag else ""
    for name, board in boards.items():
        if family in boards and family != name:
            continue  # a tag of another board's own
        known = trusted.boards.get(name) if trusted is not None else None
        later = known is not None and known.sections.shipped is True
        same = known is not None and bool(board.revision) and board.revision == known.revision
        if board.extra.get("shipped") is True or (later and same):
            yield name


def within(finding: Finding, boards: tuple[str, ...]) -> bool:
    """Whether a finding is about what users hold: every old board in it reached them, or the firmware's board did."""
    of_boards = [party for party in finding.parties if not party.firmware]
    old = [party for party in of_boards if party.role != "new"]
    return all(party.name in boards for party in old or of_boards)


def shipped_beside(
    loader: Loader, identity: Identity, repository: Path, design: str, pattern: str = "*"
) -> tuple[Released, ...]:
    """What a revision is to be held against: all that was shipped but itself, as the base that it is meant for says."""
    try:
        base = default_base(repository, identity.asked)
        trusted = loader.load(open_revision(base, repository=repository, design=design_of(base, repository, design)))
    except (DataFault, UsageFault):
        trusted = None
    found = released(loader, repository, design, trusted)
    others = (item for item in found if not identity.commit or item.identity.commit != identity.commit)
    return tuple(item for item in others if fnmatchcase(item.identity.name, pattern))
