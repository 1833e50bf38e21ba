"""What went and what came in one class, as the search for shifted runs sees it."""

from __future__ import annotations

from collections.abc import Mapping

from revdiff.compare.match.ledger import Ledger


class Restless:
    """The slots of a class in order, those without an equal, and what the old kinds became everywhere.

    ``alias``: what a kind of old parts became everywhere, where it did; parts that became just that in place are
    neither gone nor come.
    """

    def __init__(self, ledger: Ledger, alias: Mapping[int, int]) -> None:
        self.ledger = ledger
        self.kind = {slot: alias.get(kind, kind) for slot, kind in ledger.old.items()} if alias else ledger.old
        self.gone, self.come = ledger.gone, ledger.come
        self._has_alias = bool(alias)
        self.refresh()
        self.old_order, self.new_order = sorted(ledger.old), sorted(ledger.new)
        self.place = {slot: index for index, slot in enumerate(self.old_order)}

    def refresh(self) -> None:
        """Looks again, after events were taken."""
        if self._has_alias:
            self.gone = {slot for slot in self.ledger.gone if not self._at_home(slot)}
            self.come = {slot for slot in self.ledger.come if not self._at_home(slot)}

    def _at_home(self, slot: int) -> bool:
        """Whether a slot holds one part still, or what its kind became everywhere."""
        ledger = self.ledger
        here = slot in ledger.free_old and slot in ledger.free_new
        return here and self.kind[slot] == ledger.new[slot]
