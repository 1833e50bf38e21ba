"""What a C or C++ source defines: macros, constants and enumerators, each with its value and its place.

Nothing is compiled or included. Values are worked out by ``c_expression``; what stands under a condition tells so, and
a name with two values has none. Constants inside functions are none of the file's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from revdiff.quantities.pattern import pattern
from revdiff.readers.c_expression import MOST_TOKENS, QUALIFIERS, TOKEN, Value, as_type, evaluate, shown
from revdiff.readers.c_lines import Lines, read_lines
from revdiff.readers.source_fault import SourceFault

MAX_TEXT = 4 * 1024 * 1024  # characters
_CHAIN = 8  # steps from a name to the name it stands for
_MOST_STEPS = 1_000_000  # tokens that all values of a file together may be worked out of
_NAME = pattern(r"[A-Za-z_]\w*")
_ACCESS = frozenset({"public", "private", "protected"})

Token = tuple[str, int]  # with its line


class Definition(Struct, frozen=True):
    """A name and what it stands for. ``scope``: the namespaces, types and scoped enumerations around it.

    ``value`` has the reason where it is unknown. ``through``: the names that it stands for one after the other.
    ``written``: the expression, empty for an enumerator that counts on. ``counted``: of an enumeration without values.
    ``condition``: the directive that the definition depends on; it isn't followed. ``note``: the comment in its line.
    """

    name: str
    line: int
    value: Value
    scope: str = ""
    written: str = ""
    through: tuple[str, ...] = ()
    counted: bool = False
    condition: str = ""
    note: str = ""
    parameters: bool = False

    @property
    def mask(self) -> bool:
        """Whether it is written as a bit, which says no number of a pin: ``(1 << 5)``."""
        return "<<" in self.written


class _Raw(Struct, frozen=True):
    """A definition before its value is worked out. ``after``: the enumerator that it counts on from, by ``offset``."""

    name: str
    line: int
    tokens: tuple[str, ...]
    scope: str = ""
    type: tuple[str, ...] = ()
    macro: bool = False
    why: str = ""
    after: _Raw | None = None
    offset: int = 0
    counted: bool = False
    condition: str = ""
    parameters: bool = False


def read_c(text: str, file: str) -> tuple[Definition, ...]:
    """The definitions of a file in their order. Raises SourceFault for one that is too large or too much work."""
    return defined_in(lines_of(text, file), file)


def lines_of(text: str, file: str) -> Lines:
    """The lines of a source. Raises SourceFault for one that is larger than MAX_TEXT."""
    if len(text) > MAX_TEXT:
        raise SourceFault(file, 0, f"found a source file of {len(text)} characters, expected {MAX_TEXT} at most")
    return read_lines(text)


def defined_in(lines: Lines, file: str) -> tuple[Definition, ...]:
    """The definitions in lines that are read."""
    raws = [*_macros(lines), *_Statements(lines).raws]
    raws.sort(key=lambda item: item.line)
    values = _Values(raws, file)
    return tuple(
        Definition(
            raw.name,
            raw.line,
            values.of(raw),
            raw.scope,
            shown(raw.tokens),
            values.through(raw),
            raw.counted,
            raw.condition,
            lines.comments.get(raw.line, ""),
            raw.parameters,
        )
        for raw in raws
    )


def _macros(lines: Lines) -> Iterator[_Raw]:
    for item in lines.macros:
        why = "takes parameters, and no macro is worked out" if item.parameters else ""
        tokens = () if why else _first(item.body)
        yield _Raw(
            item.name, item.line, tokens, macro=True, why=why, condition=item.condition, parameters=item.parameters
        )


def _first(text: str) -> tuple[str, ...]:
    """The tokens of an expression, up to one more than are worked out."""
    found = []
    for token in TOKEN.finditer(text):
        found.append(token[0])
        if len(found) > MOST_TOKENS:
            break
    return tuple(found)


class _Statements:
    """Finds constants and enumerators among the statements of a file, by its braces and semicolons."""

    def __init__(self, lines: Lines) -> None:
        self.lines = lines
        self.raws: list[_Raw] = []
        self.scopes: list[str] = []  # of each open block, with those around it
        self.buffer: list[Token] = []
        self.head: list[str] = []  # of the enumeration whose body is being read
        self.nested = self.opaque = 0  # braces open in a body or initialiser; in a function
        for number, line in lines.code.items():
            for token in TOKEN.finditer(line):
                self._take(token[0], number)

    def _take(self, token: str, line: int) -> None:
        if self.opaque:
            self.opaque += {"{": 1, "}": -1}.get(token, 0)
        elif self.nested:
            self.nested += {"{": 1, "}": -1}.get(token, 0)
            if self.nested or not self.head:
                self._keep(token, line)
            else:
                self._enumeration()
                self.buffer, self.head = [], []
        elif token == "{":
            self._open(line)
        elif token == "}":
            self.scopes[-1:] = []
            self.buffer = []
        elif token == ";":
            self._constants()
            self.buffer = []
        elif token == ":" and len(self.buffer) == 1 and self.buffer[0][0] in _ACCESS:
            self.buffer = []
        else:
            self._keep(token, line)

    def _keep(self, token: str, line: int) -> None:
        if self.head or len(self.buffer) < 4 * MOST_TOKENS:
            self.buffer.append((token, line))

    def _open(self, line: int) -> None:
        words = [token for token, _ in self.buffer]
        while words[:1] in (["typedef"], ["export"], ["inline"]) and words[1:2] != ["const"]:
            del words[0]
        outer = self.scopes[-1] if self.scopes else ""
        plain = "(" not in words
        linkage = words[:1] == ["extern"] and words[1:2] and words[1].startswith('"')
        if "=" in words or (
            plain and not linkage and "enum" not in words and QUALIFIERS & set(words) and "struct" not in words[:1]
        ):
            self.nested = 1
            self._keep("{", line)
            return
        if "enum" in words[:2] and plain:
            self.nested, self.head = 1, words
        elif words[:1] == ["namespace"] or (words[:1] in (["struct"], ["class"]) and plain):
            name = "".join(words[1:] if words[0] == "namespace" else words[1:2])
            self.scopes.append("::".join(filter(None, (outer, name))))
        elif linkage:
            self.scopes.append(outer)
        else:
            self.opaque = 1
        self.buffer = []

    def _enumeration(self) -> None:
        head = self.head[self.head.index("enum") + 1 :]
        scoped = head[:1] in (["class"], ["struct"])
        names = head[1:] if scoped else head
        kind = tuple(names[names.index(":") + 1 :]) if ":" in names else ()
        outer = self.scopes[-1] if self.scopes else ""
        scope = "::".join(filter(None, (outer, names[0] if scoped and names else "")))
        items = [item for item in _split(self.buffer) if item]
        counted = all("=" not in (token for token, _ in item) for item in items)
        before: _Raw | None = None
        offset = 0
        for item in items:
            name, line = item[0]
            if not _NAME.fullmatch(name):
                continue
            condition = self.lines.conditions.get(line, "")
            at = next((place for place, (token, _) in enumerate(item) if token == "="), 0)
            tokens = tuple(token for token, _ in item[at + 1 :][: MOST_TOKENS + 1]) if at else ()
            raw = _Raw(
                name, line, tokens, scope, kind, after=None if at else before, offset=0 if at else offset,
                counted=counted, condition=condition,
            )  # fmt: skip
            if at or before is None:
                before, offset = raw, 0
            offset += 1
            self.raws.append(raw)

    def _constants(self) -> None:
        """The constants of one statement, such as ``static const int A = 1, B = 2;``."""
        kind: tuple[str, ...] = ()
        for number, item in enumerate(_split(self.buffer)):
            words = [token for token, _ in item]
            at = next((place for place, token in enumerate(words) if token in ("=", "{")), 0)
            before = words[:at]
            if not before or "(" in before or "<" in before or before[0] in ("using", "typedef"):
                return
            if number == 0 and not QUALIFIERS & set(before):
                return
            array = before[-1] == "]"
            place = before.index("[") - 1 if "[" in before else at - 1
            if place < 0 or not _NAME.fullmatch(before[place]):
                return
            kind = kind or tuple(before[:place])
            tokens = words[at + 1 :] if words[at] == "=" else words[at:]
            if tokens[:1] == ["{"] and tokens[-1] == "}":
                tokens = tokens[1:-1]
            line = item[place][1]
            scope = self.scopes[-1] if self.scopes else ""
            why = "is an array, of which nothing is read" if array else ""
            limited = tuple(tokens[: MOST_TOKENS + 1])
            condition = self.lines.conditions.get(line, "")
            self.raws.append(_Raw(before[place], line, limited, scope, kind, why=why, condition=condition))


def _split(tokens: Sequence[Token]) -> Iterator[list[Token]]:
    """The parts between the commas that stand in no bracket."""
    depth, part = 0, list[Token]()
    for token in tokens:
        depth += {"(": 1, "{": 1, "[": 1, ")": -1, "}": -1, "]": -1}.get(token[0], 0)
        if token[0] == "," and depth <= 0:
            yield part
            part = []
        else:
            part.append(token)
    yield part


class _Unknown(Exception):
    """A value that isn't worked out; its text says why."""


