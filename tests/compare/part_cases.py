"""Small parts lists before and after, and what a person who knows both boards would say of them.

Written from the trade, not from the program: a part that has the same number and the same data stays where it is; a
renumbering has to explain strictly more than what it disturbs; one of many equal parts is no evidence.

A case: what it is about, the list before, the list after, what is said. Lists are ``R1-R4 10k A`` after a comma
each: designators, value, part number, a remark; ``-`` for an empty cell, ``x`` as a value for a part that is not
fitted and has no data. Said: ``R1-R4 > R31-R34`` (renumbered, in the order of their numbers), ``R2=R7 R7=R2``
(renumbered, pair by pair), ``-R3`` (gone), ``+R5`` (come), ``~R1 value`` (changed in place, these columns, by the new
designator). Several sayings where a person could say either.
"""

from __future__ import annotations

from typing import NamedTuple


class Case(NamedTuple):
    """One pair of lists, and the accounts of it that a person could give."""

    about: str
    before: str
    after: str
    said: tuple[str, ...]


def _case(about: str, before: str, after: str, *said: str) -> Case:
    return Case(about, before, after, said)


_MIXED = "R1 10k AAA, R2 22k BBB, R3 47k CCC, R4 1k DDD, R5 2k EEE, R6 3k FFF, R7 5k GGG, R8 6k HHH"
_TWENTY = "R1-R20 1k DDD, R21 10k AAA, R22 22k BBB"

# What a matching by likeness alone gets wrong: it has no reason to leave a part where it is.
STAY_PUT = (
    _case(
        "a block goes to free numbers, and its equal neighbours stay",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R4 1k DDD, R6 10k AAA, R7 22k BBB, R8 47k CCC, R9 1k DDD, R11 2k EEE, "
        "R12 3k FFF",
        "R31 10k AAA, R32 22k BBB, R33 47k CCC, R34 1k DDD, R6 10k AAA, R7 22k BBB, R8 47k CCC, R9 1k DDD, R11 2k EEE, "
        "R12 3k FFF",
        "R1-R4 > R31-R34",
    ),
    _case(
        "a substitution in place, beside a block that moved and an added part like the old one",
        "R1 10k AAA, R2 22k BBB, R3 22k BBB, R4 1k DDD",
        "R1 10k ZZZ, R12 22k BBB, R13 22k BBB, R4 1k DDD, R5 10k AAA",
        "~R1 part_number, R2-R3 > R12-R13, +R5",
    ),
    _case(
        "one of twenty equal parts goes and another one comes",
        "R1-R19 1k DDD, R50 1k DDD, R60 22k BBB",
        "R1-R19 1k DDD, R60 22k BBB, R90 1k DDD",
        "-R50, +R90",
    ),
)

