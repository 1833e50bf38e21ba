"""The pin notice: what a firmware developer has to change, controller by controller and peripheral by peripheral."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from revdiff.compare.devices import renamed
from revdiff.compare.nets.reach import reached
from revdiff.design import Board, Pin, Reading
from revdiff.design.reading import compare_readings
from revdiff.design.tables import PINS
from revdiff.judge.finding import Finding, NotChecked
from revdiff.judge.needs import is_told
from revdiff.judge.waivers import WaiverUse
from revdiff.quantities.designator import natural_key
from revdiff.release.cause_text import ToldCause, told_causes
from revdiff.release.clear import firmware_unmade, no_firmware_hazard
from revdiff.release.review import Review
from revdiff.release.scope import nets_compared
from revdiff.sources import Identity


class PinLine(Struct, frozen=True):
    """One signal. ``what`` says what happened to it; ``before`` and ``after`` how it is used, empty where it is not;
    ``old_pin`` and ``new_pin`` the pin alone, ``places`` the names
    of both."""

    peripheral: str
    signal: str
    what: tuple[str, ...]
    before: str
    after: str
    todo: str
    old_pin: str = ""
    new_pin: str = ""
    places: tuple[str, ...] = ()


class ControllerNotice(Struct, frozen=True):
    """One controller: what changed, and the signals that stay as they are, by peripheral."""

    board: str
    device: str
    lines: tuple[PinLine, ...]
    stays: Mapping[str, tuple[str, ...]]

    @property
    def name(self) -> str:
        """``base.U1``."""
        return f"{self.board}.{self.device}"


class PinNotice(Struct, frozen=True):
    """The whole notice.

    ``causes``: those that firmware sees, numbered as in the comparison of the two revisions, with the findings that
    concern firmware; ``clear``: what may be said where none is a hazard. ``nets``: of how many terminals they were
    compared.
    """

    title: str
    old: Identity
    new: Identity
    causes: tuple[ToldCause, ...]
    hazards: tuple[Finding, ...]
    clear: str
    breaks: tuple[Finding, ...]
    cautions: tuple[Finding, ...]
    controllers: tuple[ControllerNotice, ...]
    not_checked: tuple[NotChecked, ...]
    waivers: tuple[WaiverUse, ...]
    nets: str


def pin_notice(review: Review) -> PinNotice:
    """The notice of a review; its findings are those that concern firmware."""
    design = review.comparison.new
    concerning = [item for item in review.findings if _concerns(item)]
    hazards = tuple(sorted((item for item in concerning if item.hazard), key=worst_first))
    rest = [item for item in concerning if not item.hazard]
    return PinNotice(
        title=design.title or design.name,
        old=review.old,
        new=review.new,
        causes=tuple(_seen(review)),
        hazards=hazards,
        clear=no_firmware_hazard(review),
        breaks=tuple(item for item in rest if item.severity == "break"),
        cautions=tuple(item for item in rest if item.severity == "caution"),
        controllers=tuple(_controllers(review)),
        waivers=review.waivers,
        nets=nets_compared(review.comparison),
        not_checked=firmware_unmade(review),
    )


def _concerns(item: Finding) -> bool:
    return item.audience == "firmware" or any(party.firmware for party in item.parties)


def _seen(review: Review) -> Iterator[ToldCause]:
    for item in told_causes(review):
        findings = tuple(one for one in item.findings if _concerns(one))
        if findings:
            yield replace(item, findings=findings)


# What destroys hardware at once, then what starts a load, then the rest.
_WORST = ("firmware-output-contention", "firmware-pin-overstressed", "firmware-drives-other-load")


def worst_first(item: Finding) -> tuple[int, str, list[object]]:
    """The key that sorts hazards: what destroys hardware at once, then what starts a load, then the rest."""
    rank = _WORST.index(item.rule) if item.rule in _WORST else len(_WORST)
    return rank, item.pairing, [*natural_key(item.subject)]


def _controllers(review: Review) -> Iterator[ControllerNotice]:
    comparison = review.comparison
    for name, board in comparison.new.boards.items():
        before = comparison.old.boards.get(name)
        devices = comparison.devices.get(name, {})
        known = {renamed(devices, pin.device) for pin in before.pins.values()} if before is not None else set()
        for device in dict.fromkeys([*(pin.device for pin in board.pins.values()), *sorted(known)]):
            if device.startswith("\0"):
                continue
            old = (
                {} if before is None else _by_signal(before, device, devices, comparison.renames.by_board.get(name, {}))
            )
            touched = reached(comparison, (change for change in review.changes if change.board == name), pins=True)
            yield _controller(name, device, old, _by_signal(board, device, {}, {}), touched)


def _by_signal(
    board: Board, device: str, devices: Mapping[str, str], renames: Mapping[str, str]
) -> dict[str, list[Pin]]:
    """The pins of a device that are told by folded signal, in the names of the new revision."""
    found: dict[str, list[Pin]] = {}
    for pin in board.pins.values():
        if is_told(pin) and renamed(devices, pin.device) == device:
            found.setdefault(renames.get(pin.signal.word, pin.signal.word), []).append(pin)
    return found


def _controller(
    board: str, device: str, old: Mapping[str, list[Pin]], new: Mapping[str, list[Pin]], wired: frozenset[str]
) -> ControllerNotice:
    """``wired``: the pins whose nets changed, whatever the pin map says."""
    trading = _trading(old, new)
    was, is_ = ({pin.number: pin.signal.raw for pins in side.values() for pin in pins} for side in (old, new))
    lines: list[PinLine] = []
    stays: dict[str, list[str]] = {}
    for signal in {**old, **new}:
        pins = {pin.name for pin in (*old.get(signal, []), *new.get(signal, []))}
        line = _line(
            old.get(signal, []), new.get(signal, []), trading=signal in trading, wired=not pins.isdisjoint(wired)
        )
        if line.what == ("lost",):
            line = _with_other(line, old[signal], is_)
        elif line.what == ("added",):
            line = _with_other(line, new[signal], was)
        if line.what:
            lines.append(line)
        else:
            stays.setdefault(line.peripheral, []).append(line.signal)
    lines.sort(key=lambda item: (natural_key(item.peripheral), natural_key(item.signal)))
    kept = {key: tuple(sorted(stays[key], key=natural_key)) for key in sorted(stays, key=natural_key)}
    return ControllerNotice(board, device, tuple(lines), kept)


def _with_other(line: PinLine, pins: list[Pin], others: Mapping[str, str]) -> PinLine:
    """What a pin carries beside the signal that went from it, or carried before the one that came."""
    other = next((others[pin.number] for pin in pins if pin.number in others), "")
    if not other:
        return line
    what = f"lost, its pin carries {other}" if line.what == ("lost",) else f"added, its pin carried {other}"
    return replace(line, what=(what,))


def _trading(old: Mapping[str, list[Pin]], new: Mapping[str, list[Pin]]) -> set[str]:
    """Signals that trade places: those on a closed chain of moves."""
    owner = {pin.number: signal for signal, pins in old.items() for pin in pins}
    target = {
        signal: owner.get(new[signal][0].number, "")
        for signal, pins in old.items()
        if signal in new and len(pins) == len(new[signal]) == 1 and pins[0].number != new[signal][0].number
    }
    found: set[str] = set()
    for start in target:
        chain, here = [start], target[start]
        while here in target and here not in chain:
            chain.append(here)
            here = target[here]
        if here == start:
            found.update(chain)
    return found


def _line(old: list[Pin], new: list[Pin], *, trading: bool, wired: bool) -> PinLine:
    one, two = (old[0] if old else None), (new[0] if new else None)
    shown = two or one
    assert shown is not None
    peripheral = peripheral_of(shown)
    if one is None or two is None:
        what, todo = ("lost", "do without it, or bring it back") if two is None else ("added", _set_up(shown))
        return PinLine(
            peripheral, shown.signal.raw, (what,), _place(one), _place(two), todo, _pin(one), _pin(two), (shown.name,)
        )
    what_all: list[str] = []
    todos: list[str] = []
    if sorted(pin.number for pin in old) != sorted(pin.number for pin in new):
        what_all.append("trades places" if trading else "moved")
        todos.append(f"change the pin from {_pin(one)} to {_pin(two)}")
    elif compare_readings(one.port, two.port) == "different":
        what_all.append("other port")
        todos.append(f"look up which port the pin is: it was {_said(one.port)}, it is {_said(two.port)}")
    for field in PINS.columns:
        before, after = getattr(one, field.name), getattr(two, field.name)
        if field.todo and before and not after:
            what_all.append(f"{field.said} no longer stated")
            todos.append(f"find out its {field.said}, which was {_said(before)}")
        elif field.todo and compare_readings(before, after) == "different":
            what_all.append(f"other {field.said}")
            todos.append(field.todo.format(old=_said(before), new=_said(after)))
    if wired:
        what_all.append("leads elsewhere")
        todos.append("look at what hangs on it now: its net changed")
    if one.signal.word != two.signal.word:
        untouched = "" if what_all else "; a built firmware is not touched"
        what_all.append("renamed")
        todos.append(f"rename {one.signal.raw} to {two.signal.raw} in the source{untouched}")
    return PinLine(
        peripheral,
        two.signal.raw,
        tuple(what_all),
        _place(one),
        _place(two),
        "; ".join(todos),
        _pin(one),
        _pin(two),
        (one.name, two.name),
    )


def peripheral_of(pin: Pin) -> str:
    """``TIM3`` for ``TIM3_CH3``, ``USB_OTG_FS`` for ``USB_OTG_FS_DM``; the function itself where it has no parts."""
    function = pin.function.raw.strip()
    head, _, _ = function.rpartition("_")
    return (head or function or "other").upper()


def _set_up(pin: Pin) -> str:
    parts = [pin.function.raw, pin.direction.raw]
    if pin.active:
        parts.append(f"active {pin.active.raw}")
    return "set up: " + ", ".join(part for part in parts if part) if any(parts) else "set up"


def _said(reading: Reading) -> str:
    return reading.raw or "nothing"


def _pin(pin: Pin | None) -> str:
    if pin is None:
        return ""
    return f"{pin.number} ({pin.port.raw})" if pin.port and pin.port.raw != pin.number else pin.number


def _place(pin: Pin | None) -> str:
    """``56 (PB4), GPIO, out, active high``; empty for None."""
    if pin is None:
        return ""
    active = f"active {pin.active.raw}" if pin.active else ""
    return ", ".join(part for part in (_pin(pin), pin.function.raw, pin.direction.raw, active) if part)
