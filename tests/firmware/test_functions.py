"""Pin functions against a user's table, and the demo's and published pin facts against the open data of controllers."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.errors import UsageFault
from revdiff.readers.contract_functions import Functions, key_of, read_functions
from revdiff.readers.loader import Loader
from revdiff.report.pins_functions import check_functions, checked_functions
from revdiff.sources import open_revision
from tests.conftest import Run
from tests.firmware.boards import OLD
from tests.support import load

BOARD = load(OLD).boards["base"]
TABLE = "Port,Function\nPB2,USART2_TX; SPI1_SCK\nPB3,USART2-TX\nPB7,TIM3_CH1\n"


def test_a_table_of_functions(tmp_path: Path) -> None:
    path = tmp_path / "functions.csv"
    path.write_text(TABLE, encoding="utf-8")
    checks = {item.signal: item.answer for item in check_functions(BOARD, "U1", read_functions(str(path)))}
    assert checks == {"TX": "yes", "RX": "no", "FAN": "yes"}
    text = checked_functions(BOARD, "U1", str(path))
    assert "2 of 3 exist on their pins." in text
    assert "RX: pin 4 (PB3) has no USART2_RX" in text


def test_a_pin_that_the_table_does_not_know_is_unknown(tmp_path: Path) -> None:
    path = tmp_path / "functions.csv"
    path.write_text("Port,Function\nPB2,USART2_TX\n", encoding="utf-8")
    assert "RX: nothing is known of pin 4 (PB3) (USART2_RX)" in checked_functions(BOARD, "U1", str(path))


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("f.csv", "A,B\n1,2\n", "expected the columns Port and Function, found A, B"),
        ("f.csv", "", "expected the columns Port and Function"),
        ("f.csv", "\xff", "can't be read as a table"),
        ("none.csv", None, "can't be read as a table"),
        ("../x y", None, "neither a CSV file nor a part number"),
    ],
)
def test_what_is_no_reference_is_refused(tmp_path: Path, name: str, text: str | None, message: str) -> None:
    path = tmp_path / name
    if text is not None:
        path.write_bytes(text.encode("latin-1"))
    with pytest.raises(UsageFault, match=message):
        read_functions(str(path) if name.endswith("csv") else name)


def open_data(part: str) -> Functions:
    # On newer Pythons the package warns on import; the narrow filter is that of the reader itself.
    pytest.importorskip("lxml")
    try:
        return read_functions(part)
    except UsageFault as fault:
        if "not installed" in str(fault):
            pytest.skip("modm-devices is not installed")
        raise


# STM32F405/407 data sheet DocID022152, alternate functions; the same in a second public table
# (micropython/micropython, ports/stm32/boards/stm32f405_af.csv).
PUBLISHED = [
    ("PA9", "USART1_TX"),
    ("PA10", "USART1_RX"),
    ("PB6", "USART1_TX"),
    ("PB6", "I2C1_SCL"),
    ("PB6", "TIM4_CH1"),
    ("PB6", "CAN2_TX"),
    ("PB7", "I2C1_SDA"),
    ("PB8", "I2C1_SCL"),
    ("PB8", "CAN1_RX"),
    ("PA5", "SPI1_SCK"),
    ("PA5", "TIM2_CH1"),
    ("PB3", "SPI1_SCK"),
    ("PB3", "SPI3_SCK"),
    ("PA0", "TIM2_CH1"),
    ("PA0", "TIM5_CH1"),
    ("PA0", "UART4_TX"),
    ("PC6", "USART6_TX"),
    ("PC6", "TIM3_CH1"),
    ("PC6", "TIM8_CH1"),
    ("PB10", "I2C2_SCL"),
    ("PB10", "USART3_TX"),
    ("PA11", "CAN1_RX"),
    ("PA11", "USB_OTG_FS_DM"),
]


@pytest.mark.parametrize(("port", "function"), PUBLISHED)
def test_published_pin_facts_are_in_the_open_data(port: str, function: str) -> None:
    assert key_of(function) in open_data("stm32f405rgt6")[port.lower()]


@pytest.mark.parametrize(("port", "function"), [("PA5", "I2C1_SCL"), ("PC6", "USART1_TX")])
def test_published_negatives_are_not_in_the_open_data(port: str, function: str) -> None:
    assert key_of(function) not in open_data("stm32f405rgt6")[port.lower()]


def test_the_packages_of_the_open_data() -> None:
    """PD12 isn't on the 64-pin F405R and carries TIM4_CH1 on the 100-pin F407V; 51 and 82 pins (DocID022152)."""
    small, large = open_data("stm32f405rgt6"), open_data("stm32f407vgt6")
    assert "pd12" not in small
    assert key_of("TIM4_CH1") in large["pd12"]
    assert (len(small), len(large)) == (51, 82)


@pytest.mark.parametrize("revision", ["rev-a", "rev-b", "rev-c", "rev-d"])
def test_every_function_of_the_demos_controller_exists_on_its_pin(demo: Path, revision: str) -> None:
    functions = open_data("stm32f405rgt6")
    board = Loader().load(open_revision(revision, repository=demo)).boards["base"]
    checks = check_functions(board, "U1", functions)
    assert len(checks) >= 29
    assert {item.answer for item in checks} == {"yes"}


def test_without_the_open_data_the_command_says_what_to_install(demo: Path, run: Run) -> None:
    done = run("pins", "rev-c", "--repo", demo, "--board", "base", "--functions", "stm32f405rgt6")
    if done.returncode == 0:
        assert "30 of 30 exist on their pins." in done.stdout
    else:
        assert done.returncode == 2
        assert "Install revdiff[mcu-data]" in done.stderr
