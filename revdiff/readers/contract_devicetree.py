"""A firmware contract from devicetree source: the ``gpio-line-names`` of each bank (Devicetree Specification v0.4).

The parser is that of the package ``devicetree`` (an optional extra). It would open any file that a source names, so a
source that includes anything is refused before it is parsed.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

from revdiff.errors import UsageFault
from revdiff.readers.comments import blanked, pieces
from revdiff.readers.contract_needs import ContractFault, FoundPin

_INCLUDES = re.compile(
    r"/(incbin|include|plugin)/|^[ \t]*#[ \t]*(include|define|if|ifdef|ifndef|undef|import)\b", re.MULTILINE
)
_REFERENCE = re.compile(r"&([A-Za-z_]\w*+)")
_LABEL = re.compile(r"\b([A-Za-z_]\w*+)\s*+:")
_BANK = re.compile(r"gpio_?(?:port_?)?([a-z]|[0-9]{1,2})")
_NESTING = re.compile(r"[{}()]")
_BRACKET = re.compile(r"[()]")
_DEEPEST = 64
MOST_NODES = 20_000
MOST_LOOKED_UP = 10_000_000  # nodes times references: the parser goes through all nodes for each reference


def pins_of_devicetree(text: str, file: str, port: str = "") -> Iterator[FoundPin]:
    """Each named line as a port name. ``port`` is its form, with {bank} and {line}; without it ``PB5`` or ``GPIO5``.

    A node is a bank by its label (``gpiob``, ``gpio0``). A fragment that refers to nodes it hasn't got is completed.
    Raises ContractFault; UsageFault where the parser isn't installed.
    """
    _screen(blanked(text, strings=True), file)
    bare = blanked(text, strings=False)
    lines = _lines_of_strings(bare)
    for labels, names in _line_names(_completed(_without_sums(bare)), file):
        bank = next((found[1] for label in labels if (found := _BANK.fullmatch(label.lower()))), "")
        if not bank:
            raise ContractFault(
                file, 0, f"no label of a node with line names tells its bank: {', '.join(labels) or 'none'}"
            )
        for number, name in enumerate(names):
            if name:
                yield FoundPin(name, _port(port, bank, number), lines.get(f'"{name}"', 1))


def _screen(quiet: str, file: str) -> None:
    found = _INCLUDES.search(quiet)
    if found is not None:
        line = quiet[: found.start()].count("\n") + 1
        word = found[0].strip()
        raise ContractFault(file, line, f"{word} is not read: give the source after the preprocessor, without includes")
    deep = depth = 0
    for sign in _NESTING.findall(quiet):
        depth += 1 if sign in "{(" else -1
        deep = max(deep, depth)
    if deep > _DEEPEST:
        raise ContractFault(file, 0, f"nested deeper than {_DEEPEST}")
    nodes, references = quiet.count("{"), quiet.count("&")
    if nodes > MOST_NODES or nodes * references > MOST_LOOKED_UP:
        raise ContractFault(file, 0, f"{nodes} nodes and {references} references to them are more than are read")


def _without_sums(bare: str) -> str:
    """The source with 0 for each sum in parentheses: names of lines need none, and one can take all memory to work out.

    Strings stay; what isn't closed stays too, for the parser to tell.
    """
    quiet = list(pieces(bare))
    kept: list[str] = []
    at, depth, opened, string = 0, 0, 0, 0
    for found in _BRACKET.finditer(bare):
        place = found.start()
        while string < len(quiet) and quiet[string].end <= place:
            string += 1
        if string < len(quiet) and quiet[string].start <= place:
            continue
        if found[0] == "(":
            opened = place if depth == 0 else opened
            depth += 1
        elif depth:
            depth -= 1
            if depth == 0:
                kept += (bare[at:opened], "0" + "\n" * bare.count("\n", opened, place))
                at = place + 1
    return "".join((*kept, bare[at:]))


def _lines_of_strings(bare: str) -> dict[str, int]:
    """The first line of each string, as it is written."""
    found: dict[str, int] = {}
    line, at = 1, 0
    for _, start, end in pieces(bare):
        line += bare.count("\n", at, start)
        at = start
        found.setdefault(bare[start:end], line)
    return found


def _completed(bare: str) -> str:
    """A fragment with stubs for the nodes that it refers to, on its first line, so that lines stay what they are."""
    quiet = blanked(bare, strings=True)
    if "/dts-v1/" in quiet:
        return bare
    known = set(_LABEL.findall(quiet))
    missing = [label for label in dict.fromkeys(_REFERENCE.findall(quiet)) if label not in known]
    stubs = " ".join(f"{label}: stub-{number} {{}};" for number, label in enumerate(missing))
    return f"/dts-v1/; / {{ {stubs} }}; {bare}"


def _line_names(text: str, file: str) -> list[tuple[list[str], list[str]]]:
    try:
        dtlib: Any = import_module("devicetree.dtlib")
    except ImportError:
        raise UsageFault("devicetree source needs the parser: install revdiff[devicetree].") from None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "source.dts"
        try:
            path.write_text(text, encoding="utf-8")
            tree = dtlib.DT(str(path))
            return [
                (list(node.labels), list(node.props["gpio-line-names"].to_strings()))
                for node in tree.node_iter()
                if "gpio-line-names" in node.props
            ]
        except Exception as error:  # what the parser meets in a stranger's source can end in any of them
            found = re.search(r":(\d+)(?: \(column \d+\))?: (.*)", str(error), re.DOTALL)
            line, message = (int(found[1]), found[2]) if found else (0, str(error).replace(str(path), file))
            raise ContractFault(file, line, f"no valid devicetree source: {message[:200]}") from None


def _port(form: str, bank: str, line: int) -> str:
    if form:
        return form.replace("{bank}", bank.upper()).replace("{line}", str(line))
    return f"P{bank.upper()}{line}" if bank.isalpha() else f"GPIO{line}" if bank == "0" else f"P{bank}.{line}"
