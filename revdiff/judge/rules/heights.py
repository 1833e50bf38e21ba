"""How far apart boards lie: the heights of the joints between two of them, and of each joint as before."""

from __future__ import annotations

from revdiff.judge.fact import Ask, unknown
from revdiff.judge.items import mated
from revdiff.judge.rule import Item, Margin, Rule, other
from revdiff.judge.rules.mechanics import together
from revdiff.judge.side import show


def _height(ask: Ask, item: Item) -> Margin | None:
    found, policy = item.what
    heights = [(mating.one.height.quantity, mating.two.height.quantity) for mating in found]
    both = [(a.magnitude, b.magnitude) for a, b in heights if a is not None and b is not None]
    if len(both) == len(heights):
        # Equal figures on both sides are the mated height; else each half states its own.
        mated_height = any(a == b for a, b in both)
        told = [height for pair in both for height in pair] if mated_height else [a + b for a, b in both]
    else:
        columns = ([side.magnitude for side in column if side is not None] for column in zip(*heights, strict=True))
        told = max(columns, key=len)
        if len(told) < len(heights):
            ask(unknown("the column Height"))
    off, limit = max(told) - min(told), policy.height_tolerance
    message = f"the joints of {item.subject} differ in height by {show(off, 'm')}: one doesn't seat, or the boards bend"
    figures = f"{show(max(told), 'm')} − {show(min(told), 'm')} = {show(off, 'm')}"
    return Margin(limit - off, message, figures, f"{show(limit, 'm')} (stacking.height_tolerance)")


def _apart(_ask: Ask, item: Item) -> Margin | None:
    """What the two halves state, as far as both do; the engine compares it with the arrangement that worked."""
    mating = item.what
    one, two = mating.one.height.quantity, mating.two.height.quantity
    if one is None or two is None or one.unit != "m" or two.unit != "m":
        return None
    heights = f"{mating.one.height.raw} and {mating.two.height.raw}"
    message = f"the halves of {mating.name} state other heights than before ({heights}): the boards lie otherwise apart"
    return Margin(one.magnitude + two.magnitude, f"{message}, or a half no longer seats", heights)


RULES = (
    Rule(
        name="stack-mated-height",
        title="Joints between two boards have different heights",
        audience="stacking",
        step="major",
        over=together,
        margin=_height,
        danger="break",
        needs=("Height",),
        why="One joint doesn't seat, or the boards bend.",
        how="The mated height of each joint, or the sum where each half states its own, against the others.",
        remedy="Use connectors of one mated height.",
        witness="8.5 mm at one edge and 11 mm at the other.",
    ),
    Rule(
        name="joint-height-changed",
        about=("height",),
        title="A joint is higher or lower than before",
        audience="stacking",
        step="minor",
        over=mated,
        margin=_apart,
        danger="caution",
        needs=("Height",),
        why="Spacers, housings and tall parts were made for the old distance, and a plug that is too short makes "
        "contact now and then only.",
        how="What both halves of a joint state as their height, now against the arrangement that worked.",
        remedy="Check the mated height in the data sheets of both halves, the spacers, and what stands between them.",
        witness="The socket became the low one: the pins reach it, and the tallest capacitor reaches the board above.",
        worse=other,
    ),
)
