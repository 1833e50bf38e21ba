"""Devicetree sources as nodes and properties with their places (Devicetree Specification v0.4, chapter 6).

One linear pass over the text, since people keep fragments, overlays and sources before the preprocessor: no file is
included, no overlay applied, a macro stays a word. Nodes that are named again add to themselves, as the specification
says; what ``/delete-node/`` and ``/delete-property/`` name is gone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from msgspec import Struct

from revdiff.quantities.pattern import pattern
from revdiff.readers.c_expression import Value
from revdiff.readers.c_lines import Lines
from revdiff.readers.c_source import defined_in, lines_of
from revdiff.readers.source_fault import SourceFault

_TOKEN = pattern(
    r'"(?:[^"\\\n]|\\.){0,4000}+"'
    r"|'(?:[^'\\\n]|\\.){1,40}+'"
    r"|&\{[^}\n]{0,400}+\}"
    r"|&?[A-Za-z_]\w*+(?![\w,.+@?#-])"
    r"|/[a-z0-9-]++/"
    r"|[\w,.+?#-]++(?:@[\w,.+-]++)?"
    r"|<<|>>|&&|\|\||[<>=!]=|\S"
)
_NAME = pattern(r"[\w,.+?#-]+(?:@[\w,.+-]+)?")
_WORD = pattern(r"[A-Za-z_]\w*")
_DEEPEST = 64
_MOST_CELLS = 100_000  # in one property
_MOST_LOOKED_UP = 1_000_000  # nodes times deletions: each goes through all nodes
_ESCAPE = pattern(r"\\(x[0-9A-Fa-f]{1,2}|[0-7]{1,3}|.)")
_ESCAPES = {"n": "\n", "t": "\t", "r": "\r", "a": "\a", "b": "\b", "v": "\v", "f": "\f"}


class Cell(NamedTuple):
    """One value between ``<`` and ``>``: a reference (``&gpioa``), or the words of a number, macro or sum."""

    words: tuple[str, ...]
    line: int

    @property
    def reference(self) -> str:
        return self.words[0][1:] if self.words[0].startswith("&") and len(self.words[0]) > 1 else ""


class Property(Struct):
    """A property: its texts, each with its line, and its cells in one row."""

    name: str
    line: int
    texts: list[tuple[str, int]] = []
    cells: list[Cell] = []


class Node(Struct):
    """A node by its path, which is the reference where it is only referred to. ``owner``: the node around it."""

    path: str
    line: int
    labels: list[str] = []
    properties: dict[str, Property] = {}
    owner: Node | None = None

    @property
    def called(self) -> str:
        """Its first label; else its name without an address."""
        return self.labels[0] if self.labels else self.path.rpartition("/")[2].partition("@")[0].lstrip("&")


class Tree(Struct, frozen=True):
    """The nodes of a source in their order, its lines, the values of its macros, and what was passed over, by line."""

    nodes: tuple[Node, ...]
    lines: Lines
    macros: dict[str, Value]
    passed_over: dict[int, str]


def read_tree(text: str, file: str) -> Tree:
    """The tree of a source. Raises SourceFault at the place where it is none."""
    lines = lines_of(text, file)
    reading = _Reading(lines, file)
    reading.read()
    found: dict[str, Value] = {}
    for item in defined_in(Lines(macros=lines.macros), file):
        twice = item.name in found and found[item.name] != item.value
        found[item.name] = Value(why="is defined twice") if twice else item.value
    return Tree(tuple(reading.nodes.values()), lines, found, reading.passed_over)


class _Reading:
    """One pass over the tokens of a source."""

    def __init__(self, lines: Lines, file: str) -> None:
        self.file = file
        self.nodes: dict[str, Node] = {}
        self.labelled: dict[str, str] = {}  # path by label
        self.passed_over: dict[int, str] = {}
        self.tokens = ((token[0], number) for number, line in lines.code.items() for token in _TOKEN.finditer(line))
        self.here, self.line = "", 1
        self.looked_up = 0
        self.step()

    def step(self) -> str:
        """The token that was next; the one after it is next then."""
        token = self.here
        self.here, self.line = next(self.tokens, ("", self.line))
        return token

    def expect(self, sign: str) -> None:
        if self.here != sign:
            raise self.fault(repr(sign))
        self.step()

    def fault(self, expected: str) -> SourceFault:
        found = self.here[:60] or "the end of the file"
        return SourceFault(self.file, self.line, f"no valid devicetree source: found {found}, expected {expected}")

    def read(self) -> None:
        opened: list[Node] = []
        labels: list[str] = []
        while self.here or opened:
            token = self.here
            if token in ("/dts-v1/", "/plugin/", "/memreserve/"):
                self.statement()
            elif token in ("/include/", "/incbin/"):
                self.step()
                self.passed_over.setdefault(self.line, token)
                if self.here.startswith('"'):
                    self.step()
            elif token in ("/delete-node/", "/delete-property/"):
                self.delete(opened)
            elif token == "/omit-if-no-ref/":
                self.step()
            elif token == "}" and opened:
                self.step()
                opened.pop()
                self.expect(";")
            elif token == "/" or token.startswith("&") or _NAME.fullmatch(token):
                labels = self.member(opened, labels)
            elif token == ";":  # after a macro
                self.step()
            else:
                raise self.fault("a node, a property or }" if opened else "a node")

    def member(self, opened: list[Node], labels: list[str]) -> list[str]:
        """One label, node or property; returns the labels that the next one has."""
        line, name = self.line, self.step()
        if self.here == ":" and _WORD.fullmatch(name):
            self.step()
            labels.append(name)
            return labels
        if self.here == "{":
            self.step()
            if len(opened) >= _DEEPEST:
                raise SourceFault(self.file, line, f"nested deeper than {_DEEPEST}")
            opened.append(self.node(name, labels, opened[-1] if opened else None, line))
        elif self.here == "(":
            self.passed_over.setdefault(line, name)
            self.brackets()
        elif name != "/" and not name.startswith("&") and self.here in ("=", ";") and (opened or self.here == ";"):
            if opened:
                opened[-1].properties[name] = self.property(name, line)
            else:
                self.passed_over.setdefault(line, name)
            self.expect(";")
        elif not labels and _WORD.fullmatch(name) and name.isupper():  # a macro that stands for whatever
            self.passed_over.setdefault(line, name)
        else:
            raise self.fault("{ of a node, or = or ; of a property" if opened else "{ of a node")
        return []

    def node(self, name: str, labels: list[str], owner: Node | None, line: int) -> Node:
        if name.startswith("&{"):
            path = name[2:-1]
        elif name.startswith("&"):
            path = self.labelled.get(name[1:], name)
        else:
            path = f"{owner.path.rstrip('/')}/{name}" if owner is not None else name
        node = self.nodes.setdefault(path, Node(path, line, owner=owner))
        if path.startswith("&") and name.startswith("&") and name[1:] not in node.labels:
            node.labels.append(name[1:])
        for label in labels:
            self.labelled.setdefault(label, path)
            if label not in node.labels:
                node.labels.append(label)
        return node

    def delete(self, opened: list[Node]) -> None:
        what, name = self.step(), self.step()
        self.expect(";")
        if what == "/delete-property/" and opened:
            opened[-1].properties.pop(name, None)
        elif what == "/delete-node/":
            path = self.labelled.get(name[1:], name) if name.startswith("&") else ""
            path = path or (f"{opened[-1].path.rstrip('/')}/{name}" if opened else name)
            self.looked_up += len(self.nodes)
            if self.looked_up > _MOST_LOOKED_UP:
                raise SourceFault(self.file, self.line, "nodes are deleted more often than is read")
            for key in [key for key in self.nodes if key == path or key.startswith(f"{path}/")]:
                del self.nodes[key]

    def statement(self) -> None:
        while self.here not in (";", ""):
            self.step()
        self.expect(";")

    def brackets(self) -> list[str]:
        """The tokens of a bracket, with those inside it."""
        line, depth, words = self.line, 0, list[str]()
        while True:
            if not self.here:
                raise SourceFault(self.file, line, "no valid devicetree source: a bracket is never closed")
            depth += {"(": 1, ")": -1}.get(self.here, 0)
            if depth > _DEEPEST:
                raise SourceFault(self.file, self.line, f"nested deeper than {_DEEPEST}")
            words.append(self.step())
            if depth == 0:
                return words

    def property(self, name: str, line: int) -> Property:
        found = Property(name, line)
        if self.here != "=":
            return found
        self.step()
        while True:
            self.value(found)
            if self.here != ",":
                return found
            self.step()

    def value(self, found: Property) -> None:
        """One of the values that commas part."""
        line, token = self.line, self.step()
        while self.here == ":" and _WORD.fullmatch(token):
            self.step()
            line, token = self.line, self.step()
        if token == "/bits/":
            self.step()
            line, token = self.line, self.step()
        if token.startswith('"') and len(token) > 1:
            found.texts.append((unescaped(token[1:-1]), line))
        elif token == "<":
            self.cells(found)
        elif token == "[":
            while self.here not in ("]", ";", ""):
                self.step()
            self.expect("]")
        elif token == "/incbin/":
            self.passed_over.setdefault(line, token)
            self.brackets()
        elif _WORD.fullmatch(token):
            self.passed_over.setdefault(line, token)
            if self.here == "(":
                self.brackets()
        elif not token.startswith("&") or len(token) == 1:
            raise SourceFault(
                self.file,
                line,
                f"no valid devicetree source: found {token[:60]}, expected a value of {found.name[:60]}",
            )

    def cells(self, found: Property) -> None:
        while self.here != ">":
            if not self.here or self.here in (";", "{", "}", "="):
                raise self.fault("> or a value")
            if len(found.cells) >= _MOST_CELLS:
                raise SourceFault(self.file, self.line, f"found more than {_MOST_CELLS} values in one property")
            line = self.line
            if self.here == "(":
                found.cells.append(Cell(tuple(self.brackets()), line))
                continue
            token = self.step()
            if self.here == ":" and _WORD.fullmatch(token):
                self.step()
            elif self.here == "(" and _WORD.fullmatch(token):
                found.cells.append(Cell((token, *self.brackets()), line))
            else:
                found.cells.append(Cell((token,), line))
        self.step()


def unescaped(text: str) -> str:
    """A string as its bytes say it (UTF-8)."""
    if "\\" not in text:
        return text

    def byte(found: re.Match[str]) -> str:
        sign = found[1]
        if sign[0] == "x" and len(sign) > 1:
            return chr(int(sign[1:], 16))
        if sign[0] in "01234567":
            return chr(int(sign, 8) & 0xFF)
        return _ESCAPES.get(sign, sign).encode().decode("latin-1")

    parts: list[str] = []
    at = 0
    for found in _ESCAPE.finditer(text):
        parts += (text[at : found.start()].encode().decode("latin-1"), byte(found))
        at = found.end()
    parts.append(text[at:].encode().decode("latin-1"))
    return "".join(parts).encode("latin-1").decode("utf-8", "replace")


def specifiers(cells: list[Cell]) -> Iterator[tuple[Cell, list[Cell]]]:
    """Each reference of a row of cells with the cells up to the next one."""
    current: tuple[Cell, list[Cell]] | None = None
    for cell in cells:
        if cell.reference:
            if current is not None:
                yield current
            current = (cell, [])
        elif current is not None:
            current[1].append(cell)
    if current is not None:
        yield current
