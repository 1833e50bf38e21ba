"""Pins of a pin map joined with the terminals of a netlist, where the map has port names only."""

from __future__ import annotations

import pytest

from revdiff.readers.open_controllers import open_controllers, pins_of_package
from tests.netlists.writing import file356, record
from tests.support import load

# Pin definitions of the 64-pin package in ST's data sheet DocID022152 (STM32F405), table 7, and of the 48-pin package
# in DS5319 (STM32F103x8), table 5; from memory.
PUBLISHED = [
    ("STM32F405RGT6", "PA0", "14"),
    ("STM32F405RGT6", "PA5", "21"),
    ("STM32F405RGT6", "PC13", "2"),
    ("STM32F405RGT6", "PB6", "58"),
    ("STM32F103C8T6", "PA5", "15"),
    ("STM32F103C8T6", "PB6", "42"),
    ("STM32F103C8T6", "PC13", "2"),
]
SIGNALS = {"PA0": "WAKE", "PA5": "SCK", "PB6": "SCL", "PC13": "LED"}
WIRED = {"14": "WAKE", "21": "SCK", "58": "SCL", "2": "LED"}


@pytest.fixture(autouse=True)
def _installed() -> None:
    pytest.importorskip("lxml")
    if open_controllers() is None:
        pytest.skip("modm-devices is not installed")


@pytest.mark.parametrize(("part", "port", "pin"), PUBLISHED)
def test_published_pins_of_packages_are_in_the_open_data(part: str, port: str, pin: str) -> None:
    assert pins_of_package(part)[port.lower()] == pin


@pytest.mark.parametrize("written", ["stm32f405rgt6", "STM32F405RGT6TR", "STM32F405RG"])
def test_the_end_of_a_part_number_that_says_nothing_of_the_package_may_be_missing_or_more(written: str) -> None:
    assert pins_of_package(written) == pins_of_package("STM32F405RGT6")


@pytest.mark.parametrize("unclear", ["", "10k", "STM32F405", "STM32F4", "no such controller", "../../etc/passwd"])
def test_a_part_number_that_may_mean_several_packages_or_none_has_no_pins(unclear: str) -> None:
    assert pins_of_package(unclear) == {}


def joined(wired: dict[str, str], part: str = "STM32F405RGT6", device: str = "U1") -> dict[str, str]:
    records = [record(net=net, ref="U1", pin=pin) for pin, net in wired.items()]
    files: dict[str, str | bytes] = {
        "revdiff.toml": '[design]\nname = "x"\n[boards.base]\nnetlist = "b.ipc"\npins = "p.csv"\nparts = "q.csv"\n',
        "b.ipc": file356(*records),
        "p.csv": "Device,Port,Signal\n" + "".join(f"{device},{port},{net}\n" for port, net in SIGNALS.items()),
        "q.csv": f"Designator,Part number\nU1,{part}\n",
    }
    found = load(files).boards["base"].joined
    assert all((name, ref) == (device.upper(), "U1") for (name, _), (ref, _) in found.items())
    return {port: pin for (_, port), (_, pin) in found.items()}


def test_the_package_says_which_pin_a_port_is_whatever_its_net() -> None:
    exchanged = WIRED | {"21": "SCL", "58": "SCK"}
    assert joined(exchanged) == {"PA0": "14", "PA5": "21", "PB6": "58", "PC13": "2"}


def test_without_a_known_package_the_signal_alone_joins() -> None:
    exchanged = WIRED | {"21": "SCL", "58": "SCK"}
    assert joined(exchanged, "CPU-64") == {"PA0": "14", "PA5": "58", "PB6": "21", "PC13": "2"}


def test_what_the_netlist_calls_an_open_pin_goes_before_the_package() -> None:
    named = WIRED | {"21": "U1-PB6", "58": "U1-PA5"}
    assert joined(named) == {"PA0": "14", "PA5": "58", "PB6": "21", "PC13": "2"}


def test_a_package_that_the_netlist_does_not_have_is_not_believed() -> None:
    other = {str(int(pin) + 100): net for pin, net in WIRED.items()}
    assert joined(other) == {"PA0": "114", "PA5": "121", "PB6": "158", "PC13": "102"}


def test_a_device_called_by_its_part_number_is_that_part() -> None:
    exchanged = WIRED | {"21": "X1", "58": "X2"}
    assert joined(exchanged, device="stm32f405rgt6")["PA5"] == "21"
