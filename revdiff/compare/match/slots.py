"""Designators to numbered slots of their class letter."""

from __future__ import annotations

from collections.abc import Iterable

from revdiff.quantities.designator import parse_designator

# Forms of designator in one class (with zeros, a suffix or an assembly) are numbered apart by more than any number.
_APART = 1 << 40


def slots_of(refs: Iterable[str]) -> dict[str, int]:
    """A slot for each designator of one class: its number, where it has a plain one.

    Zeros before a number count only where the class has the same number without them.
    """
    forms: dict[str, tuple[str, str, int, int]] = {}  # assembly, suffix or name, zeros, number
    for ref in refs:
        letters = ref.rstrip("0123456789")
        digits = ref[len(letters) :]
        if digits and letters.isalpha() and digits[0] != "0":
            forms[ref] = ("", "", 0, int(digits))
            continue
        designator = parse_designator(ref)
        if designator is None or designator.number is None:
            forms[ref] = ("", f" {ref}", 0, 0)
        else:
            forms[ref] = (designator.assembly, designator.suffix, designator.zeros, designator.number)
    plain = {ref: (assembly, suffix, 0, number) for ref, (assembly, suffix, _, number) in forms.items()}
    if len(set(plain.values())) == len(plain):
        forms = plain
    order = {form: index for index, form in enumerate(sorted({form[:3] for form in forms.values()}))}
    return {ref: order[form[:3]] * _APART + form[3] for ref, form in forms.items()}


def plain_offset(offset: int) -> bool:
    """Whether an offset is one of numbers, not from one form of designator to another."""
    return abs(offset) < _APART // 2
