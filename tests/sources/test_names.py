from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.errors import RevdiffError, UsageFault
from revdiff.sources.names import is_commit_id, parse_request


@pytest.mark.parametrize(
    ("asked", "scheme", "name", "parents"),
    [
        ("rev-b", "", "rev-b", []),
        ("tag:rev-b", "tag", "rev-b", []),
        ("branch:fix/j1", "branch", "fix/j1", []),
        ("commit:a1b2c3d", "commit", "a1b2c3d", []),
        ("rev-b~", "", "rev-b", [1]),
        ("rev-b~3", "", "rev-b", [1, 1, 1]),
        ("rev-b~0", "", "rev-b", []),
        ("rev-b^", "", "rev-b", [1]),
        ("rev-b^0", "", "rev-b", []),
        ("rev-b^2~1^", "", "rev-b", [2, 1, 1]),
        ("rev-b^^", "", "rev-b", [1, 1]),
        ("--output=x", "", "--output=x", []),
        ("two words", "", "two words", []),
        ('a"b\n', "", 'a"b\n', []),
        ("ünï", "", "ünï", []),
    ],
)
def test_a_name_is_kept_as_written_and_its_steps_are_counted(
    asked: str, scheme: str, name: str, parents: list[int]
) -> None:
    request = parse_request(asked)
    assert (request.scheme, request.name) == (scheme, name)
    assert [step.parent for step in request.steps] == parents


@pytest.mark.parametrize(
    ("asked", "reason"),
    [
        (":/fix", "searches commit messages"),
        ("rev-b^{/fix}", "searches by type or message"),
        ("rev-b^{tree}", "searches by type or message"),
        ("main@{1}", "looks into the log"),
        ("@{upstream}", "looks into the log"),
        ("rev-a..rev-b", "names a range"),
        ("rev-a...rev-b", "names a range"),
        ("tag:rev-a..rev-b", "names a range"),
        ("rev-b:base/parts.csv", "names a file within a revision"),
        ("", "a name is expected"),
        ("tag:", "a name is expected"),
        ("~1", "a name is expected"),
        ("rev-b~1x", "nothing but ~N"),
        ("rev-b~-1", "nothing but ~N"),
        ("rev-b~٣", "nothing but ~N"),
        ("rev-b~9999999999", "nothing but ~N"),
        ("rev-b~9999~9999", "goes back more than 10,000 commits"),
    ],
)
def test_a_form_that_names_no_single_lasting_revision_is_refused(asked: str, reason: str) -> None:
    with pytest.raises(UsageFault, match=reason):
        parse_request(asked)


@given(st.text(max_size=30))
def test_any_text_is_taken_apart_or_refused(asked: str) -> None:
    try:
        request = parse_request(asked)
    except RevdiffError:
        return
    assert asked.removeprefix(request.scheme + ":").startswith(request.name)


@pytest.mark.parametrize(
    ("name", "could_be"),
    [
        ("a1b2c3d", True),
        ("A1B2C3D", True),
        ("a" * 40, True),
        ("a1b2c3", False),
        ("a" * 41, False),
        ("g1b2c3d", False),
        ("a1b2c3d\n", False),
    ],
)
def test_a_commit_id_has_7_to_40_hexadecimal_digits(name: str, could_be: bool) -> None:
    assert is_commit_id(name) is could_be
