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
from revdiff.readers.contract_needs import ContractFault, FoundPin

_QUIET = re.compile(r'"(?:[^"\\]|\\.)*"|/\*.*?\*/|//[^\n]*', re.DOTALL)
_INCLUDES = re.compile(
    r"/(incbin|include|plugin)/|^[ \t]*#[ \t]*(include|define|if|ifdef|ifndef|undef|import)\b", re.MULTILINE
)
_REFERENCE = re.compile(r"&([A-Za-z_]\w*)")
_LABEL = re.compile(r"([A-Za-z_]\w*)\s*:")
_BANK = re.compile(r"gpio_?(?:port_?)?([a-z]|[0-9]{1,2})")
_DEEPEST = 64


def pins_of_devicetree(text: str, file: str, port: str = "") -> Iterator[FoundPin]:
    """Each named line as a port name. ``port`` is its form, with {bank} and {line}; without it ``PB5`` or ``GPIO5``.

    A node is a bank by its label (``gpiob``, ``gpio0``). A fragment that refers to nodes it hasn't got is completed.
    Raises ContractFault; UsageFault where the parser isn't installed.
    """
    quiet = _QUIET.sub(lambda found: "\n" * found[0].count("\n"), text)
    _screen(quiet, file)
    for labels, names in _line_names(_completed(text, quiet), file):
        bank = next((found[1] for label in labels if (found := _BANK.fullmatch(label.lower()))), "")
        if not bank:
            raise ContractFault(
                file, 0, f"no label of a node with line names tells its bank: {', '.join(labels) or 'none'}"
            )
        for number, name in enumerate(names):
            if name:
                yield FoundPin(name, _port(port, bank, number), _line_of(text, name))


def _screen(quiet: str, file: str) -> None:
    found = _INCLUDES.search(quiet)
    if found is not None:
        line = quiet[: found.start()].count("\n") + 1
        word = found[0].strip()
        raise ContractFault(file, line, f"{word} is not read: give the source after the preprocessor, without includes")
    deep = depth = 0
    for char in quiet:
        depth += {"{": 1, "(": 1, "}": -1, ")": -1}.get(char, 0)
        deep = max(deep, depth)
    if deep > _DEEPEST:
        raise ContractFault(file, 0, f"nested deeper than {_DEEPEST}")


def _completed(text: str, quiet: str) -> str:
    """A fragment with stubs for the nodes that it refers to, on its first line, so that lines stay what they are."""
    if "/dts-v1/" in quiet:
        return text
    known = set(_LABEL.findall(quiet))
    missing = [label for label in dict.fromkeys(_REFERENCE.findall(quiet)) if label not in known]
    stubs = " ".join(f"{label}: stub-{number} {{}};" for number, label in enumerate(missing))
    return f"/dts-v1/; / {{ {stubs} }}; {text}"


def _line_names(text: str, file: str) -> list[tuple[list[str], list[str]]]:
    try:
        dtlib: Any = import_module("devicetree.dtlib")
    except ImportError:
        raise UsageFault("devicetree source needs the parser: install revdiff[devicetree].") from None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "source.dts"
        path.write_text(text, encoding="utf-8")
        try:
            tree = dtlib.DT(str(path))
            return [
                (list(node.labels), list(node.props["gpio-line-names"].to_strings()))
                for node in tree.node_iter()
                if "gpio-line-names" in node.props
            ]
        except RecursionError:
            raise ContractFault(file, 0, "nested too deep") from None
        except (dtlib.DTError, UnicodeDecodeError) as error:
            found = re.search(r":(\d+)(?: \(column \d+\))?: (.*)", str(error), re.DOTALL)
            line, message = (int(found[1]), found[2]) if found else (0, str(error).replace(str(path), file))
            raise ContractFault(file, line, f"no valid devicetree source: {message[:200]}") from None


def _port(form: str, bank: str, line: int) -> str:
    if form:
        return form.replace("{bank}", bank.upper()).replace("{line}", str(line))
    return f"P{bank.upper()}{line}" if bank.isalpha() else f"GPIO{line}" if bank == "0" else f"P{bank}.{line}"


def _line_of(text: str, name: str) -> int:
    place = text.find(f'"{name}"')
    return text[:place].count("\n") + 1 if place >= 0 else 1
