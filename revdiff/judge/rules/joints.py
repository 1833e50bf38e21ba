"""Joints: whether what meets belongs together."""

from __future__ import annotations

from revdiff.design import Contact
from revdiff.judge.belonging import isolated
from revdiff.judge.contacts import class_of
from revdiff.judge.fact import Ask
from revdiff.judge.facts import NodeFacts
from revdiff.judge.items import alone, meets
from revdiff.judge.nodes import Meet
from revdiff.judge.rule import FINE, Danger, Item, Margin, Rule, holds
from revdiff.quantities.text import squeeze

# What a board gives, or has besides, may meet nothing: a partner need not use it.
_GIVEN = frozenset({"out", "analog out", "supply out", "supply", "ground", "passive", ""})


def _classes(meet: Meet) -> set[str]:
    return {class_of(meet.a), class_of(meet.b)}


def _said(meet: Meet) -> str:
    a, b = meet.mating.a, meet.mating.b
    return f"{meet.a.signal.raw} of {a.name} meets {meet.b.signal.raw} of {b.name}"


def _signals(_ask: Ask, item: Item) -> Margin | None:
    meet, node = item.what
    if _classes(meet) != {"signal"}:
        return None
    if meet.kin != "no" or _place_of(meet):
        return FINE
    place = f"{meet.a.name}: {meet.a.signal.raw} – {meet.b.name}: {meet.b.signal.raw}"
    return holds(False, _said(meet), place, danger=_harm(node))


def _moved(_ask: Ask, item: Item) -> Margin | None:
    meet, node = item.what
    if _classes(meet) != {"signal"}:
        return None
    if meet.kin != "no":
        return FINE
    there = _place_of(meet)
    message = f"{_said(meet)}; {meet.mating.b.name} carries {meet.a.signal.raw} on {there}"
    place = f"{meet.a.name} meets {meet.b.name}, needed {there}"
    return holds(not there, message, place, danger=_harm(node))


def _differ(_ask: Ask, item: Item) -> Margin | None:
    meet, _ = item.what
    if _classes(meet) != {"signal"}:
        return None
    if meet.kin != "unknown":
        return FINE
    message = f"{_said(meet)}, and nothing says that they are one signal"
    return holds(False, message, f"{meet.a.signal.raw} ≠ {meet.b.signal.raw}")


def _renamed(_ask: Ask, item: Item) -> Margin | None:
    """Only where both boards are as they are now: an old board keeps its old names."""
    meet, _ = item.what
    one, two = meet.mating.a, meet.mating.b
    names = squeeze(meet.a.signal.word), squeeze(meet.b.signal.word)
    before = squeeze(one.was(meet.a.signal.word)), squeeze(two.was(meet.b.signal.word))
    if "old" in (one.role, two.role) or meet.kin != "yes" or before[0] != before[1] or _classes(meet) != {"signal"}:
        return None  # what a supply is called is nothing beside its voltage
    if names[0] == names[1]:
        return FINE
    message = f"{_said(meet)}: one signal by all that is known, renamed on one of the two boards"
    figures = f"{meet.a.signal.raw} ≠ {meet.b.signal.raw}, both {before[0]} before"
    return holds(False, message, figures)


def _supplies(_ask: Ask, item: Item) -> Margin | None:
    meet, _ = item.what
    classes = _classes(meet)
    if classes == {"signal"}:
        return None
    if meet.kin != "no":
        return FINE
    if classes == {"ground"}:
        danger: Danger = "break"  # what an isolation keeps apart is for the standard that asks for it
    else:
        drives = any(item.direction.word in ("out", "bidirectional", "analog out", "") for item in (meet.a, meet.b))
        danger = "hazard" if "supply" in classes or drives else "break"
    what = " is connected to ".join(
        f"the {class_of(contact)} {contact.signal.raw}{_level(contact)} of {member.name}"
        for contact, member in ((meet.a, meet.mating.a), (meet.b, meet.mating.b))
    )
    kept = isolated(meet.a) != isolated(meet.b)
    message = f"{what}: the isolation between them is gone" if classes == {"ground"} and kept else what
    figures = f"{meet.a.signal.raw} on {meet.b.signal.raw}"
    return holds(False, message, figures, danger=danger)


def _level(contact: Contact) -> str:
    return f" ({contact.level.raw})" if contact.level and class_of(contact) == "supply" else ""


