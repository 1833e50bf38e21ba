"""Equal parts renumbered among themselves, which only a netlist can tell."""

from __future__ import annotations

from revdiff.compare.match.evidence import BELIEVED, Evidence
from revdiff.compare.match.ledger import Ledger
from revdiff.compare.match.polish import polish
from revdiff.compare.match.wiring import ClassWiring

_LEAST = 2  # parts under one offset that make a block


def take_rewired(ledger: Ledger, evidence: Evidence, wiring: ClassWiring) -> None:
    """Takes parts all of whose nets are at another equal part now, where that is shorter."""
    olds = [slot for slot in sorted(ledger.free_old) if slot not in ledger.free_new or wiring.displaced(slot)]
    news = {slot for slot in ledger.free_new if slot not in ledger.free_old or wiring.displaced(slot)}
    offers = sorted(
        (-wiring.of(one, two), abs(one - two), one, two)
        for one in olds
        for two in wiring.partners(one)
        if two in news and two != one and ledger.old[one] == ledger.new[two]
    )
    pairs: dict[int, int] = {}
    taken: set[int] = set()
    for _, _, one, two in offers:
        if one not in pairs and two not in taken:
            pairs[one] = two
            taken.add(two)
    blocks: dict[int, list[tuple[int, int]]] = {}
    for one, two in pairs.items():
        blocks.setdefault(two - one, []).append((one, two))
    rest = []
    for offset, block in sorted(blocks.items(), key=lambda item: (-len(item[1]), abs(item[0]), item[0])):
        block.sort()
        if len(block) >= _LEAST and ledger.worth("shifted", block, offset) < 0:
            ledger.take("shifted", block, offset, evidence.of_block(block, 1))
        else:
            rest += block
    if len(rest) == 1:
        ((one, two),) = rest
        if ledger.worth("shifted", rest, two - one) < 0:
            ledger.take("shifted", rest, two - one, evidence.of_block(rest, 1))
    elif rest and ledger.worth("order", rest) < 0 and (confidence := evidence.of_order(rest)) >= BELIEVED:
        polish(ledger, ledger.take("order", rest, confidence=confidence))
