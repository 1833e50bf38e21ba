"""The records that don't come right yet; each goes from here with the mend, and may not stay once it is right."""

from __future__ import annotations

PENDING: frozenset[str] = frozenset({})
