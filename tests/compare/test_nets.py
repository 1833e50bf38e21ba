"""Where both revisions have a netlist, the nets at the terminals tell parts apart that the parts list can't."""

from __future__ import annotations

from random import Random

from tests.netlists.writing import file356, record
from tests.support import compare

MANIFEST = '[design]\nname = "x"\n[boards.base]\nparts = "parts.csv"\n'
WIRES = ("IN", "MID", "OUT", "SENSE", "GATE", "DRAIN")


def design(refs: tuple[str, ...], wires: tuple[str, ...] = WIRES, *, netlist: bool = True) -> dict[str, str]:
    """Equal resistors, each from one of the wires to ground."""
    rows = "\n".join(f"{ref},10k,0603" for ref in sorted(refs))
    files = {"revdiff.toml": MANIFEST, "parts.csv": f"Designator,Value,Package\n{rows}\n"}
    if netlist:
        files["revdiff.toml"] += 'netlist = "base.ipc"\n'
        pairs = [(ref, wire) for ref, wire in zip(refs, wires, strict=True)]
        lines = [record(net=wire, ref=ref, pin="1") for ref, wire in pairs]
        lines += [record(net="GND", ref=ref, pin="2") for ref, _ in pairs]
        files["base.ipc"] = file356(*lines).decode()
    return files


OLD = ("R1", "R2", "R3", "R4", "R5", "R6")
TURNED = ("R4", "R6", "R1", "R5", "R3", "R2")


def told(old: dict[str, str], new: dict[str, str]) -> list[tuple[str, tuple[tuple[str, str], ...]]]:
    return [(change.kind, tuple(sorted(change.pairs))) for change in compare(old, new).changes]


def test_equal_parts_renumbered_among_themselves_are_told_by_their_nets() -> None:
    assert told(design(OLD), design(TURNED)) == [("part.renumbered", tuple(sorted(zip(OLD, TURNED, strict=True))))]


def test_without_a_netlist_equal_parts_are_the_same() -> None:
    assert told(design(OLD, netlist=False), design(TURNED, netlist=False)) == []


def test_a_netlist_in_one_revision_only_says_nothing() -> None:
    assert [kind for kind, _ in told(design(OLD), design(TURNED, netlist=False))] == []


def test_a_net_with_another_name_is_no_change_of_the_part() -> None:
    assert told(design(OLD), design(OLD, ("IN", "MID", "OUT", "SENSE", "GATE", "DRAIN2"))) == []


def test_all_nets_with_other_names_are_no_change_of_parts() -> None:
    assert told(design(OLD), design(OLD, tuple(f"N{number}" for number in range(6)))) == []


def crowded(order: list[int]) -> dict[str, str]:
    """90 equal capacitors on five supplies and 30 of other values; ``order``: the number that each one has."""
    values = ["100n"] * 90 + [f"{number}p" for number in range(10, 40)]
    rows = sorted((number, value) for number, value in zip(order, values, strict=True))
    supplies = [("+1V8", "+3V3", "+5V", "+12V", "VBAT")[(index * index) % 5] for index in range(len(order))]
    lines = [record(net=net, ref=f"C{number}", pin="1") for number, net in zip(order, supplies, strict=True)]
    lines += [record(net="GND", ref=f"C{number}", pin="2") for number in order]
    parts = "\n".join(f"C{number},{value},0603" for number, value in rows)
    return {
        "revdiff.toml": MANIFEST + 'netlist = "base.ipc"\n',
        "parts.csv": f"Designator,Value,Package\n{parts}\n",
        "base.ipc": file356(*lines).decode(),
    }


def test_a_crowded_class_in_another_order_rewires_nothing() -> None:
    numbers = list(range(1, 121))
    shuffled = numbers.copy()
    Random(5).shuffle(shuffled)
    assert [kind for kind, _ in told(crowded(numbers), crowded(shuffled))] == ["part.renumbered"]