def _lost(_ask: Ask, item: Item) -> Margin | None:
    """A rail may meet itself at other contacts of the joint; what does so nowhere has moved, or is gone."""
    mating, member, mate, here = item.what
    connector = mating.two if member is mating.a else mating.one
    there = [item.name for item in connector.contacts.values() if item.signal and _alike(item, here)]
    if any(a is not None and b is not None and _alike(a, here) and _alike(b, here) for a, b in mating.contacts()):
        return None  # one of several contacts of a signal that does meet itself
    needed = bool(there) or here.direction.word not in _GIVEN
    where = f"carries it on {there[0]}" if there else f"carries it nowhere on {connector.name}"
    message = f"{here.signal.raw} of {member.name} meets nothing: {mate.name} {where}"
    return holds(not needed, message, f"{here.name}: {here.signal.raw} – unused")


def _alike(one: Contact, two: Contact) -> bool:
    return squeeze(one.signal.word) == squeeze(two.signal.word)


def _harm(node: NodeFacts) -> Danger:
    """A load that is switched by what isn't meant for it."""
    return "hazard" if node.load is not None and node.load[1].stated else "break"


def _place_of(meet: Meet) -> str:
    wanted = squeeze(meet.a.signal.word)
    return next(
        (
            item.name
            for item in meet.mating.two.contacts.values()
            if item.signal and squeeze(item.signal.word) == wanted
        ),
        "",
    )


RULES = (
    Rule(
        name="joint-names-differ",
        title="Two names meet that nothing says are one signal",
        audience="stacking",
        step="minor",
        over=meets,
        margin=_differ,
        danger="doubt",
        needs=("Signal", "Direction", "[[known_good]]"),
        why="Perhaps they are one signal under two names, perhaps not: only a person knows.",
        how="Names, directions, voltages and pairings declared good say what belongs together.",
        remedy="Say with [[known_good]] that the two belong together, or give them one name.",
        witness="CTRL of the base meets DRIVE of the valve board.",
    ),
    Rule(
        name="joint-renamed-one-side",
        about=("renamed",),
        title="A signal was renamed on one side of a joint only",
        audience="stacking",
        step="minor",
        over=meets,
        margin=_renamed,
        danger="caution",
        needs=("Signal",),
        why="Whoever reads the two connector maps takes them for different signals, and so does every check that "
        "has no older revision to compare with.",
        how="Signals that meet under different names and had one name before the rename on one board.",
        remedy="Rename it on the other board too, or say with [[known_good]] that the two belong together.",
        witness="A third board is laid out by one of the maps, and its author looks for a signal that isn't there.",
    ),
    Rule(
        name="joint-signal-clash",
        about=("moved", "swapped", "signal"),
        title="Two different signals meet on a contact",
        audience="stacking",
        step="major",
        over=meets,
        margin=_signals,
        danger="break",
        needs=("Signal", "[[joints]]"),
        why="Each board takes the other's signal for its own; two outputs may drive one another.",
        how="On each contact the signals of both sides are compared; renames, stated pairs and what met in the "
        "arrangement that worked are allowed for. It can hurt where one of them switches a load.",
        remedy="Give the contact its old signal back, or release both boards as a matched set and say so on both.",
        witness="The partner's reset input now listens to a clock.",
    ),
    Rule(
        name="joint-signal-moved",
        about=("swapped", "moved", "signal"),
        title="A signal of a joint is on another contact",
        audience="stacking",
        step="major",
        over=meets,
        margin=_moved,
        danger="break",
        needs=("Signal", "[[joints]]"),
        why="Boards mate by place: a signal that moved meets whatever the partner has there.",
        how="A signal that doesn't meet itself is looked for on the mate's other contacts.",
        remedy="Move the signal back, or release both boards as a matched set and say so on both.",
        witness="Two pump drives trade places: the wrong pump runs.",
    ),
    Rule(
        name="joint-signal-lost",
        about=("removed", "signal", "moved"),
        title="A signal that a board needs meets nothing",
        audience="stacking",
        step="major",
        over=alone,
        margin=_lost,
        danger="break",
        needs=("Signal", "Direction", "[[joints]]"),
        why="The board relies on a signal that its partner doesn't bring.",
        how="Each contact that takes something has to meet it, there or elsewhere on the connector.",
        remedy="Bring the signal back on its contact, or name the partner revisions that do without it.",
        witness="A power-good input stays low for ever, and the partner board never starts.",
    ),
    Rule(
        name="joint-supply-clash",
        about=("signal", "moved", "swapped"),
        title="A supply or ground meets something else",
        audience="stacking",
        step="major",
        over=meets,
        margin=_supplies,
        danger="hazard",
        needs=("Signal", "Direction", "Level"),
        why="Connecting a supply to anything else can destroy both boards the moment they are powered; an isolated "
        "ground on another one ends the isolation.",
        how="For each contact the class of both sides (supply, ground, signal), their names and voltages.",
        remedy="Don't stack these revisions. Move the supply back, or key the connector.",
        witness="5 V arrives on an input that stands 3.6 V.",
    ),
)
