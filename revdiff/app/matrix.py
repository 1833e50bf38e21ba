"""The matrix of all tagged revisions of a repository and its partners."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from revdiff.app.acceptance import Acceptance, Dated, accepted_matrix
from revdiff.app.boards import Boards, Partners
from revdiff.app.shipped import shipped_beside
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import DataFault, UsageFault
from revdiff.judge import Member, member
from revdiff.judge.matrix import Matrix, build_matrix
from revdiff.quantities.revision_label import revision_key
from revdiff.sources.open import tags


class TaggedMatrix(Struct, frozen=True):
    """The matrix, the faults in the data of all revisions, and by whose manifest those without one were read.

    ``newest``: the names of the newest revision of each board, which alone can still be mended.
    """

    matrix: Matrix
    faults: tuple[Diagnostic, ...]
    lent: tuple[Diagnostic, ...] = ()
    newest: frozenset[str] = frozenset()

    @property
    def faulty(self) -> bool:
        """Whether the newest revision of a board has faults."""
        return any(item.revision in self.newest for item in self.faults)


def matrix_of_tags(
    partners: Partners, pattern: str, *, subject: str = "", acceptance: Acceptance | None = None
) -> TaggedMatrix:
    """Reads every tag that matches and judges all pairs; with a ``subject``, that revision with all that was shipped.

    A tag without a design, or with one that can't be read, is left out and told. Raises UsageFault where nothing is
    left, or there is no repository.
    """
    reading = _WithShipped(partners, pattern, subject) if subject else _Reading(partners, pattern)
    found = reading.matrix()
    if acceptance is None:
        return found
    return replace(found, matrix=accepted_matrix(found.matrix, acceptance, reading.dated))


class _Reading:
    def __init__(self, partners: Partners, pattern: str) -> None:
        self._partners = partners
        self._pattern = pattern
        self._boards = Boards(partners)
        self._left_out: dict[str, str] = {}
        self._faults: list[Diagnostic] = []

    @property
    def dated(self) -> dict[int, Dated]:
        """By the id of a design, the revision that it is of."""
        return self._boards.dated

    def matrix(self) -> TaggedMatrix:
        names = self._board_names()
        members = {name: self._members(name) for name in names}
        designs = {id(item.design): item.design for found in members.values() for item in found}
        if not designs:
            bare = "; revdiff init writes a manifest, which is lent to them" if self._left_out else ""
            raise UsageFault(
                f"no tag that matches {self._pattern!r} holds a design{bare}. 'git tag --list' shows the tags."
            )
        newest = list(designs.values())[-1]
        matrix = build_matrix(
            members,
            title=newest.title or newest.name,
            taught=self._boards.taught(designs.values()),
            left_out=tuple(self._left_out.items()),
        )
        return TaggedMatrix(matrix, (*self._faults, *self._boards.faults), self._boards.lent, self._newest(names))

    def _newest(self, names: list[str]) -> frozenset[str]:
        """The names of the newest revision of each board, as diagnostics have them."""
        found = [self._boards.revisions(name, self._pattern)[-1:] for name in names]
        named = set()
        for place, tag in (item for revisions in found for item in revisions):
            design = self._design(place, tag)
            named.add(tag if design is None else self.dated[id(design)][0].name)
        return frozenset(named)

    def _board_names(self) -> list[str]:
        """All boards, in the order of the newest design's manifest, then those that only older ones have."""
        found: dict[str, None] = {}
        for place in dict.fromkeys((self._partners.repository, *self._other_places())):
            names = tags(place, "*") if place == self._partners.repository else ()
            for tag in sorted(names, key=lambda name: revision_key(name.rpartition("/")[2]), reverse=True):
                design = self._design(place, tag)
                found.update(dict.fromkeys(design.boards if design is not None else ()))
        found.update(dict.fromkeys(self._partners.places or ()))
        return list(found)

    def _other_places(self) -> list[Path]:
        return [place for places in (self._partners.places or {}).values() for place in places]

    def _members(self, board: str) -> list[Member]:
        found = []
        for place, tag in self._boards.revisions(board, self._pattern):
            design = self._design(place, tag)
            if design is None or board not in design.boards:
                continue
            name = tag.removeprefix(f"{board}/") if tag != "worktree" else place.resolve().name
            found.append(member(design, board, name))
        return found

    def _design(self, place: Path, tag: str) -> Design | None:
        if tag in self._left_out:
            return None
        try:
            return self._boards.design(place, tag)
        except FaultyDesign as error:
            self._left_out[tag] = error.diagnostics[0].message
            if any(item.code != "no-manifest" for item in error.diagnostics):
                self._faults += error.diagnostics
        except (DataFault, UsageFault) as error:  # a tag of a file or a folder is no revision
            self._left_out[tag] = str(error)
        return None


class _WithShipped(_Reading):
    """One revision and all released ones that are marked as shipped, board by board."""

    def __init__(self, partners: Partners, pattern: str, subject: str) -> None:
        super().__init__(partners, pattern)
        if partners.places:
            raise UsageFault("--with judges the revisions of one repository; it can't be given with --partner")
        self._subject = subject

    def matrix(self) -> TaggedMatrix:
        place = self._partners.repository
        design = self._boards.design(place, self._subject)
        own = self.dated[id(design)][0]
        found = shipped_beside(self._boards.loader, own, place, self._partners.design, self._pattern)
        members: dict[str, list[Member]] = {}
        taught = [design]
        for item in found:
            if item.design is None:
                self._left_out[item.identity.name] = item.why
                continue
            self.dated[id(item.design)] = item.identity, item.design.sections.waivers
            taught.append(item.design)
            for board in item.boards:
                name = item.identity.name
                members.setdefault(board, []).append(member(item.design, board, name))
        for board in design.boards:
            members.setdefault(board, []).append(member(design, board, self._subject))
        matrix = build_matrix(
            members,
            title=design.title or design.name,
            taught=self._boards.taught(taught),
            left_out=tuple(self._left_out.items()),
        )
        held = tuple(item.identity.name for item in found if item.design is not None)
        told = replace(matrix, subject=self._subject, held=held)
        return TaggedMatrix(told, self._boards.faults, self._boards.lent, frozenset({own.name}))
