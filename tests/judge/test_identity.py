"""How software tells a revision: what can't be worked out is told as not checked."""

from __future__ import annotations

import pytest

from revdiff.judge import judge_itself
from tests.support import SMALL, edit, load

WINDOWS = 'windows = { A = ["2.9 V", "3.1 V"], B = ["1.0 V", "1.2 V"] }\n'
VOLTAGE = '[derived.id]\nboard = "base"\nformula = "VREF * R1 / (R1 + R2)"\nunit = "V"\nvalues = { VREF = "4.4 V" }\n'


@pytest.mark.parametrize(
    ("more", "asked"), [("", True), ('derived = "id"\n', False)], ids=["without its voltage", "with it"]
)
def test_the_windows_of_a_divider_want_its_voltage(more: str, asked: bool) -> None:
    sections = f'[identity.base]\nby = "divider"\n{WINDOWS}{more}{VOLTAGE}'
    files = edit(SMALL, ("revdiff.toml", "[[joints]]", f"{sections}\n[[joints]]"))
    wanting = [one.needs for verdict in judge_itself(load(files), "v1") for one in verdict.unmade]
    assert any("identity.base.derived" in item for item in wanting) == asked
