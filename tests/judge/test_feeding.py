"""Supply and ground pins on another voltage, by the names of nets and signals. Common practice, no source."""

from __future__ import annotations

import pytest

from tests.support import SMALL, edit, judged

ROW = "U1,7,VDD,+3V3,,supply,,,3.3 V,"


@pytest.mark.parametrize(
    ("now", "danger"),
    [
        ("U1,7,VDD,+5V,,supply,,,5 V,", "hazard"),
        ("U1,7,VDD,GND,,ground,,,,", "hazard"),
        ("U1,7,VDD,+1V8,,supply,,,1.8 V,", "break"),
        ("U1,7,VDD,VDD_3V3,,supply,,,3.3 V,", ""),
        ("U1,7,VDD,+3V3,,supply,,,3.4 V,", ""),
        ("U1,7,VDD,VMAIN,,supply,,,,", ""),  # its voltage is said nowhere; the level that is gone is told as that
    ],
)
def test_a_supply_pin_of_a_controller_on_another_voltage(now: str, danger: str) -> None:
    found = judged(SMALL, edit(SMALL, ("base/pins.csv", ROW, now))).findings
    told = ["hazard" if item.hazard else item.severity for item in found if item.rule == "part-supply-changed"]
    assert told == ([danger] if danger else [])
