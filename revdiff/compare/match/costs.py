"""What an account of a class costs, in hundredths of a statement that a person would have to be told.

The constants are our own judgement of how much a statement asks of its reader; whole numbers, so that no order of
adding them up decides anything.
"""

from __future__ import annotations

from revdiff.compare.match.identity import Identity

GONE = 100  # a part that only one revision has
FURTHER_GONE = 30  # one more of the same data beside it
FURTHER_CHANGED = 2  # one more part that changed just as another one did
REUSED = 15  # a part that came or went under a number that another part kept or took
ANOTHER = 200  # another thing under the same number: it went, and another one came

BLOCK = 150  # a run of parts shifted by one offset
ALONG = 60  # one more run under an offset that is told already
HOLE = 20  # numbers that such a run leaves out
FOLLOWING = 40  # a run that goes on from another one, as numbers close up after one more removal
FEW = 8  # parts that went or came between two such runs, at most
STRAY = 130  # a lone part under another number
EXCHANGE = 150  # two parts under each other's number
FURTHER_EXCHANGE = 90  # two more of them
TRADED = 90  # by which two neighbouring blocks that traded places are told shorter, as one statement
ORDER = 150  # parts of a class numbered in another order
MOVED = 1  # each part that an event carries
SCATTERED = 3  # each of the first parts that are carried in another order
ELSEWHERE = 85  # a further stretch of the class that such an order takes in
QUIET = 12  # neighbours that stayed, by which two stretches are parted
SCATTERED_MOST = 200  # parts, after which a further one costs as much as in a block

DESCRIBED = 20  # a part that changed, and whose description did, too
_FITTED = 40  # an option that moved from one part to another moved no part
_CHANGED = 60
_MOST_CHANGED = 140
# What a difference asks of the reader beyond the statement itself.
_WEIGHTS = {"value": 35, "package": 25, "part_number": 15, "manufacturer": 5, "fitted": 10, "description": 15}
_RATING = 10
_RATINGS = ("tolerance", "voltage", "power", "current", "dielectric")


def difference(old: Identity, new: Identity) -> int:
    """The cost of one part whose data changed: 40 to 140. A difference of which one side says nothing weighs half."""
    if old._replace(fitted=new.fitted) == new:
        return _FITTED
    total = _CHANGED
    for name, weight in _WEIGHTS.items():
        before, after = getattr(old, name), getattr(new, name)
        if before != after:
            total += weight if before and after else weight // 2
    if any(getattr(old, name) != getattr(new, name) for name in _RATINGS):
        total += _RATING
    return min(total, _MOST_CHANGED)


def nothing_kept(old: Identity, new: Identity) -> bool:
    """Whether nothing that names a part stayed: value, package and part number all differ, where they are known."""
    pairs = ((old.value, new.value), (old.package, new.package), (old.part_number, new.part_number))
    known = [(before, after) for before, after in pairs if before and after]
    return len(known) > 1 and all(before != after for before, after in known)


def order_cost(count: int, stretches: int = 1) -> int:
    """The cost of ``count`` parts carried in another order, in so many stretches of the class."""
    carried = SCATTERED * min(count, SCATTERED_MOST) + MOVED * max(0, count - SCATTERED_MOST)
    return ORDER + carried + ELSEWHERE * (stretches - 1)
