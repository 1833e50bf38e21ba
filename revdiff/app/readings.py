"""The files of a change, read in every way that counts: as its own manifest says, and as its base's does."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from revdiff.app.lending import NamedManifest, as_named, by_named
from revdiff.app.reading import with_firmware
from revdiff.design import Design, Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.judge.losses import lost_statements
from revdiff.judge.settings import SettingChange, setting_changes
from revdiff.judge.unsaid import Unsaid
from revdiff.readers.entries import MANIFEST, Manifest
from revdiff.readers.loader import Loader
from revdiff.readers.survey import could_be_table
from revdiff.readers.tables import is_there
from revdiff.readers.trusted import by_paths_of_base, by_paths_of_change, trusting
from revdiff.release.check import ReadingKind
from revdiff.sources import Revision, Submission
from revdiff.sources.recording import Recording

# What the reader says where it had to choose -> the setting by which that is told.
_CHOICES = {"several-worksheets": "table-unsure", "several-tables": "table-unsure", "two-columns": "column-unsure"}
_COMMIT = (
    "A change is judged by the manifest of its base: commit revdiff.toml there (revdiff init writes one), or name one "
    "with --manifest FILE or REVISION:FILE; if the design is in a subfolder, name it with --design."
)
_LOUDEST = ("statement-lost", "table-dropped")  # the last one is the loudest
_RECORDS = ("parts", "pins", "connectors", "nodes")


class ReadChange(Struct, frozen=True):
    """The distinct readings, the change's own first, and all that differs in what is read and what judges."""

    base: Design
    readings: tuple[tuple[ReadingKind, Design], ...]
    settings: tuple[SettingChange, ...]


def read_change(loader: Loader, submission: Submission, named: NamedManifest | None = None) -> ReadChange:
    """Reads both. ``named``: a manifest that the user named in the place of both their own.

    Raises FaultyDesign with the faults of both where one can't be read by its own manifest.
    """
    sides = (
        Recording(by_named(submission.base, named)),
        Recording(by_named(submission.change, named)),
    )
    designs: list[Design] = []
    faults: list[Diagnostic] = []
    for side in sides:
        try:
            loaded = with_firmware(loader.load(side), side, budget=loader.budget)
            designs.append(as_named(loaded, side, named))
        except FaultyDesign as error:
            faults.extend(
                replace(one, remedy=_COMMIT) if one.code == "no-manifest" else one for one in error.diagnostics
            )
    if faults:
        raise FaultyDesign(faults)
    manifests = loader.manifest(sides[0]), loader.manifest(sides[1])
    settings = list(setting_changes(*manifests))
    readings: list[tuple[ReadingKind, Design]] = [("own", designs[1])]
    if settings:
        told = frozenset((item.code, item.message) for design in designs for item in design.diagnostics)
        for kind, manifest in _as_base_says(*manifests, sides[1]):
            design, problems = _read(loader, sides[1], manifest, manifests[1], told)
            settings += problems
            if design is not None and all(design != known for _, known in readings):
                readings.append((kind, design))
                settings += _differing(manifests, designs[1], design)
    for _, design in readings:
        settings += map(_as_setting, lost_statements(designs[0], design))
        settings += _choices(designs[0], design)
    settings += _unread(submission, sides[0].found | sides[1].found)
    # What is dropped or lost is told as that alone: the loudest code of a subject counts.
    loudest = {item.subject: item.code for code in _LOUDEST for item in settings if item.code == code}
    settings = [item for item in settings if loudest.get(item.subject, item.code) == item.code]
    return ReadChange(designs[0], tuple(readings), tuple({item.id: item for item in settings}.values()))


def _as_base_says(base: Manifest, change: Manifest, files: Revision) -> Iterator[tuple[ReadingKind, Manifest]]:
    yield "change-paths", by_paths_of_change(base, change)
    yield "base-paths", by_paths_of_base(base, change, lambda path: is_there(files, path))


def _read(
    loader: Loader, change: Revision, manifest: Manifest, own: Manifest, told: frozenset[tuple[str, str]]
) -> tuple[Design | None, list[SettingChange]]:
    """The change by a manifest that trusts the base, and what of it doesn't fit; None where nothing can be read so.

    ``told``: code and message of the faults that the base and the change have anyway.
    """
    problems: list[SettingChange] = []
    try:
        loaded = loader.load(change, manifest)
    except FaultyDesign as error:
        problems += map(_unreadable, error.diagnostics)
        files = frozenset(item.origin.file.partition("#")[0] for item in error.diagnostics)
        try:
            loaded = loader.load(change, trusting(manifest, own, files))
        except FaultyDesign as again:
            return None, [*problems, *map(_unreadable, again.diagnostics)]
    for item in loaded.diagnostics:
        if item.severity != "fault" or (item.code, item.message) in told:
            continue
        if item.origin.file != MANIFEST:
            problems.append(_unreadable(item))
        elif not item.code.startswith("unknown-"):  # connectors that went are told with their joints
            problems.append(SettingChange(code="unfit-section", subject=item.message, after=item.found))
    return with_firmware(loaded, change, budget=loader.budget), problems


def _as_setting(item: Unsaid) -> SettingChange:
    return SettingChange(
        code=item.code,
        subject=item.name,
        before=item.was,
        after=item.now,
        origin_before=item.before,
        origin_after=item.after,
    )


def _unreadable(item: Diagnostic) -> SettingChange:
    found = f"{item.message}; found {item.found!r}" if item.found else item.message
    return SettingChange(code="unreadable-by-base", subject=str(item.origin), after=found, origin_after=item.origin)


def _differing(manifests: tuple[Manifest, Manifest], own: Design, other: Design) -> Iterator[SettingChange]:
    """The tables of which two readings don't hold the same."""
    for name in dict.fromkeys((*other.boards, *own.boards)):
        one, two = other.boards.get(name), own.boards.get(name)
        for records in _RECORDS:
            read, given = getattr(one, records, {}), getattr(two, records, {})
            if read == given:
                continue
            yield SettingChange(
                code="readings-differ",
                subject=f"boards.{name}.{records}",
                before=f"{len(read)} {records} as the base's manifest reads them",
                after=f"{len(given)} as the change's own does",
                origin_before=manifests[0].boards[name].origin if name in manifests[0].boards else None,
                origin_after=manifests[1].boards[name].origin if name in manifests[1].boards else None,
            )


def _choices(base: Design, change: Design) -> Iterator[SettingChange]:
    """Where the reader had to choose in the change and had not in the base: the break may be in what it didn't take."""
    known = {(item.code, _file(item)) for item in base.diagnostics}
    for item in change.diagnostics:
        if item.code in _CHOICES and (item.code, _file(item)) not in known:
            yield SettingChange(
                code=_CHOICES[item.code], subject=_file(item), after=item.message, origin_after=item.origin
            )


def _file(item: Diagnostic) -> str:
    return item.origin.file.partition("#")[0]


def _unread(submission: Submission, read: set[str]) -> Iterator[SettingChange]:
    """The files that differ and that nothing was read from."""
    for item in submission.changed_paths():
        if item.path not in read:
            code = "unread-table" if could_be_table(item.path) else "unread-file"
            yield SettingChange(code=code, subject=item.path, after=item.how)