CASES = (
    # 1. what stays put
    _case(
        "the same, the second block of equals gone at home instead",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R4 1k DDD, R6 10k AAA, R7 22k BBB, R8 47k CCC, R9 1k DDD, R11 2k EEE",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R4 1k DDD, R36 10k AAA, R37 22k BBB, R38 47k CCC, R39 1k DDD, R11 2k EEE",
        "R6-R9 > R36-R39",
    ),
    _case(
        "a third copy of a circuit comes, nothing moves",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R6 10k AAA, R7 22k BBB, R8 47k CCC",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R6 10k AAA, R7 22k BBB, R8 47k CCC, R11 10k AAA, R12 22k BBB, R13 47k CCC",
        "+R11 +R12 +R13",
    ),
    _case(
        "a copy of a circuit goes, the others stay",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R6 10k AAA, R7 22k BBB, R8 47k CCC, R11 10k AAA, R12 22k BBB, R13 47k CCC",
        "R1 10k AAA, R2 22k BBB, R3 47k CCC, R11 10k AAA, R12 22k BBB, R13 47k CCC",
        "-R6 -R7 -R8",
    ),
    _case("one of a long row goes", _TWENTY, "R1-R8 1k DDD, R10-R20 1k DDD, R21 10k AAA, R22 22k BBB", "-R9"),
    _case("the last of a long row goes", _TWENTY, "R1-R19 1k DDD, R21 10k AAA, R22 22k BBB", "-R20"),
    _case("one more of a long row comes", _TWENTY, f"{_TWENTY}, R23 1k DDD", "+R23"),
    # 2. a substitution in place beside an added part
    _case(
        "one of a row is substituted, and one like the old ones comes at the end",
        _TWENTY,
        "R1-R6 1k DDD, R7 1k ZZZ, R8-R20 1k DDD, R21 10k AAA, R22 22k BBB, R23 1k DDD",
        "~R7 part_number, +R23",
    ),
    _case(
        "one of a row gets another value, and one like the old ones comes at the end",
        _TWENTY,
        "R1-R6 1k DDD, R7 1k2 ZZZ, R8-R20 1k DDD, R21 10k AAA, R22 22k BBB, R23 1k DDD",
        "~R7 value part_number, +R23",
    ),
    _case(
        "near miss: the substituted part's data goes to a number right behind a removed one",
        "R1-R6 1k DDD, R7 10k AAA, R8 22k BBB",
        "R1 1k DDD, R2 1k ZZZ, R3-R6 1k DDD, R7 10k AAA, R9 1k DDD",
        "~R2 part_number, -R8, +R9",
    ),
    _case(
        "one of a row takes the data of another row, and one like it was comes at the end",
        "R1-R6 1k DDD, R7-R12 10k AAA",
        "R1 10k AAA, R2-R6 1k DDD, R7-R12 10k AAA, R13 1k DDD",
        "~R1 value part_number, +R13",
    ),
    # 3. commonplace data is no evidence
    _case(
        "near miss: the only one of its kind with another number",
        _TWENTY,
        "R1-R20 1k DDD, R80 10k AAA, R22 22k BBB",
        "R21=R80",
    ),
    _case(
        "a fitted part becomes a place without data, and another such place comes",
        "R1 10k AAA, R2 x, R3 x, R4 22k BBB",
        "R1 x, R2 x, R3 x, R4 22k BBB, R9 x",
        "~R1 value part_number fitted, +R9",
    ),
    # 4. blocks, on any number of parts
    _case(
        "a run of equal parts to free numbers",
        "C1-C12 100n CCC, C13 1u DDD, C14 10u EEE",
        "C101-C112 100n CCC, C13 1u DDD, C14 10u EEE",
        "C1-C12 > C101-C112",
    ),
    _case(
        "a whole class by an offset",
        _MIXED,
        _MIXED.replace("R", "R10"),
        "R1-R8 > R101-R108",
    ),
    _case(
        "a block onto numbers of its own",
        _MIXED,
        "R1 10k AAA, R2 22k BBB, R5 47k CCC, R6 1k DDD, R7 2k EEE, R8 3k FFF, R9 5k GGG, R10 6k HHH",
        "R3-R8 > R5-R10",
    ),
    _case(
        "a row of equal parts onto numbers of its own, told by its ends",
        "C1-C10 100n CCC, C20 1u DDD",
        "C4-C13 100n CCC, C20 1u DDD",
        "C1-C3 > C11-C13",
        "C1-C10 > C4-C13",
    ),
    _case(
        "two blocks that trade places",
        _MIXED,
        "R6 10k AAA, R7 22k BBB, R8 47k CCC, R1 1k DDD, R2 2k EEE, R3 3k FFF, R4 5k GGG, R5 6k HHH",
        "R1-R3 > R6-R8, R4-R8 > R1-R5",
    ),
    _case(
        "parts go, and a block takes their numbers",
        f"{_MIXED}, R11 8k III, R12 9k JJJ, R13 11k KKK, R14 12k LLL",
        "R1 8k III, R2 9k JJJ, R3 11k KKK, R4 12k LLL, R5 2k EEE, R6 3k FFF, R7 5k GGG, R8 6k HHH",
        "-R1 -R2 -R3 -R4, R11-R14 > R1-R4",
    ),
    _case(
        "a part goes and the numbers close up",
        _MIXED,
        "R1 10k AAA, R2 22k BBB, R3 1k DDD, R4 2k EEE, R5 3k FFF, R6 5k GGG, R7 6k HHH",
        "-R3, R4-R8 > R3-R7",
    ),
    _case(
        "a part comes in between and the numbers move up",
        _MIXED,
        "R1 10k AAA, R2 22k BBB, R3 9k ZZZ, R4 47k CCC, R5 1k DDD, R6 2k EEE, R7 3k FFF, R8 5k GGG, R9 6k HHH",
        "+R3, R3-R8 > R4-R9",
    ),
    _case(
        "one of a run of equal parts goes and the run closes up: it looks as if the last one went",
        "C1-C10 100n CCC, C20 1u DDD",
        "C1-C9 100n CCC, C20 1u DDD",
        "-C10",
    ),
    _case(
        "a value changes inside a block that moved",
        _MIXED,
        "R101 10k AAA, R102 22k BBB, R103 4k7 QQQ, R104 1k DDD, R105 2k EEE, R106 3k FFF, R107 5k GGG, R108 6k HHH",
        "R1-R8 > R101-R108, ~R103 value part_number",
    ),
    _case(
        "a part goes out of the middle of a block that moved to free numbers",
        _MIXED,
        "R101 10k AAA, R102 22k BBB, R104 1k DDD, R105 2k EEE, R106 3k FFF, R107 5k GGG, R108 6k HHH",
        "-R3, R1=R101 R2=R102 R4=R104 R5=R105 R6=R106 R7=R107 R8=R108",
    ),
    _case(
        "near miss: two of eight values meet equal ones one number further on",
        "R1 10k, R2 22k, R3 10k, R4 1k, R5 4k7, R6 100k, R7 330R, R8 2k2",
        "R1 10k, R2 10k, R3 10k, R4 1k, R5 4k7, R6 100k, R7 330R, R8 2k2",
        "~R2 value",
    ),
    # another order, exchanges
    _case(
        "a class numbered anew by place",
        _MIXED,
        "R4 10k AAA, R7 22k BBB, R1 47k CCC, R8 1k DDD, R2 2k EEE, R3 3k FFF, R6 5k GGG, R5 6k HHH",
        "R1=R4 R2=R7 R3=R1 R4=R8 R5=R2 R6=R3 R7=R6 R8=R5",
    ),
    _case(
        "two parts trade designators",
        _MIXED,
        _MIXED.replace("R2 22k BBB", "R2 5k GGG").replace("R7 5k GGG", "R7 22k BBB"),
        "R2=R7 R7=R2",
    ),
    _case("near miss: two equal parts that traded designators", _TWENTY, _TWENTY, ""),
    _case(
        "a rotation of three",
        _MIXED,
        _MIXED.replace("R1 10k AAA, R2 22k BBB, R3 47k CCC", "R1 47k CCC, R2 10k AAA, R3 22k BBB"),
        "R1=R2 R2=R3 R3=R1",
    ),
    # 5. book-keeping does not decide who is who
    _case(
        "a block moved, and every remark changed",
        "R1 10k AAA one, R2 22k BBB two, R3 47k CCC three, R4 1k DDD four, R5 2k EEE five, R9 9k III nine",
        "R31 10k AAA six, R32 22k BBB seven, R33 47k CCC eight, R34 1k DDD ten, R35 2k EEE last, R9 9k III done",
        "R1-R5 > R31-R35, ~R31 remark, ~R32 remark, ~R33 remark, ~R34 remark, ~R35 remark, ~R9 remark",
    ),
    # 6. rows of one kind
    _case("a whole row gets another value", _TWENTY, _TWENTY.replace("1k DDD", "2k ZZZ"), "~R1-R20 value part_number"),
    _case(
        "a row becomes equal to another row",
        _TWENTY,
        _TWENTY.replace("R21 10k AAA", "R21 1k DDD"),
        "~R21 value part_number",
    ),
    _case(
        "one of a row changes into another row's kind while one of that row goes",
        "R1-R6 1k DDD, R7-R12 10k AAA",
        "R1-R2 1k DDD, R3 10k AAA, R4-R6 1k DDD, R7-R11 10k AAA",
        "~R3 value part_number, -R12",
    ),
)
