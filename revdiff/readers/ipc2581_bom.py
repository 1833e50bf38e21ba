"""The bill of materials and the approved vendor list of an IPC-2581 file: elements to parts.

Published source of the elements: public sample documents and their published descriptions; the standard itself is
sold by IPC. That a part without a ``populate`` flag is fitted is from memory.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from msgspec import Struct

from revdiff.design import Origin
from revdiff.quantities.pattern import pattern
from revdiff.quantities.text import clean, fold
from revdiff.readers.faults import Faults
from revdiff.readers.netlist import ApprovedPart, BomPart, Characteristic, too_many

Attributes = Mapping[str, str]

_QUANTITY = pattern(r"[0-9]{1,9}(?:\.[0-9]{1,9})?", re.ASCII)
_RANK = pattern(r"[0-9]{1,9}", re.ASCII)
_YES, _NO = ("true", "1"), ("false", "0")
_SHOWN = 5


class _Placed(Struct):
    """A ``RefDes``: one part of an item."""

    ref: str
    package: str
    fitted: bool
    origin: Origin


class _Item(Struct):
    """A ``BomItem``."""

    attributes: Attributes
    bom: int
    origin: Origin
    placed: list[_Placed] = []
    characteristics: list[Characteristic] = []


class _Choice(Struct):
    """An ``AvlVmpn``: part numbers, and the enterprises that make them."""

    maker: str  # as written beside the number, where no enterprise is named
    number: str
    chosen: bool
    qualified: bool
    origin: Origin
    numbers: list[tuple[str, int | None, Origin]] = []  # number, rank, place
    makers: list[str] = []  # ids of enterprises


class Bom:
    """Collects the elements of a file as they come; ``parts`` makes parts of them."""

    def __init__(self, file: str, faults: Faults) -> None:
        self._file = file
        self._faults = faults
        self._boms: list[tuple[str, Origin]] = []
        self._items: list[_Item] = []
        self._choices: dict[str, list[_Choice]] = {}  # by design number
        self._listed: dict[str, Origin] = {}
        self._number = ""  # of the last AvlItem
        self._choice: _Choice | None = None  # the last AvlVmpn
        self._makers: dict[str, str] = {}
        self._packages: dict[str, str] = {}

    # elements

    def bom(self, attributes: Attributes, origin: Origin) -> None:
        self._boms.append((clean(attributes.get("name", "")), origin))

    def item(self, attributes: Attributes, origin: Origin) -> None:
        self._items.append(_Item(attributes, len(self._boms), origin))

    def placed(self, attributes: Attributes, origin: Origin) -> None:
        ref = clean(attributes.get("name", "")).upper()
        if not ref:
            self._missing("RefDes", "name", origin)
            return
        package = clean(attributes.get("packageRef", ""))
        populate = attributes.get("populate", "true")
        fitted = self._flag(populate, "populate", origin)
        self._items[-1].placed.append(_Placed(ref, package, fitted, origin))

    def characteristic(self, kind: str, attributes: Attributes, origin: Origin) -> None:
        """An element in ``Characteristics``; ``kind`` is its name in lower case, which its attributes begin with."""
        get = attributes.get
        name = clean(get(f"{kind}CharacteristicName", ""))
        value = get(f"{kind}CharacteristicValue", "")
        low, high = get("engineeringNegativeTolerance", ""), get("engineeringPositiveTolerance", "")
        if kind == "ranged":
            low, high = get("rangedCharacteristicLowerValue", ""), get("rangedCharacteristicUpperValue", "")
        unit = clean(get("engineeringUnitOfMeasure", ""))
        found = Characteristic(name, clean(value), origin, unit, clean(low), clean(high))
        self._items[-1].characteristics.append(found)

    def enterprise(self, attributes: Attributes) -> None:
        name = clean(attributes.get("name", "")) or clean(attributes.get("code", ""))
        self._makers[attributes.get("id", "")] = name

    def component(self, attributes: Attributes) -> None:
        ref = clean(attributes.get("refDes", "")).upper()
        self._packages.setdefault(ref, clean(attributes.get("packageRef", "")))

    def listed(self, attributes: Attributes, origin: Origin) -> None:
        """An ``AvlItem``."""
        self._number = clean(attributes.get("OEMDesignNumber", ""))
        if not self._number:
            self._missing("AvlItem", "OEMDesignNumber", origin)
        self._listed.setdefault(self._number, origin)

    def choice(self, attributes: Attributes, origin: Origin) -> None:
        self._choice = _Choice(
            clean(attributes.get("evplVendor", "")),
            clean(attributes.get("evplMpn", "")),
            self._flag(attributes.get("chosen", "false"), "chosen", origin),
            self._flag(attributes.get("qualified", "false"), "qualified", origin),
            origin,
        )
        self._choices.setdefault(self._number, []).append(self._choice)

    def number(self, attributes: Attributes, origin: Origin) -> None:
        """An ``AvlMpn``."""
        number = clean(attributes.get("name", ""))
        if not number:
            self._missing("AvlMpn", "name", origin)
        elif self._choice is not None:
            self._choice.numbers.append((number, self._rank(clean(attributes.get("rank", "")), origin), origin))

    def maker(self, attributes: Attributes) -> None:
        """An ``AvlVendor``."""
        if self._choice is not None:
            self._choice.makers.append(attributes.get("enterpriseRef", ""))

    # the file as a whole

    def parts(self) -> tuple[BomPart, ...]:
        """A part for each designator of the first bill of materials, one without ``ref`` for an item that has none."""
        before = len(self._faults.found)
        approved = {number: self._approved(choices) for number, choices in self._choices.items() if number}
        first = min((item.bom for item in self._items), default=0)
        parts: list[BomPart] = []
        seen: dict[str, Origin] = {}
        for item in self._items:
            if item.bom != first:
                continue
            quantity = self._quantity(item)
            for placed in item.placed or [_Placed("", "", True, item.origin)]:
                if placed.ref in seen:
                    self._twice(placed, seen[placed.ref])
                    continue
                if placed.ref:
                    seen[placed.ref] = placed.origin
                parts.append(self._part(item, placed, quantity, approved))
            if too_many(self._faults, before, self._file, item.origin.line):
                break
        self._tell_others(first)
        self._tell_unused(first)
        return tuple(parts)

    def _part(
        self,
        item: _Item,
        placed: _Placed,
        quantity: Decimal | None,
        approved: Mapping[str, tuple[ApprovedPart, ...]],
    ) -> BomPart:
        number = clean(item.attributes.get("OEMDesignNumberRef", ""))
        return BomPart(
            ref=placed.ref,
            fitted=placed.fitted,
            item=number,
            internal=clean(item.attributes.get("internalPartNumber", "")),
            description=clean(item.attributes.get("description", "")),
            package=placed.package or self._packages.get(placed.ref, ""),
            quantity=quantity,
            category=clean(item.attributes.get("category", "")),
            characteristics=tuple(item.characteristics),
            approved=approved.get(number, ()),
            origin=placed.origin,
        )

    def _quantity(self, item: _Item) -> Decimal | None:
        """The stated quantity. It may count all designators or the fitted ones; anything else is a fault."""
        raw = clean(item.attributes.get("quantity", ""))
        if not raw:
            return None
        if not _QUANTITY.fullmatch(raw):
            self._unreadable("the quantity of this item", raw, "a number", item.origin)
            return None
        quantity = Decimal(raw)
        refs = {placed.ref: placed.fitted for placed in item.placed}
        if refs and quantity not in (len(refs), sum(refs.values())):
            self._faults.fault(
                "quantity-mismatch",
                f"the quantity is {raw}, but the item names {len(refs)} designators; the designators were taken",
                item.origin,
                found=", ".join(refs),
                expected=f"{raw} designators, or the quantity {len(refs)}",
                remedy="Correct whichever is wrong.",
            )
        return quantity

    def _approved(self, choices: list[_Choice]) -> tuple[ApprovedPart, ...]:
        """The approved parts of an item: the chosen one, then by rank, then those without."""
        found: list[ApprovedPart] = []
        for choice in choices:
            makers = [self._makers.get(maker) or clean(maker) for maker in choice.makers] or [choice.maker]
            numbers = choice.numbers
            if not numbers and choice.number:
                numbers = [(choice.number, None, choice.origin)]
            for position, (number, rank, origin) in enumerate(numbers):
                maker = makers[position if len(makers) == len(numbers) else 0]
                found.append(ApprovedPart(maker, number, origin, rank, choice.chosen, choice.qualified))
        return tuple(sorted(found, key=lambda part: (not part.chosen, part.rank is None, part.rank or 0)))

    def _rank(self, raw: str, origin: Origin) -> int | None:
        if raw and not _RANK.fullmatch(raw):
            self._unreadable("the rank of this part number", raw, "a whole number", origin)
            return None
        return int(raw) if raw else None

    def _flag(self, raw: str, what: str, origin: Origin) -> bool:
        folded = fold(raw)
        if folded not in _YES + _NO:
            self._unreadable(f"the flag {what}", raw, "true, false, 1 or 0", origin)
        return folded not in _NO if what == "populate" else folded in _YES

    # telling

    def _missing(self, element: str, attribute: str, origin: Origin) -> None:
        self._faults.fault(
            "missing-attribute",
            f"this {element} has no {attribute} and was left out",
            origin,
            expected=f'{attribute}="…"',
        )

    def _unreadable(self, what: str, raw: str, expected: str, origin: Origin) -> None:
        self._faults.fault("unreadable-value", f"{what} can't be read", origin, found=clean(raw), expected=expected)

    def _twice(self, placed: _Placed, first: Origin) -> None:
        self._faults.fault(
            "duplicate-designator",
            f"{placed.ref} is named twice; the first one, at {first}, was taken",
            placed.origin,
            found=placed.ref,
            expected="each designator once",
            remedy="Remove it from one of the two items.",
        )

    def _tell_others(self, first: int) -> None:
        others = dict.fromkeys(item.bom for item in self._items if item.bom != first)
        if others:
            name, origin = self._boms[next(iter(others)) - 1]
            self._faults.notice(
                "more-than-one-bom",
                f"the file holds {len(others) + 1} bills of materials; the first one was taken",
                origin,
                found=name,
                remedy="Export the one that is meant on its own.",
            )

    def _tell_unused(self, first: int) -> None:
        known = {clean(item.attributes.get("OEMDesignNumberRef", "")) for item in self._items if item.bom == first}
        unused = [number for number in self._listed if number and number not in known]
        if unused and known:
            self._faults.notice(
                "unused-approval",
                f"{len(unused)} entries of the approved vendor list name no item of the bill of materials",
                self._listed[unused[0]],
                found=", ".join(unused[:_SHOWN]) + (", …" if len(unused) > _SHOWN else ""),
            )
