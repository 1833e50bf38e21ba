"""Netlists and bills of materials after IPC-2581, revisions B and C.

Elements are told by their names without regard to the namespace and, for nets, to where in the tree they stand:
published files differ in both. What a file lacks is empty.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from xml.parsers import expat

from revdiff.design import Origin
from revdiff.errors import DataFault
from revdiff.quantities.text import clean
from revdiff.readers.faults import Faults
from revdiff.readers.ipc2581_bom import Attributes, Bom
from revdiff.readers.netlist import (
    XML_ENCODINGS,
    NamedPads,
    Netlist,
    Terminal,
    check_size,
    is_unconnected,
    tell_alike,
    too_many,
)

MAX_DEPTH = 64
MAX_ELEMENTS = 2_000_000  # each takes time, however short it is
_CHARACTERISTICS = ("textual", "measured", "ranged", "enumerated")


def read_ipc2581(data: bytes, file: str, faults: Faults) -> Netlist:
    """The terminals and the parts of a file; what is wrong with its records goes to ``faults``, all at once.

    Raises DataFault for a file that is no well-formed XML, has a document type, another root element, another
    encoding than those every program reads, or is larger or deeper than any design needs.
    """
    check_size(data, file)
    document = _Document(file, faults)
    parser = document.parser
    try:
        # In one call: fed in pieces, long attributes take quadratic time in older releases of the library.
        parser.Parse(data, True)
    except _Enough:
        pass
    except expat.ExpatError as error:
        place = f"{file}:{error.lineno}:{error.offset + 1}"
        reason = expat.ErrorString(error.code)
        raise DataFault(f"{place}: found XML that is not well-formed ({reason}). Export the file again.") from None
    except (LookupError, ValueError):
        raise DataFault(f"{file}: found an encoding that can't be read, expected UTF-8.") from None
    faults.budget.spend("elements", document.elements, file)
    return document.netlist()


class _Enough(Exception):
    """Too many faults to go on."""


class _Document:
    """Follows the elements of one document."""

    def __init__(self, file: str, faults: Faults) -> None:
        self._file = file
        self._faults = faults
        self._before = len(faults.found)
        self._bom = Bom(file, faults)
        self._open: list[str] = []
        self.elements = 0
        self._net: str | None = None  # None while the open LogicalNet has no name
        self._terminals: dict[tuple[str, str], Terminal] = {}
        self._named = NamedPads()
        self._titles: dict[str, str] = {}
        self._units = ""
        self._loose: list[Origin] = []  # pins of no component
        bom = self._bom
        self._handlers: Mapping[str, Callable[[Attributes], None]] = {
            "Step": lambda found: self._title("Step", found.get("name", "")),
            "Bom": self._start_bom,
            "BomHeader": lambda found: self._title("BomHeader", found.get("assembly", "")),
            "BomItem": lambda found: bom.item(found, self._origin()),
            "RefDes": self._ref_des,
            "Enterprise": bom.enterprise,
            "AvlItem": lambda found: bom.listed(found, self._origin()),
            "AvlVmpn": self._within("AvlItem", lambda found: bom.choice(found, self._origin())),
            "AvlMpn": self._within("AvlVmpn", lambda found: bom.number(found, self._origin())),
            "AvlVendor": self._within("AvlVmpn", bom.maker),
            "CadHeader": self._cad_header,
            "Component": bom.component,
            "LogicalNet": self._logical_net,
            "PinRef": self._within("LogicalNet", self._pin_ref),
            **{kind.capitalize(): self._characteristic(kind) for kind in _CHARACTERISTICS},
        }
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.XmlDeclHandler = self._declaration

    def netlist(self) -> Netlist:
        """What was found."""
        if self._loose:
            self._faults.notice(
                "pin-without-part",
                f"{len(self._loose)} pins of nets name no component and were left out",
                self._loose[0],
            )
        self._named.put(self._terminals, self._faults)
        parts = self._bom.parts()
        title = next((self._titles[name] for name in ("BomHeader", "Bom", "Step") if self._titles.get(name)), "")
        netlist = Netlist(self._file, tuple(self._terminals.values()), parts, title, self._units)
        tell_alike(netlist, self._faults)
        return netlist

    # events of the parser

    def _declaration(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() not in XML_ENCODINGS:
            raise DataFault(f"{self._place()}: found the encoding {clean(encoding)[:40]!r}, expected UTF-8.")

    def _doctype(self, *_declared: object) -> None:
        raise DataFault(
            f"{self._place()}: found a document type declaration, which IPC-2581 has no need of and which can "
            "hide other files. Remove the DOCTYPE."
        )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if ":" in name:
            name = name.rpartition(":")[2]
        opened = self._open
        if not opened and name != "IPC-2581":
            raise DataFault(f"{self._place()}: found the root element {clean(name)[:40]!r}, expected IPC-2581.")
        self.elements += 1
        if len(opened) >= MAX_DEPTH or self.elements > MAX_ELEMENTS:
            raise DataFault(
                f"{self._place()}: found elements more than {MAX_DEPTH} deep, or more than {MAX_ELEMENTS} of them, "
                "expected fewer."
            )
        handler = self._handlers.get(name)
        if handler is not None:
            handler({key.rpartition(":")[2]: value for key, value in attributes.items()})
            if too_many(self._faults, self._before, self._file, self.parser.CurrentLineNumber):
                raise _Enough
        opened.append(name)

    def _end(self, _name: str) -> None:
        self._open.pop()

    # elements

    def _within(self, parent: str, handler: Callable[[Attributes], None]) -> Callable[[Attributes], None]:
        """The handler, for elements right below ``parent`` alone: others of the same name mean something else."""

        def handle(attributes: Attributes) -> None:
            if self._open[-1:] == [parent]:
                handler(attributes)

        return handle

    def _characteristic(self, kind: str) -> Callable[[Attributes], None]:
        def handle(attributes: Attributes) -> None:
            if self._open[-2:] == ["BomItem", "Characteristics"]:
                self._bom.characteristic(kind, attributes, self._origin())

        return handle

    def _title(self, element: str, text: str) -> None:
        self._titles.setdefault(element, clean(text))

    def _start_bom(self, attributes: Attributes) -> None:
        self._title("Bom", attributes.get("name", ""))
        self._bom.bom(attributes, self._origin())

    def _ref_des(self, attributes: Attributes) -> None:
        if self._open[-1:] == ["BomItem"]:
            self._bom.placed(attributes, self._origin())

    def _cad_header(self, attributes: Attributes) -> None:
        self._units = self._units or clean(attributes.get("units", ""))

    def _logical_net(self, attributes: Attributes) -> None:
        name = clean(attributes.get("name", ""))
        self._net = name or None
        if not name:
            self._missing("net", "name", self._origin())

    def _pin_ref(self, attributes: Attributes) -> None:
        ref, pin = clean(attributes.get("componentRef", "")).upper(), clean(attributes.get("pin", "")).upper()
        origin = self._origin()
        if not ref:
            self._loose.append(origin)
        elif not pin:
            self._missing(f"pin of {ref}", "pin", origin)
        elif self._net is not None:
            net = "" if is_unconnected(self._net) else self._net
            first = self._terminals.setdefault((ref, pin), Terminal(ref, pin, net, origin))
            again = Terminal(ref, pin, net, origin)
            if first.net != net and not self._named.takes(first, again):
                self._clash(first, net, origin)

    # telling

    def _clash(self, first: Terminal, net: str, origin: Origin) -> None:
        self._faults.fault(
            "terminal-clash",
            f"{first.name} stands on two nets; the one at {first.origin} was taken",
            origin,
            found=net or "N/C",
            expected=first.net or "N/C",
        )

    def _missing(self, what: str, attribute: str, origin: Origin) -> None:
        self._faults.fault(
            "missing-attribute", f"this {what} has no {attribute} and was left out", origin, expected=f'{attribute}="…"'
        )

    def _origin(self) -> Origin:
        return Origin(self._file, self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1)

    def _place(self) -> str:
        return str(self._origin())
