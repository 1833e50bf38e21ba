"""The kinds of change: what they are called, and whom each concerns first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from revdiff.design.tables import CONNECTORS, CONTACTS, PARTS, PINS

GROUPS = ("stacking", "firmware", "wiring", "assembly", "buying", "documentation")

# kind -> (group, what a person calls it), in the order in which reports list them
KINDS: Mapping[str, tuple[str, str]] = {
    "board.added": ("stacking", "board added"),
    "board.removed": ("stacking", "board removed"),
    "joint.added": ("stacking", "joint added"),
    "joint.removed": ("stacking", "joint removed"),
    "joint.changed": ("stacking", "joint changed"),
    "connector.added": ("stacking", "connector added"),
    "connector.removed": ("stacking", "connector removed"),
    "connector.renumbered": ("stacking", "connector renumbered"),
    "connector.split": ("stacking", "connector split"),
    "connector.merged": ("stacking", "connectors merged"),
    "connector.count": ("stacking", "contact count changed"),
    "connector.pitch": ("stacking", "pitch changed"),
    "connector.gender": ("stacking", "gender changed"),
    "connector.position": ("stacking", "position changed"),
    "connector.numbering": ("stacking", "numbering or keying changed"),
    "connector.role": ("stacking", "role changed"),
    "connector.column": ("stacking", "column of the connector table changed"),
    "connector.field": ("documentation", "connector detail changed"),
    "contact.added": ("stacking", "contact added"),
    "contact.removed": ("stacking", "contact removed"),
    "contact.moved": ("stacking", "contact moved"),
    "contact.swapped": ("stacking", "contacts trade places"),
    "contact.signal": ("stacking", "contact carries another signal"),
    "contact.direction": ("stacking", "contact direction changed"),
    "contact.level": ("stacking", "contact level changed"),
    "contact.current": ("stacking", "contact current changed"),
    "contact.behaviour": ("stacking", "contact behaviour changed"),
    "contact.column": ("stacking", "column of the contact table changed"),
    "contact.field": ("documentation", "contact detail changed"),
    "signal.voltage": ("stacking", "supply has another voltage"),
    "signal.renamed": ("firmware", "signal renamed"),
    "pin.controller": ("firmware", "controller replaced"),
    "pin.added": ("firmware", "pin newly used"),
    "pin.removed": ("firmware", "pin no longer used"),
    "pin.moved": ("firmware", "signal moved to another pin"),
    "pin.swapped": ("firmware", "signals trade pins"),
    "pin.signal": ("firmware", "pin given to another signal"),
    "pin.port": ("firmware", "pin called by another port"),
    "pin.function": ("firmware", "pin function changed"),
    "pin.direction": ("firmware", "pin direction changed"),
    "pin.active": ("firmware", "active level changed"),
    "pin.pull": ("firmware", "pull changed"),
    "pin.level": ("firmware", "logic level changed"),
    "pin.analog": ("firmware", "analog channel changed"),
    "pin.opened": ("firmware", "pin leads nowhere now"),
    "pin.connected": ("firmware", "pin leads somewhere now"),
    "pin.column": ("firmware", "column of the pin map changed"),
    "pin.field": ("firmware", "pin detail changed"),
    "contract.added": ("firmware", "firmware contract added"),
    "contract.removed": ("firmware", "firmware contract removed"),
    "contract.changed": ("firmware", "firmware contract changed"),
    "net.voltage": ("wiring", "supply has another voltage"),
    "net.split": ("wiring", "net split"),
    "net.merged": ("wiring", "nets made one"),
    "net.swapped": ("wiring", "terminals trade nets"),
    "net.rewired": ("wiring", "wired to another net"),
    "net.turned": ("wiring", "turned round"),
    "net.left": ("wiring", "terminal leads nowhere now"),
    "net.joined": ("wiring", "terminal leads somewhere now"),
    "net.part_added": ("wiring", "part newly on the board"),
    "net.part_removed": ("wiring", "part no longer on the board"),
    "net.part_renumbered": ("wiring", "parts renumbered on the board"),
    "net.renamed": ("wiring", "net renamed"),
    "pad.changed": ("assembly", "hole, access or mask of pads changed"),
    "part.value": ("assembly", "value changed"),
    "part.package": ("assembly", "package changed"),
    "part.rating": ("assembly", "rating changed"),
    "part.fitted": ("assembly", "fitting changed"),
    "part.renumbered": ("assembly", "renumbered"),
    "part.added": ("buying", "part added"),
    "part.removed": ("buying", "part removed"),
    "part.substituted": ("buying", "part substituted"),
    "part.lifecycle": ("buying", "life cycle changed"),
    "part.cost": ("buying", "cost changed"),
    "part.column": ("documentation", "column of the parts list changed"),
    "part.field": ("documentation", "part detail changed"),
    "design.field": ("documentation", "design detail changed"),
}

PART_FIELDS = PARTS.kinds
PIN_FIELDS = PINS.kinds
CONTACT_FIELDS = CONTACTS.kinds
CONNECTOR_FIELDS = CONNECTORS.kinds

_PRIMARY = ("part.value", "part.package", "part.rating", "part.substituted")
_WITH_PRIMARY = ("description", "order_code", "land_pattern")
_ORDER = {kind: index for index, kind in enumerate(KINDS)}


def group_of(kind: str) -> str:
    """The group of a kind. Raises KeyError for a kind that doesn't exist."""
    return KINDS[kind][0]


def kinds_of(kind: str) -> Mapping[str, str]:
    """Field to kind of change, of the table that a kind belongs to; empty for kinds of no table."""
    tables = {"part": PART_FIELDS, "pin": PIN_FIELDS, "contact": CONTACT_FIELDS, "connector": CONNECTOR_FIELDS}
    return tables.get(kind.partition(".")[0], {})


def order_of(kind: str) -> int:
    """Where reports list a kind."""
    return _ORDER[kind]


def kinds_of_fields(names: Sequence[str]) -> dict[str, str]:
    """The kind of change by which each changed field of a part is told.

    One event, one change: of a part that is replaced, value, package, ratings, maker, part number, order codes, land
    pattern and description are told together, under what weighs most.
    """
    kinds = {name: PART_FIELDS.get(name, "part.field") for name in names}
    primary = next((kind for kind in _PRIMARY if kind in kinds.values()), None)
    if primary is None:
        return kinds
    return {name: primary if kind in _PRIMARY or name in _WITH_PRIMARY else kind for name, kind in kinds.items()}
