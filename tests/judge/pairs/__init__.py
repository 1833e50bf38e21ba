"""For every rule two pairs of revisions: one that fires it, and a near miss that doesn't. Edits of the small design."""

from __future__ import annotations

from tests.judge.pairs.change import CHANGE
from tests.judge.pairs.firmware import FIRMWARE
from tests.judge.pairs.joint import JOINT
from tests.judge.pairs.pair import Edit, Pair
from tests.judge.pairs.stack import STACK
from tests.judge.pairs.wiring import WIRING

PAIRS: dict[str, Pair] = {**JOINT, **FIRMWARE, **STACK, **CHANGE, **WIRING}

__all__ = ["PAIRS", "Edit", "Pair"]
