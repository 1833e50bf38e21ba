"""Whether two signals that meet belong together: by names, what worked before, what is stated, direction, voltage."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from revdiff.design import Contact
from revdiff.judge.contacts import class_of
from revdiff.quantities.pattern import pattern
from revdiff.quantities.span import read_span
from revdiff.quantities.text import squeeze

if TYPE_CHECKING:
    from revdiff.judge.arrangement import Arrangement, Mating

Kin = Literal["yes", "no", "unknown"]
_TOKENS = pattern(r"[a-z]+")
# What each end of a serial line calls itself, and what its partner does. Common practice, no source.
_PARTNER = {
    "tx": "rx",
    "rx": "tx",
    "txd": "rxd",
    "rxd": "txd",
    "rts": "cts",
    "cts": "rts",
    "dout": "din",
    "din": "dout",
}
_ISOLATED = pattern(r"iso|_i$|^i_?gnd|galv")
_DIRECTIONS = {("out", "in"), ("in", "out")}


def kin(arrangement: Arrangement, mating: Mating, a: Contact, b: Contact) -> Kin:
    """Whether the signals of two contacts belong together; ``unknown`` where only their names speak against it."""
    classes = class_of(a), class_of(b)
    if classes[0] != classes[1]:
        return "yes" if _same(a, b) and "ground" not in classes else "no"
    known = arrangement.known(mating.a, mating.b)
    if (a.signal.word, b.signal.word) in known:
        return "yes"
    if classes[0] == "ground":
        return "no" if isolated(a) != isolated(b) else "yes"
    if _same(a, b):
        return "yes" if not _known_elsewhere(known, a, b) else "no"
    if classes[0] == "supply":
        return "yes" if _same_voltage(a, b) else "no"
    if _crossed(a, b):
        return "yes"
    ends = (mating.a.board.name, a.signal.word), (mating.b.board.name, b.signal.word)
    if ends in arrangement.doubted or ends[::-1] in arrangement.doubted:
        return "unknown"
    if arrangement.based or _carried(mating, a, b):
        return "no"
    return "unknown"


def isolated(contact: Contact) -> bool:
    """Whether a ground is one of its own, by its name."""
    return bool(_ISOLATED.search(contact.signal.word))


def _same(a: Contact, b: Contact) -> bool:
    return a.signal.word == b.signal.word or squeeze(a.signal.word) == squeeze(b.signal.word)


def _known_elsewhere(known: frozenset[tuple[str, str]], a: Contact, b: Contact) -> bool:
    """Whether both names are known, each for another partner."""
    return any(one == a.signal.word for one, _ in known) and any(two == b.signal.word for _, two in known)


def _same_voltage(a: Contact, b: Contact) -> bool:
    one, two = read_span(a.level.raw, "V"), read_span(b.level.raw, "V")
    return one is not None and two is not None and one.low <= two.high and two.low <= one.high


def _crossed(a: Contact, b: Contact) -> bool:
    if (a.direction.word, b.direction.word) not in _DIRECTIONS:
        return False
    one, two = (set(_TOKENS.findall(item.signal.word)) for item in (a, b))
    return any(_PARTNER[word] in two for word in one & set(_PARTNER))


def _carried(mating: Mating, a: Contact, b: Contact) -> bool:
    """Whether the mate has the signal on another contact of the joint."""
    return any(
        squeeze(other.signal.word) == squeeze(contact.signal.word)
        for contact, connector in ((a, mating.two), (b, mating.one))
        for other in connector.contacts.values()
        if other.signal
    )
