"""A fact: a value with where it was read, or what would have to be stated for it to be known."""

from __future__ import annotations

from typing import Generic, TypeVar

from msgspec import Struct

from revdiff.design import Origin

T = TypeVar("T")


class Fact(Struct, Generic[T], frozen=True):
    """``needs``: the column that would tell it, where it isn't known. ``assumed``: on what it rests, if not on data.

    ``essential``: without it nobody can tell whether things fit.
    """

    value: T | None
    origin: Origin | None = None
    needs: str = ""
    assumed: str = ""
    source: str = ""
    essential: bool = False


class Unknown(Exception):
    """A rule asked for a fact that isn't known."""

    def __init__(self, fact: Fact[object]) -> None:
        self.fact = fact
        super().__init__(fact.needs)


class Ask:
    """What a rule asks facts through. It keeps what the facts rest on; one that isn't known ends the check."""

    assumed: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    def __call__(self, fact: Fact[T]) -> T:
        """The value. Raises Unknown."""
        if fact.value is None:
            raise Unknown(fact)  # type: ignore[arg-type]
        if fact.assumed:
            self.assumed += (fact.assumed,)
        if fact.source:
            self.sources += (fact.source,)
        return fact.value


def unknown(needs: str, *, essential: bool = False) -> Fact[T]:
    """A fact that nothing states."""
    return Fact(None, needs=needs, essential=essential)
