"""Currents, buses, straps and connectors: figures by formulas written out here, both sides of each limit."""

from __future__ import annotations

from math import log

import pytest

from revdiff.design import Design
from tests.judge.support import Row, c, changed, design, hazards, p, rules, stacked
from tests.support import load

GND = c("GND", "ground")
SCL, SDA = c("SCL", "open drain", "3.3 V"), c("SDA", "open drain", "3.3 V")


def supply(amps: str, contacts: int, rating: str = "1 A", grounds: int = 4, board: str = "") -> Design:
    """A rail of 5 V over some contacts, the taking side stating so much on each; and grounds."""
    ground = (GND,) * grounds
    return design(
        {
            "base": (*(c("+5V", "supply out", "5 V", current="9 A"),) * contacts, *ground),
            "top": (*(c("+5V", "supply in", "5 V", current=amps),) * contacts, *ground),
        },
        board={"top": board},
        rating=rating,
    )


@pytest.mark.parametrize(("amps", "contacts", "fires"), [("1 A", 3, False), ("1.2 A", 3, True), ("1.2 A", 2, True)])
def test_current_per_contact(amps: str, contacts: int, fires: bool) -> None:
    verdict = stacked(supply(amps, contacts))
    assert ("stack-contact-current" in hazards(verdict)) is fires


def test_return_current_adds_up_the_loads_that_are_stated() -> None:
    found = supply("", 4, grounds=1, board='loads = { "+5V" = "1.5 A" }\n')
    [item] = [item for item in stacked(found).findings if item.rule == "stack-return-current"]
    assert item.hazard
    assert "1.5 A / 1" in item.arithmetic
    assert "stack-return-current" not in rules(stacked(supply("", 4, grounds=2, board='loads = { "+5V" = "1.5 A" }\n')))


def test_a_rail_over_two_headers_adds_up() -> None:
    one = supply("1 A", 2)
    assert "stack-contact-current" not in rules(stacked(one))


BUS = '[buses.I2C1]\nsignals = ["SCL", "SDA"]\nspeed = "400 kHz"\ncapacitance = "{c}"\n'


def bus(
    pulls: str,
    top_pulls: str = "",
    capacitance: str = "100 pF",
    pins: tuple[Row, ...] = (),
    base_pins: tuple[Row, ...] = (),
    volts: str = "3.3 V",
    more: str = "",
) -> Design:
    lines = tuple(c(name, "open drain", volts) for name in ("SCL", "SDA"))
    top = f'pulls = {{ SCL = "{top_pulls}", SDA = "{top_pulls}" }}\n' if top_pulls else ""
    return design(
        {"base": (GND, *lines), "top": (GND, *lines)},
        {"top": pins, "base": base_pins},
        board={"base": f'pulls = {{ SCL = "{pulls}", SDA = "{pulls}" }}\n', "top": top},
        more=BUS.format(c=capacitance) + more,
    )


# UM10204 section 7.1: Rp,min = (VDD − VOL) / IOL, Rp,max = tr / (ln(7/3) · Cb)
LEAST = (3.3 - 0.4) / 0.003
MOST = 300e-9 / (log(7 / 3) * 100e-12)


@pytest.mark.parametrize(
    ("ohms", "fires"), [(LEAST * 0.99, True), (LEAST * 1.01, False), (MOST * 0.99, False), (MOST * 1.01, True)]
)
def test_the_window_of_pull_ups(ohms: float, fires: bool) -> None:
    assert ("stack-bus-pull" in rules(stacked(bus(f"up {ohms:.1f}")))) is fires


def test_pulls_of_two_boards_work_in_parallel() -> None:
    assert "stack-bus-pull" not in rules(stacked(bus("up 1k5")))
    assert "stack-bus-pull" in rules(stacked(bus("up 1k5", "up 1k5")))


def test_two_volts_and_below_sink_two_milliamperes() -> None:
    least = 0.8 * 1.8 / 0.002  # UM10204: VOL = 0.2 VDD at 2 mA
    assert "stack-bus-pull" in rules(stacked(bus(f"up {least * 0.98:.1f}", volts="1.8 V")))
    assert "stack-bus-pull" not in rules(stacked(bus(f"up {least * 1.02:.1f}", volts="1.8 V")))


def test_a_bus_above_the_capacitance_of_its_mode() -> None:
    assert "stack-bus-capacitance" in rules(stacked(bus("up 1k5", capacitance="410 pF")))
    assert "stack-bus-capacitance" not in rules(stacked(bus("up 1k5", capacitance="390 pF")))