class _Values:
    """The values of all definitions of a file, each worked out once."""

    def __init__(self, raws: Sequence[_Raw], file: str) -> None:
        self.file, self.steps = file, 0
        self.macros: dict[str, list[_Raw]] = {}
        self.constants: dict[str, list[_Raw]] = {}
        self.known: dict[int, Value] = {}
        self.open: list[int] = []
        for raw in raws:
            name = raw.name if raw.macro or not raw.scope else f"{raw.scope}::{raw.name}"
            (self.macros if raw.macro else self.constants).setdefault(name, []).append(raw)

    def of(self, raw: _Raw) -> Value:
        """The value of a definition. Raises SourceFault where the file is too much work."""
        key = id(raw)
        if key not in self.known:
            if key in self.open or len(self.open) >= _CHAIN:
                return Value(why=f"leads through more than {_CHAIN} names, or back to itself")
            self.open.append(key)
            try:
                value = self._worked_out(raw)
            except _Unknown as unknown:
                value = Value(why=str(unknown))
            self.open.pop()
            self.known[key] = value
        return self.known[key]

    def _worked_out(self, raw: _Raw) -> Value:
        if raw.why:
            return Value(why=raw.why)
        if raw.tokens or (not raw.scope and raw.macro):
            tokens = self._expanded(raw.tokens, (raw.name,) if raw.macro else (), raw.line)
            return as_type(evaluate(tokens, lambda name: self._look(name, raw.scope)), raw.type)
        if raw.after is None:
            return Value(number=raw.offset)
        base = self.of(raw.after)
        if base.number is None:
            return Value(why=f"counts on from {raw.after.name[:60]}, whose number isn't known")
        return as_type(replace(base, number=base.number + raw.offset, text=""), raw.type)

    def _expanded(self, tokens: Sequence[str], hidden: tuple[str, ...], line: int) -> list[str]:
        """The tokens with every macro among them replaced, as a preprocessor does (C17 clause 6.10.3.4)."""
        found: list[str] = []
        for token in tokens:
            self.steps += 1
            if self.steps > _MOST_STEPS:
                raise SourceFault(self.file, line, "the values up to here take more work than a file may ask for")
            if token not in self.macros:
                found.append(token)
            elif token in hidden or len(hidden) > _CHAIN:
                raise _Unknown(f"leads through more than {_CHAIN} names, or back to itself")
            else:
                macro = self._single(token, self.macros[token])
                if macro.why:
                    raise _Unknown(f"takes {token[:60]}, which {macro.why}")
                found += self._expanded(macro.tokens, (*hidden, token), line)
            if len(found) > MOST_TOKENS:
                break
        return found

    @staticmethod
    def _single(name: str, raws: Sequence[_Raw]) -> _Raw:
        try:
            return _single(raws)
        except _Unknown as unknown:
            raise _Unknown(f"takes {name[:60]}, which {unknown}") from None

    def _look(self, name: str, scope: str) -> Value | None:
        found = self._constant(name, scope)
        if found is None:
            return None
        try:
            return self.of(_single(found))
        except _Unknown as unknown:
            return Value(why=str(unknown))

    def _constant(self, name: str, scope: str) -> list[_Raw] | None:
        """The definitions of a name as it is seen in a scope, from the inside out."""
        for _ in range(_CHAIN):
            if found := self.constants.get(f"{scope}::{name}" if scope else name):
                return found
            if not scope:
                break
            scope = scope.rpartition("::")[0]
        head, _, last = name.rpartition("::")
        outer = head.rpartition("::")[0]
        return self.constants.get(f"{outer}::{last}" if outer else last) if head else None  # Pins::A of a plain enum

    def through(self, raw: _Raw) -> tuple[str, ...]:
        """The names that a definition stands for, one after the other."""
        names: list[str] = []
        tokens: Sequence[str] = raw.tokens
        while len(names) < _CHAIN:
            tokens = bare(tokens)
            name = "".join(tokens)
            if not tokens or not all(_NAME.fullmatch(item) or item == "::" for item in tokens) or name in names:
                break
            names.append(name)
            following = self.macros.get(name) or self._constant(name, raw.scope)
            if not following:
                break
            tokens = following[0].tokens
        return tuple(names)


def _single(raws: Sequence[_Raw]) -> _Raw:
    """The one definition of a name; several are one where they are written alike."""
    first = raws[0]
    for other in raws[1:]:
        if (other.tokens, other.why, other.offset) != (first.tokens, first.why, first.offset):
            former, latter = (shown(item.tokens) or "nothing" for item in (first, other))
            raise _Unknown(
                f"is defined twice, as {former} in line {first.line} and as {latter} in line {other.line}; "
                "conditions are not worked out"
            )
    return first


def bare(tokens: Sequence[str]) -> Sequence[str]:
    """The tokens without brackets around all of them and casts before them."""
    at, end = 0, len(tokens)
    while at < end:
        close = tokens.index(")", at) if tokens[at] == "(" and ")" in tokens[at:end] else -1
        named = all(_NAME.fullmatch(item) for item in tokens[at + 1 : close]) if close > at + 1 else False
        if named and close < end - 1:  # a cast
            at = close + 1
        elif tokens[at] == "(" and tokens[end - 1] == ")":
            at, end = at + 1, end - 1
        else:
            break
    return tokens[at:end]
