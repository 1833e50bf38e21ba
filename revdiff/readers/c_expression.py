"""Integer constant expressions of C and C++, worked out as a compiler with an int of 32 bits does (C17 clause 6.6).

What would depend on more than that (wrapping, a 64-bit result, a macro with parameters, a name of another file) isn't
guessed: it is unknown, with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from revdiff.quantities.pattern import pattern

TOKEN: Final = pattern(
    r"[A-Za-z_]\w*+"
    r"|[0-9](?:[\w.]|'(?=\w))*+"
    r'|"(?:[^"\\\n]|\\[^\n]){0,400}+"'
    r"|'(?:[^'\\\n]|\\[^\n]){0,40}+'"
    r"|::|<<|>>|<=|>=|==|!=|&&|\|\||->"
    r"|[^\s]"
)
_NUMBER = pattern(r"(0[xX][0-9A-Fa-f]{1,16}|0[bB][01]{1,64}|[0-9]{1,20})([uUlLzZ]{0,3})")
_NAME = pattern(r"[A-Za-z_]\w*")
_TEXT = pattern(r'"([\w .+/#-]{0,200})"')
_CHARACTER = pattern(r"'([ -&(-\[\]-~])'")
MOST_TOKENS = 200
_DEEPEST = 16
_SHOWN = 60  # characters of a name or value in a message

_EXACT: Final[Mapping[str, tuple[int, bool]]] = {
    **{f"int{bits}_t": (bits, True) for bits in (8, 16, 32)},
    **{f"uint{bits}_t": (bits, False) for bits in (8, 16, 32)},
    **dict.fromkeys(("signed char", "char signed"), (8, True)),
    **dict.fromkeys(("unsigned char", "char unsigned"), (8, False)),
    **dict.fromkeys(("short", "short int", "signed short"), (16, True)),
    **dict.fromkeys(("unsigned short", "unsigned short int"), (16, False)),
    **dict.fromkeys(("int", "signed", "signed int"), (32, True)),
    **dict.fromkeys(("unsigned", "unsigned int"), (32, False)),
}
QUALIFIERS: Final = frozenset({"const", "constexpr", "static", "inline", "extern", "volatile", "constinit", "register"})
_WORDS = frozenset({"unsigned", "signed", "char", "short", "int", "long", "bool", "float", "double", "auto", "size_t"})
_CASTS = frozenset({"static_cast", "reinterpret_cast", "const_cast"})
# From the loosest to the tightest (C17 clauses 6.5.5 to 6.5.14).
_LEVELS: Final = (("||",), ("&&",), ("|",), ("^",), ("&",), ("==", "!="), ("<", ">", "<=", ">="), ("<<", ">>"))
_BINARY: Final = {sign: level for level, signs in enumerate((*_LEVELS, ("+", "-"), ("*", "/", "%"))) for sign in signs}


class Value(Struct, frozen=True):
    """What an expression stands for: a number, a text, a word (a name that the file doesn't define), or neither.

    ``why`` says why it is unknown. A character has both its code and its text. ``unsigned``: of a type that wraps.
    """

    number: int | None = None
    text: str = ""
    word: str = ""
    why: str = ""
    unsigned: bool = False


class _Unknown(Exception):
    """An expression that isn't worked out; its text says why."""


def evaluate(tokens: Sequence[str], look: Callable[[str], Value | None]) -> Value:
    """The value of an expression. ``look`` gives the value of a name, None for one that isn't defined."""
    if not tokens:
        return Value(why="has no value")
    if len(tokens) > MOST_TOKENS:
        return Value(why=f"has more than {MOST_TOKENS} words and signs")
    try:
        reading = _Reading(tokens, look)
        value = reading.binary(0)
        if reading.here:
            raise _Unknown(f"is no plain number, text or name: {shown(tokens)}")
        return value
    except _Unknown as unknown:
        return Value(why=str(unknown))


def shown(tokens: Sequence[str]) -> str:
    """An expression for a message."""
    return " ".join(tokens[:20])[:_SHOWN]


def as_type(value: Value, words: Sequence[str]) -> Value:
    """The value converted to the type of these words (C17 clause 6.3.1.3)."""
    names = [word for word in words if word not in QUALIFIERS and word not in ("::", "std", "*", "&", "struct", "enum")]
    name, number = " ".join(names), value.number
    if number is None or not names or name == "auto":
        return value
    if "float" in names or "double" in names:
        return Value(why="is no integer")
    if name == "bool":
        return Value(number=int(number != 0))
    if name in _EXACT:
        bits, signed = _EXACT[name]
        if not signed:
            return replace(value, number=number % (1 << bits), unsigned=bits == 32)
        if not -(1 << bits - 1) <= number < 1 << bits - 1:
            return Value(why=f"doesn't fit into {name}")
        return replace(value, unsigned=False)
    if not 0 <= number < (128 if name == "char" else 1 << 31):
        return Value(why=f"depends on what {name[:_SHOWN]} is")
    return replace(value, unsigned=name != "char")


class _Reading:
    """One pass over the tokens of an expression, by precedence."""

    def __init__(self, tokens: Sequence[str], look: Callable[[str], Value | None]) -> None:
        self.tokens, self.look, self.at, self.depth = tokens, look, 0, 0

    @property
    def here(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, expected: str = "") -> str:
        token = self.here
        if not token or (expected and token != expected):
            raise _Unknown(f"is no plain number, text or name: {shown(self.tokens)}")
        self.at += 1
        return token

    def binary(self, level: int) -> Value:
        self.depth += 1
        if self.depth > _DEEPEST:
            raise _Unknown("is nested too deep")
        left = self.unary()
        while (mine := _BINARY.get(self.here, -1)) >= level:
            sign = self.take()
            left = _joined(left, sign, self.binary(mine + 1))
        self.depth -= 1
        return left

    def unary(self) -> Value:
        signs = []
        while self.here in ("+", "-", "~", "!"):
            signs.append(self.take())
        value = self.primary()
        for sign in reversed(signs):
            number = _number(value)
            if sign == "~" and value.unsigned:
                raise _Unknown("depends on the width of an unsigned type")
            number = {"+": number, "-": -number, "~": ~number, "!": int(not number)}[sign]
            value = _bounded(number, value.unsigned and sign != "!")
        return value

    def primary(self) -> Value:
        token = self.take()
        if token == "(":
            return self.cast() or self.inside(")")
        if number := _NUMBER.fullmatch(token.replace("'", "") if token[0].isdigit() else ""):
            return _literal(number[1], number[2].lower())
        if text := _TEXT.fullmatch(token):
            return Value(text=text[1])
        if character := _CHARACTER.fullmatch(token):
            return Value(number=ord(character[1]), text=character[1])
        if not _NAME.fullmatch(token):
            raise _Unknown(f"is no plain number, text or name: {shown(self.tokens)}")
        return self.named(token)

    def inside(self, end: str) -> Value:
        value = self.binary(0)
        self.take(end)
        return value

    def named(self, name: str) -> Value:
        if name in _CASTS:
            self.take("<")
            words = []
            while self.here != ">":
                words.append(self.take())
            self.take(">")
            self.take("(")
            return as_type(self.inside(")"), words)
        while self.here == "::":
            name += self.take() + self.take()
        simple = name.rpartition("::")[2]
        if self.here in ("(", "{") and (simple in _WORDS or simple.endswith("_t")):
            return as_type(self.inside(")" if self.take() == "(" else "}"), [simple])
        if self.here in ("(", "{", "[", ".", "->"):
            raise _Unknown(f"takes {name[:_SHOWN]}{self.here}, and no macro or function is worked out")
        if name in ("true", "false"):
            return Value(number=int(name == "true"))
        found = self.look(name)
        if found is None:
            return Value(word=name)
        if found.why:
            raise _Unknown(f"takes {name[:_SHOWN]}, which {found.why}"[:200])
        return found

    def cast(self) -> Value | None:
        """The value behind a cast, where the bracket that was just taken holds a type."""
        end = self.at
        while end < len(self.tokens) and (_NAME.fullmatch(self.tokens[end]) or self.tokens[end] == "::"):
            end += 1
        words = self.tokens[self.at : end]
        after = self.tokens[end + 1 : end + 2]
        if not words or self.tokens[end : end + 1] != [")"] or not after:
            return None
        known = all(word in _WORDS or word in QUALIFIERS for word in words) or words[-1].endswith("_t")
        begins = after[0] == "(" or after[0][0].isalnum() or after[0][0] in "_'\""
        if not known and not (begins and self.look("".join(words)) is None):
            return None
        self.at = end + 1
        return as_type(self.unary(), words)


def _literal(digits: str, suffix: str) -> Value:
    lower = digits.lower()
    base = 16 if lower[:2] == "0x" else 2 if lower[:2] == "0b" else 8 if lower[0] == "0" and len(lower) > 1 else 10
    try:
        number = int(lower[2:] if base in (16, 2) else lower, base)
    except ValueError:
        raise _Unknown(f"is no plain number, text or name: {digits}") from None
    return _bounded(number, "u" in suffix or (base != 10 and number > 0x7FFFFFFF))


def _number(value: Value) -> int:
    if value.number is None:
        what = f"{value.word[:_SHOWN]} isn't defined in this file" if value.word else "a text is no number"
        raise _Unknown(f"can't be worked out: {what}")
    return value.number


def _bounded(number: int, unsigned: bool) -> Value:
    if not (0 <= number < 1 << 32 if unsigned else -(1 << 31) <= number < 1 << 31):
        raise _Unknown("needs more than an int of 32 bits")
    return Value(number=number, unsigned=unsigned)


def _joined(left: Value, sign: str, right: Value) -> Value:
    one, two = _number(left), _number(right)
    if sign in ("&&", "||"):
        return Value(number=int(bool(one) and bool(two) if sign == "&&" else bool(one) or bool(two)))
    if sign in ("<<", ">>"):
        if not 0 <= two < 32 or one < 0:
            raise _Unknown("shifts by what a compiler may take as it likes")
        return _bounded(one << two if sign == "<<" else one >> two, left.unsigned)
    unsigned = left.unsigned or right.unsigned
    if unsigned and (one < 0 or two < 0):
        raise _Unknown("mixes a negative number with an unsigned one")
    if sign in ("==", "!=", "<", ">", "<=", ">="):
        holds = {"==": one == two, "!=": one != two, "<": one < two, ">": one > two, "<=": one <= two, ">=": one >= two}
        return Value(number=int(holds[sign]))
    if sign in ("/", "%"):
        if two == 0:
            raise _Unknown("divides by 0")
        quotient = abs(one) // abs(two) * (1 if (one < 0) == (two < 0) else -1)
        return _bounded(quotient if sign == "/" else one - quotient * two, unsigned)
    number = {"+": one + two, "-": one - two, "*": one * two, "&": one & two, "|": one | two, "^": one ^ two}[sign]
    return _bounded(number, unsigned)