def test_one_rail_for_all_pull_ups() -> None:
    assert "stack-bus-rails" in rules(stacked(bus("up 4k7", "up 4k7 to +5V")))
    assert "stack-bus-rails" not in rules(stacked(bus("up 4k7", "up 4k7 to +3V3")))


def device(address: str, direction: str = "open drain") -> tuple[Row, ...]:
    return (p("SCL", direction, "3.3 V", address=address), p("SDA", direction, "3.3 V", address=address))


def test_addresses_are_one_for_each_device() -> None:
    clash = stacked(bus("up 4k7", pins=device("0x20"), base_pins=device("0x20")))
    assert "stack-bus-address" in rules(clash)
    assert "stack-bus-address" not in rules(stacked(bus("up 4k7", pins=device("0x21"), base_pins=device("0x20"))))


def test_a_controllers_row_with_the_addresses_of_its_targets_is_no_device() -> None:
    targets = tuple({**row, "Function": "I2C1_SCL", "Address": "0x20, 0x21"} for row in device(""))
    assert "stack-bus-address" not in rules(stacked(bus("up 4k7", pins=device("0x20"), base_pins=targets)))


def test_a_device_told_in_two_tables_is_one() -> None:
    more = '[software.exp]\nboard = "top"\npart = "U1"\naddress = "0x20"\n'
    assert "stack-bus-address" not in rules(stacked(bus("up 4k7", pins=device("0x20"), more=more)))


def test_reserved_addresses() -> None:
    assert "stack-bus-reserved-address" in rules(stacked(bus("up 4k7", pins=device("0x78"))))
    assert "stack-bus-reserved-address" not in rules(stacked(bus("up 4k7", pins=device("0x77"))))


@pytest.mark.parametrize(("up", "fires"), [("up 100k", False), ("up 22k", True), ("up 10k", True), ("up 1k", True)])
def test_a_strap_between_two_pulls(up: str, fires: bool) -> None:
    found = design(
        {
            "base": (GND, c("BOOT", "in", "3.3 V", pull="down 10k")),
            "top": (GND, c("BOOT", "bidirectional", "3.3 V", pull=up)),
        },
        {"base": (p("BOOT", "in", "3.3 V", purpose="boot strap"),)},
    )
    assert ("stack-boot-strap" in rules(stacked(found))) is fires


def test_a_strap_that_changes_its_level() -> None:
    def boards(pull: str) -> Design:
        return design(
            {"base": (GND, c("BOOT", "in", "3.3 V")), "top": (GND, c("BOOT", "bidirectional", "3.3 V", pull=pull))},
            {"base": (p("BOOT", "in", "3.3 V", purpose="boot strap"),)},
        )

    assert "stack-strap-level" in rules(changed(boards("down 10k"), boards("up 10k")))
    assert "stack-strap-level" not in rules(changed(boards("down 10k"), boards("down 4k7")))


def test_a_weaker_pull_on_a_load() -> None:
    def boards(pull: str) -> Design:
        return design(
            {
                "base": (GND, c("HEAT_EN", "out", "3.3 V", active="high")),
                "top": (GND, c("HEAT_EN", "in", "3.3 V", pull=pull, switches="heater")),
            }
        )

    assert "stack-pull-weaker" in rules(changed(boards("down 10k"), boards("down 100k")))
    assert "stack-pull-weaker" not in rules(changed(boards("down 10k"), boards("down 4k7")))


def test_reserved_contacts_stay_open() -> None:
    def boards(base: Row) -> Design:
        return design({"base": (GND, base), "top": (GND, c("", state="reserved"))})

    assert "stack-reserved-used" in rules(stacked(boards(c("X", "out", "3.3 V"))))
    assert "stack-reserved-used" not in rules(stacked(boards(c("", state="reserved"))))


def test_a_strap_keeps_the_level_that_its_own_board_asks_for() -> None:
    """4k7 up against the strap's own 10k down: 2.24 V, surely high by JESD8C (2.0 V), and not what the board wants."""
    found = design(
        {
            "base": (GND, c("BOOT", "in", "3.3 V", pull="down 10k")),
            "top": (GND, c("BOOT", "in", "3.3 V", pull="up 4k7")),
        },
        {"base": (p("BOOT", "in", "3.3 V", purpose="boot strap"),)},
    )
    assert "stack-boot-strap" in rules(stacked(found))


def test_a_resistor_that_a_remark_says_is_on_another_board() -> None:
    found = design(
        {"base": (GND, c("HEAT_EN", "out", "3.3 V")), "top": (GND, c("HEAT_EN", "in", "3.3 V", switches="heater"))},
        {"base": (p("HEAT_EN", "out", "3.3 V", active="high", pull="down 10k", note="pull-down on top"),)},
    )
    assert stacked(found).answer == "fits"


