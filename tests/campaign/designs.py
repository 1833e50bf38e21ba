"""Seeded designs: two to four boards that stack, each with the habits of whoever keeps its tables."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from tests.campaign import stock
from tests.campaign.sheets import BoardSheets, Firmware, Row, Sheets, row

_BOARD_NAMES = ("base", "drive", "sense", "radio", "panel", "relay")
_POWER = ("GND", "+3V3", "+5V", "VBAT")
_VOLTS = {"+3V3": "3.3V", "+5V": "5V", "VBAT": "12V"}


def make_design(seed: int) -> Sheets:
    """A design. The same seed gives the same one, down to the uids' order."""
    return _Maker(Random(seed)).design()


class _Maker:
    def __init__(self, rng: Random) -> None:
        self._rng = rng
        # Habits of the people who keep this design.
        self._part_columns = [
            name
            for name, share in (
                ("manufacturer", 0.7),
                ("part_number", 0.75),
                ("tolerance", 0.7),
                ("voltage", 0.6),
                ("power", 0.4),
                ("current", 0.4),
                ("dielectric", 0.5),
                ("fitted", 0.7),
                ("alternates", 0.4),
                ("lifecycle", 0.5),
                ("cost", 0.5),
                ("description", 0.5),
                ("Remark", 0.3),
                ("Bin", 0.2),
            )
            if rng.random() < share
        ]
        self._pin_columns = [
            name
            for name, share in (
                ("port", 0.85),
                ("function", 0.8),
                ("direction", 0.9),
                ("active", 0.7),
                ("pull", 0.7),
                ("level", 0.7),
                ("analog", 0.5),
                ("interrupt", 0.3),
                ("note", 0.4),
            )
            if rng.random() < share
        ]
        self._contact_columns = [
            name
            for name, share in (("direction", 0.8), ("level", 0.7), ("current", 0.6), ("function", 0.5), ("note", 0.3))
            if rng.random() < share
        ]
        self._lists_unused_pins = rng.random() < 0.7
        self._lists_connectors_as_parts = rng.random() < 0.5

    def design(self) -> Sheets:
        rng = self._rng
        names = rng.sample(_BOARD_NAMES, rng.randrange(2, 5))
        signals = stock.signal_names(rng, rng.randrange(24, 60))
        boards = {name: self._board(name, last=name == names[-1]) for name in names}
        joints = [
            row(a=f"{one}.J1", b=f"{two}.J2", contacts=rng.choice(("same", "same", "same", "mirrored")))
            for one, two in pairwise(names)
        ]
        for joint, (one, two) in zip(joints, pairwise(names), strict=True):
            self._mate(boards[one], boards[two], joint, signals)
        for board in boards.values():
            self._outside(board, signals)
            self._pins(board, signals)
            self._parts(board)
        sheets = Sheets(
            name=f"trial{rng.randrange(1000)}",
            title="Trial design",
            boards=boards,
            joints=joints,
            firmware={},
            extra={"licence": "share alike", "status": "draft"},
        )
        for index in range(rng.randrange(0, 3)):
            self._contract(sheets, names[index % len(names)], f"fw{index}")
        return sheets

    def _board(self, name: str, *, last: bool) -> BoardSheets:
        board = BoardSheets(name, f"{name.title()} board", "A", extra={"outline": "100 x 80 mm"})
        if not last:
            size = self._rng.choice((10, 12, 16, 20, 24, 30, 40))
            board.connectors.append(self._connector("J1", "joint", size, "male"))
        return board

    def _connector(self, name: str, role: str, size: int, gender: str) -> Row:
        rng = self._rng
        pitch = "2.54 mm" if role == "joint" else rng.choice(("2.54 mm", "3.5 mm", "5.08 mm"))
        return row(
            connector=name,
            role=role,
            count=str(size),
            rows="2" if role == "joint" else "1",
            pitch=pitch,
            gender=gender,
            height="11 mm" if role == "joint" else "",
            x=f"{rng.randrange(2, 98)} mm",
            y=f"{rng.randrange(2, 78)} mm",
            rotation=rng.choice(("0", "90", "180")),
            rating="3A",
            part_number=f"PW-{gender[0].upper()}{size:02d}-{rng.randrange(100, 999)}",
            note=rng.choice(stock.NOTES),
        )

    def _mate(self, lower: BoardSheets, upper: BoardSheets, joint: Row, signals: list[str]) -> None:
        rng = self._rng
        below = lower.connector("J1")
        size = int(below["count"])
        above = dict(below) | {
            "uid": row()["uid"],
            "connector": "J2",
            "gender": "female",
            "x": f"{rng.randrange(99)} mm",
        }
        above["part_number"] = below["part_number"].replace("PW-M", "PW-F")
        upper.connectors.append(above)
        power = [rng.choice(_POWER) for _ in range(max(3, size // 5))] + ["GND"]
        spare = [""] * rng.randrange(0, 4)
        carried = [*power, *spare, *rng.sample(signals, min(len(signals), size - len(power) - len(spare)))]
        carried += [""] * (size - len(carried))
        rng.shuffle(carried)
        for number, signal in enumerate(carried, 1):
            lower.contacts.append(self._contact("J1", number, signal, out=True))
            mate = number if joint["contacts"] == "same" else size + 1 - number
            upper.contacts.append(self._contact("J2", mate, signal, out=False))
        upper.contacts.sort(key=lambda item: (item["connector"], int(item["contact"])))

    def _contact(self, connector: str, number: int, signal: str, *, out: bool) -> Row:
        cells = {"connector": connector, "contact": str(number), "signal": signal}
        supply = signal in _POWER
        facts = stock.signal_facts(signal, Random(signal)) if signal and not supply else {}
        direction = "ground" if signal == "GND" else ("supply out" if out else "supply in") if supply else ""
        if facts:
            direction = facts["direction"]
            if not out:
                direction = {"in": "out", "out": "in"}.get(direction, direction)
        values = {
            "direction": direction,
            "level": _VOLTS.get(signal, "3.3V" if facts and facts["function"] != "ADC" else ""),
            "current": "1A" if supply else "0.02A" if facts else "",
            "function": "supply" if supply else facts.get("function", ""),
            "note": self._rng.choice(stock.NOTES) if signal else "",
        }
        cells.update({name: values[name] if signal else "" for name in self._contact_columns})
        return row(**cells)

    def _outside(self, board: BoardSheets, signals: list[str]) -> None:
        rng = self._rng
        used = [item["signal"] for item in board.contacts if item["signal"] not in ("", *_POWER)]
        own = [name for name in signals if name not in used]
        taken = {item["connector"] for item in board.connectors}
        number = 3
        for _ in range(rng.randrange(1, 5)):
            size = rng.choice((2, 3, 4, 6, 8, 10))
            name = f"J{number}"
            number += 1 if rng.random() < 0.85 else 2
            if name in taken:
                continue
            board.connectors.append(self._connector(name, "outside", size, rng.choice(("male", "female"))))
            for contact in range(1, size + 1):
                pool = own if own and rng.random() < 0.6 else used
                signal = rng.choice([*_POWER[:2], "GND"]) if rng.random() < 0.3 or not pool else rng.choice(pool)
                if signal not in _POWER and any(item["signal"] == signal for item in board.contacts_of(name)):
                    signal = "GND"
                board.contacts.append(self._contact(name, contact, signal, out=True))

    def _pins(self, board: BoardSheets, signals: list[str]) -> None:
        rng = self._rng
        if rng.random() < 0.1:
            return
        here = list(dict.fromkeys(item["signal"] for item in board.contacts if item["signal"] not in ("", *_POWER)))
        rest = [name for name in signals if name not in here]
        devices = ["U1"] if rng.random() < 0.75 else ["U1", "U3"]
        for device in devices:
            size = rng.choice((20, 28, 32, 48, 64))
            wanted = rng.sample(here, min(len(here), size - 8)) + rest[: rng.randrange(0, 6)]
            cells = ["+3V3", "+3V3", "GND", "GND", *wanted[: size - 6]]
            cells += [""] * (size - len(cells))
            rng.shuffle(cells)
            for number, signal in enumerate(cells, 1):
                if signal or self._lists_unused_pins:
                    board.pins.append(self._pin(device, number, signal))

    def _pin(self, device: str, number: int, signal: str) -> Row:
        port = f"P{'ABCD'[number // 16 % 4]}{number % 16}"
        if signal in _POWER:
            direction = "ground" if signal == "GND" else "supply in"
            values = {
                "direction": direction,
                "level": _VOLTS.get(signal, ""),
                "port": "VSS" if signal == "GND" else "VDD",
            }
        elif signal:
            facts = stock.signal_facts(signal, Random(signal + device))
            values = {
                "port": port,
                "level": "3.3V",
                "analog": f"ADC_IN{number}" if facts["function"] == "ADC" else "",
                "interrupt": f"EXTI{number % 16}" if facts["direction"] == "in" else "",
                "note": self._rng.choice(stock.NOTES),
                **facts,
            }
        else:
            values = {"port": port}
        cells = {name: values.get(name, "") for name in self._pin_columns}
        return row(device=device, pin=str(number), signal=signal, **cells)

    def _parts(self, board: BoardSheets) -> None:
        rng = self._rng
        scale = rng.choice((1, 1, 1, 2, 3))
        counts = {
            "R": 14 * scale,
            "C": 12 * scale,
            "L": 2,
            "D": 4 * scale,
            "Q": 3 * scale,
            "U": 5,
            "Y": 1,
            "F": 1,
            "TP": 3,
        }
        for prefix, most in counts.items():
            total = rng.randrange(most // 2, most * 2) if most > 1 else rng.randrange(0, 3)
            kinds: list[Row] = []
            while sum(int(kind["#"]) for kind in kinds) < total:
                data = stock.passive(prefix, rng) if prefix in "RCL" else stock.other(prefix, rng)
                number = rng.choice((1, 1, 1, 2, 2, 4, 6)) if prefix in ("R", "C", "D", "Q", "TP") else 1
                kinds.append({**self._part(prefix, data), "#": str(number)})
            placed = [kind for kind in kinds for _ in range(int(kind["#"]))]
            if rng.random() < 0.7:
                rng.shuffle(placed)
            number = 0
            for kind in placed:
                number += 1 if rng.random() < 0.96 else rng.randrange(2, 4)
                cells = {key: value for key, value in kind.items() if key != "#"}
                board.parts.append(row(designator=f"{prefix}{number}", **cells))
        self._devices_and_connectors(board)

    def _part(self, prefix: str, data: Row) -> Row:
        rng = self._rng
        values = {
            **data,
            "manufacturer": rng.choice(stock.MAKERS),
            "part_number": stock.part_number(prefix, data, rng) if rng.random() < 0.9 else "",
            "fitted": "" if rng.random() < 0.9 else "no",
            "alternates": rng.choice(("", "", f"ALT{rng.randrange(100, 999)}")),
            "lifecycle": rng.choice(("active", "active", "not recommended")),
            "cost": f"{rng.choice((0.01, 0.02, 0.05, 0.12, 0.35, 1.2)):g}",
            "description": f"{data['value']} {rng.choice(('filter', 'supply', 'general', 'sense', 'bus'))}",
            "Remark": rng.choice(stock.NOTES),
            "Bin": rng.choice(("", "A1", "B2", "C3")),
        }
        return {name: values.get(name, "") for name in ("value", "package", *self._part_columns)}

    def _devices_and_connectors(self, board: BoardSheets) -> None:
        """Controllers are parts, too; connectors are in the parts list or not, as it happens."""
        refs = {item["designator"]: item for item in board.parts}
        for device in dict.fromkeys(item["device"] for item in board.pins):
            data = self._part("U", {"value": f"controller {device}", "package": "LQFP-48"})
            if device in refs:
                refs[device].update(data)
            else:
                board.parts.append(row(designator=device, **data))
        if self._lists_connectors_as_parts:
            for item in board.connectors:
                text = f"{item['rows']}x{int(item['count']) // int(item['rows'])} {item['gender']}"
                data = self._part("J", {"value": text, "package": f"THT {item['pitch']}"})
                board.parts.append(row(designator=item["connector"], **data))

    def _contract(self, sheets: Sheets, name: str, key: str) -> None:
        rng = self._rng
        board = sheets.boards[name]
        devices = list(dict.fromkeys(item["device"] for item in board.pins))
        used: dict[str, Row] = {}
        for item in board.pins:
            if devices and item["device"] == devices[0] and item["signal"] not in ("", *_POWER):
                used.setdefault(item["signal"], item)
        if not used:
            return
        chosen = rng.sample(sorted(used), min(len(used), rng.randrange(3, 10)))
        columns = [name for name in ("function", "direction", "active", "analog", "pull") if name in self._pin_columns]
        sheets.firmware[key] = Firmware(
            key=key,
            cells={
                "name": f"program-{key}",
                "version": "1.0.0",
                "board": name,
                "device": devices[0],
                "clock": "16MHz",
                "recognises": "strap",
            },
            needs=[
                row(
                    signal=signal,
                    pin=used[signal]["pin"],
                    **{column: used[signal].get(column, "") for column in columns},
                )
                for signal in chosen
            ],
            constants={"ratio": "0.2481", "offset": "12"},
            addresses={"eeprom": "0x50"},
        )
