"""A revision that needs no disk, and short ways to read one table of it."""

from __future__ import annotations

from collections.abc import Mapping

from revdiff.design import Board, Design, Diagnostic
from revdiff.errors import DataFault
from revdiff.readers.loader import Loader
from revdiff.sources import content
from revdiff.sources.base import Blob, Identity
from revdiff.sources.paths import inside


class MemoryRevision:
    """Files in memory, behaving as any other source does."""

    def __init__(self, files: Mapping[str, bytes | str]) -> None:
        self._files = {path: data.encode("utf-8") if isinstance(data, str) else data for path, data in files.items()}

    @property
    def identity(self) -> Identity:
        return Identity("memory", "folder", "memory", "", "", "")

    def find(self, path: str) -> Blob | None:
        data = self._files.get(inside(path))
        if data is None:
            return None
        content.check_size(path, len(data), "memory")
        return Blob(path, content.blob_id(data), len(data))

    def read(self, blob: Blob) -> bytes:
        return self._files[blob.path]

    def elsewhere(self) -> tuple[str, ...]:
        return ()

    def paths(self) -> tuple[str, ...]:
        return tuple(sorted(self._files))


class FailingRevision(MemoryRevision):
    """Answers every question about one path with a fault."""

    def __init__(self, files: Mapping[str, bytes | str], failing: str, fault: DataFault) -> None:
        super().__init__(files)
        self._failing = failing
        self._fault = fault

    def find(self, path: str) -> Blob | None:
        if path == self._failing:
            raise self._fault
        return super().find(path)


def load(files: Mapping[str, bytes | str]) -> Design:
    return Loader().load(MemoryRevision(files))


def manifest(**tables: str) -> str:
    """A manifest of one board `base`, each table given as TOML: `parts='"parts.csv"'`."""
    entries = "\n".join(f"{name} = {value}" for name, value in tables.items())
    return f'[design]\nname = "demo"\n\n[boards.base]\n{entries}\n'


def load_table(kind: str, data: bytes | str, *, file: str = "table.csv", spec: str = "") -> Design:
    """The design whose only table is `data`. `spec`: further keys of the table, as TOML."""
    entry = f'{{ file = "{file}"{", " + spec if spec else ""} }}'
    return load({"revdiff.toml": manifest(**{kind: entry}), file: data})


def board_of(kind: str, data: bytes | str, *, file: str = "table.csv", spec: str = "") -> Board:
    return load_table(kind, data, file=file, spec=spec).boards["base"]


def values(data: bytes | str, *, file: str = "table.csv", spec: str = "") -> dict[str, str]:
    """The raw value of every part of a parts list."""
    return {ref: part.data.value.raw for ref, part in board_of("parts", data, file=file, spec=spec).parts.items()}


def told(design: Design, code: str) -> list[Diagnostic]:
    """The diagnostics of one code."""
    return [item for item in design.diagnostics if item.code == code]


def codes(design: Design, severity: str = "") -> list[str]:
    """The codes of all diagnostics, in order."""
    return [item.code for item in design.diagnostics if not severity or item.severity == severity]
