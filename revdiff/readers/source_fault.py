"""The fault of a C or devicetree source."""

from __future__ import annotations

from revdiff.errors import DataFault


class SourceFault(DataFault):
    """A source that can't be read. ``line`` is 0 where the whole file is meant."""

    def __init__(self, file: str, line: int, message: str) -> None:
        self.file, self.line, self.message = file, line, message
        super().__init__(f"{file}:{line}: {message}" if line else f"{file}: {message}")
