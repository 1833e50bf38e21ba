"""Boards by what the user wrote: ``base@rev-c``, from this repository, another one or a folder."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from msgspec import Struct

from revdiff.app.acceptance import Dated
from revdiff.app.lending import Lending
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import LENT
from revdiff.errors import UsageFault
from revdiff.judge import Belonging, Member, member
from revdiff.judge.names import met_signals
from revdiff.quantities.revision_label import revision_key
from revdiff.readers.loader import Loader
from revdiff.sources import Revision, open_revision
from revdiff.sources.base import NotFound
from revdiff.sources.open import tags

_HERE = "worktree"


class Partners(Struct, frozen=True):
    """Where revisions come from: a repository, and other repositories or folders for some boards.

    ``manifest``: the one that the user named for revisions that it isn't of.
    """

    repository: Path = Path()
    design: str = ""
    places: Mapping[str, tuple[Path, ...]] | None = None
    manifest: str = ""

    def of(self, board: str) -> tuple[Path, ...]:
        """The places of a board's revisions."""
        return (self.places or {}).get(board) or (self.repository,)


class Boards:
    """Opens boards at revisions; each design is read once. ``dated``: by the id of a design, what it is of.

    ``recognising``: where nobody has a manifest, the tables are recognised.
    """

    def __init__(self, partners: Partners, *, recognising: bool = False) -> None:
        self._partners = partners
        self._recognising = recognising
        self.loader = Loader()
        self._designs: dict[tuple[Path, str], Design] = {}
        self.dated: dict[int, Dated] = {}

    @property
    def lent(self) -> tuple[Diagnostic, ...]:
        """By whose manifest revisions without one were read."""
        found = {item: None for design in self._designs.values() for item in design.diagnostics}
        return tuple(item for item in found if item.code in LENT)

    @property
    def faults(self) -> tuple[Diagnostic, ...]:
        """The faults in all designs that were read."""
        found = {item: None for design in self._designs.values() for item in design.diagnostics}
        return tuple(item for item in found if item.severity == "fault")

    def member(self, asked: str) -> Member:
        """The board that ``base@rev-c`` names; without a revision, the working tree or the partner's folder.

        A board's own tags may be named with or without its name before them: ``base@rev-c`` finds ``base/rev-c``.
        Raises UsageFault where there is no such board or revision, DataFault where the design can't be read.
        """
        board, _, revision = asked.partition("@")
        if not board or (not revision and "@" in asked):
            raise UsageFault(f"{asked!r} names no board at a revision; write BOARD@REVISION, such as base@rev-c")
        missing: NotFound | None = None
        for place in self._partners.of(board):
            for name in dict.fromkeys((revision or _HERE, f"{board}/{revision}" if revision else _HERE)):
                try:
                    design = self.design(place, name)
                except NotFound as error:
                    missing = missing or error
                    continue
                if board not in design.boards:
                    listed = ", ".join(design.boards)
                    raise UsageFault(f"{revision or place} has no board {board!r}; it has {listed}")
                here = _HERE if place == self._partners.repository else place.resolve().name
                return member(design, board, _shown(revision) or here)
        raise missing if missing is not None else UsageFault(f"there is no revision for {asked!r}")

    def design(self, place: Path, revision: str) -> Design:
        """The design at a revision of a repository, or of a folder that is none."""
        key = (place.resolve(), revision)
        if key not in self._designs:
            opened = self._open(place, revision)
            own = place == self._partners.repository
            inside, named = (self._partners.design, self._partners.manifest) if own else ("", "")
            design = Lending(self.loader, place, inside, named, recognising=self._recognising).read(opened)
            self._designs[key] = design
            self.dated[id(design)] = opened.identity, design.sections.waivers
        return self._designs[key]

    def _open(self, place: Path, revision: str) -> Revision:
        design = self._partners.design if place == self._partners.repository else ""
        if revision == _HERE:
            try:
                return open_revision(_HERE, repository=place, design=design)
            except NotFound:
                return open_revision(f"folder:{place}", repository=place, design=design)
        return open_revision(revision, repository=place, design=design)

    def revisions(self, board: str, pattern: str) -> list[tuple[Path, str]]:
        """The (place, tag) of a board that match a pattern, in the order of their labels.

        Where the repository has tags of the board's own (``base/rev-c``), only those count for it; tags of another
        board's family never do. A folder that is no repository is one revision.
        """
        found = []
        families = {name for name in self._known_boards() if name != board}
        for place in self._partners.of(board):
            try:
                names = tags(place, "*")
            except NotFound:
                found.append((place, _HERE))
                continue
            own = [name for name in names if name.startswith(f"{board}/")]
            common = [name for name in names if name.partition("/")[0] not in families]
            chosen = [name for name in own or common if _matches(name, board, pattern)]
            found += [(place, name) for name in sorted(chosen, key=lambda name: revision_key(name.rpartition("/")[2]))]
        return found

    def _known_boards(self) -> set[str]:
        return {name for design in self._designs.values() for name in design.boards}

    def taught(self, designs: Iterable[Design]) -> Belonging:
        """What known-good pairings at other revisions teach: signals that met there belong together."""
        found: set[tuple[tuple[str, str], tuple[str, str]]] = set()
        for design in designs:
            for entry in design.sections.known_good:
                if not any("@" in item for item in entry.boards):
                    continue
                members = [
                    self.member(item) if "@" in item else member(design, item, "here")
                    for item in entry.boards
                    if "@" in item or item in design.boards
                ]
                for one in members:
                    for two in members:
                        names = one.board.name, two.board.name
                        found |= {
                            ((names[0], x), (names[1], y)) for x, y in met_signals(one.design, two.design, *names)
                        }
        return frozenset(found)


def _shown(revision: str) -> str:
    """A revision in a pairing: as written, a folder by its own name alone."""
    path = revision.removeprefix("folder:")
    return Path(path).resolve().name if path != revision or path.startswith((".", "/")) else revision


def _matches(name: str, board: str, pattern: str) -> bool:
    import fnmatch

    wanted = pattern.replace("{board}", board)
    return fnmatch.fnmatchcase(name, wanted) or fnmatch.fnmatchcase(name.rpartition("/")[2], wanted)


def partner_places(texts: Iterable[str]) -> dict[str, tuple[Path, ...]]:
    """``radio=../radio-board`` to the board and its place. Raises UsageFault."""
    found: dict[str, tuple[Path, ...]] = {}
    for text in texts:
        board, equals, path = text.partition("=")
        if not (board and equals and path):
            raise UsageFault(f"{text!r} names no partner; write BOARD=PATH, such as radio=../radio-board")
        if not Path(path).is_dir():
            raise UsageFault(f"{path!r}, the place of {board}, is no folder")
        found[board] = (*found.get(board, ()), Path(path))
    return found
