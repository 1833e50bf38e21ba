from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.sources.content import blob_id
from tests.sources.workshop import Workshop


# Source: S. Chacon, B. Straub, "Pro Git", 2nd edition, chapter 10.2 "Git Objects"; the last is git's
# well-known id of the empty file. Quoted from memory; the next test asks the installed git.
@pytest.mark.parametrize(
    ("data", "id"),
    [
        (b"test content\n", "d670460b4b4aece5915caf5c68d12f560a9fe3e4"),
        (b"version 1\n", "83baae61804e65cc73a7201a7252750c76066a30"),
        (b"version 2\n", "1f7a7a472abf3dd9643fd615f6da379c4acb3e3a"),
        (b"what is up, doc?", "bd9dbf5aae1a3862dd1526723246b20206e5fc37"),
        (b"", "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391"),
    ],
)
def test_content_is_named_as_published_for_git(data: bytes, id: str) -> None:
    assert blob_id(data) == id


def test_content_is_named_as_the_installed_git_names_it(workshop: Workshop) -> None:
    data = bytes(range(256)) * 300
    assert blob_id(data) == workshop.git("hash-object", "--stdin", stdin=data)


@given(st.binary(max_size=64), st.binary(max_size=64))
def test_different_bytes_have_different_names(one: bytes, other: bytes) -> None:
    assert (blob_id(one) == blob_id(other)) == (one == other)