def test_what_contacts_give_and_take() -> None:
    def boards(amps: str) -> Design:
        return design(
            {
                "base": (GND, c("+5V", "supply out", "5 V", current="1 A")),
                "top": (GND, c("+5V", "supply in", "5 V", current=amps)),
            }
        )

    assert "stack-contact-budget" in rules(stacked(boards("1.1 A")))
    assert "stack-contact-budget" not in rules(stacked(boards("0.9 A")))


def test_fewer_grounds_than_before() -> None:
    assert "stack-return-lost" in rules(changed(supply("0.1 A", 2, grounds=3), supply("0.1 A", 2, grounds=2)))
    assert "stack-return-lost" not in rules(changed(supply("0.1 A", 2, grounds=2), supply("0.1 A", 2, grounds=3)))


def two_joints(x: str, heights: tuple[str, str, str, str]) -> Design:
    """Two boards with two joints, the second at ``x`` on the upper board; heights of base J1, J2, top J1, J2."""
    head = "Connector,Role,Contacts,Rows,Pitch,Gender,X,Y,Height\n"
    one, two, three, four = heights
    rows = "J1,1,GND,ground\nJ2,1,GND,ground\n"
    return load(
        {
            "revdiff.toml": '[design]\nname = "d"\n[boards.base]\nconnectors = "b.csv"\ncontacts = "c.csv"\n'
            '[boards.top]\nconnectors = "t.csv"\ncontacts = "c.csv"\n'
            '[[joints]]\na = "base.J1"\nb = "top.J1"\n[[joints]]\na = "base.J2"\nb = "top.J2"\n',
            "c.csv": "Connector,Contact,Signal,Direction\n" + rows,
            "b.csv": f"{head}J1,joint,1,1,2.54 mm,male,0,0,{one}\nJ2,joint,1,1,2.54 mm,male,40 mm,0,{two}\n",
            "t.csv": f"{head}J1,joint,1,1,2.54 mm,female,0,0,{three}\nJ2,joint,1,1,2.54 mm,female,{x},0,{four}\n",
        }
    )


ALIKE = ("11 mm", "11 mm", "11 mm", "11 mm")


@pytest.mark.parametrize(("x", "fires"), [("40.1 mm", False), ("40.3 mm", True)])
def test_two_joints_have_to_be_as_far_apart_on_both_boards(x: str, fires: bool) -> None:
    assert ("stack-placement" in rules(stacked(two_joints(x, ALIKE)))) is fires


@pytest.mark.parametrize(
    ("heights", "fires"),
    [
        (ALIKE, False),
        (("2.5 mm", "2.5 mm", "8.5 mm", "8.5 mm"), False),  # each half with its own height
        (("2.5 mm", "4 mm", "8.5 mm", "7 mm"), False),
        (("11 mm", "11 mm", "11 mm", "13 mm"), True),
        (("2.5 mm", "2.5 mm", "8.5 mm", "7 mm"), True),
    ],
)
def test_two_joints_have_to_be_as_high(heights: tuple[str, str, str, str], fires: bool) -> None:
    assert ("stack-mated-height" in rules(stacked(two_joints("40 mm", heights)))) is fires


def test_one_select_for_one_board() -> None:
    host, board = c("nCS", "out", "3.3 V", function="select"), c("nCS", "in", "3.3 V", function="select")
    assert "stack-select-shared" in rules(
        stacked(design({"base": (GND, host), "mid": (GND, board), "top": (GND, board)}))
    )
    assert "stack-select-shared" not in rules(stacked(design({"base": (GND, host), "top": (GND, board)})))


def test_what_was_free_for_users_stays_free() -> None:
    def boards(row: Row) -> Design:
        return design({"base": (GND, row), "top": (GND, c(""))})

    free, used = c("", state="free"), c("X", "out", "3.3 V")
    assert "stack-free-contact-taken" in rules(changed(boards(free), boards(used)))
    assert "stack-free-contact-taken" not in rules(changed(boards(free), boards(free)))


def test_a_signal_renamed_on_one_side_only() -> None:
    def boards(one: str, two: str) -> Design:
        pin = p(one, "out", "3.3 V", port="PA1")
        return design({"base": (GND, c(one, "out", "3.3 V")), "top": (GND, c(two, "in", "3.3 V"))}, {"base": (pin,)})

    assert "joint-renamed-one-side" in rules(changed(boards("A", "A"), boards("CTRL", "A")))
    assert "joint-renamed-one-side" not in rules(changed(boards("A", "A"), boards("CTRL", "CTRL")))
