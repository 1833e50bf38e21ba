from __future__ import annotations

from pathlib import PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from revdiff.errors import DataFault
from revdiff.sources.paths import inside, shown


@pytest.mark.parametrize(
    ("path", "normal"),
    [
        ("parts.csv", "parts.csv"),
        ("./base//parts.csv", "base/parts.csv"),
        ("base/", "base"),
        ("base/.hidden/x", "base/.hidden/x"),
        ("…/ünï 1:2.csv", "…/ünï 1:2.csv"),
        ("..parts/a..b", "..parts/a..b"),
        (".gitignore", ".gitignore"),
    ],
)
def test_a_path_below_the_root_is_normalised(path: str, normal: str) -> None:
    assert inside(path) == normal


@pytest.mark.parametrize(
    "path",
    [
        "",
        ".",
        "./",
        "/",
        "/etc/passwd",
        "//server/share",
        "..",
        "../parts.csv",
        "base/../../parts.csv",
        "base/..",
        "C:parts.csv",
        "c:/parts.csv",
        "base\\parts.csv",
        "..\\parts.csv",
        "base/pa\0rts.csv",
        "base/pa\nrts.csv",
        "base/\x7f",
        "base/\udcff.csv",
        "./C:/x",
        ".//C:x",
        "é:x",
        "-:",
        ".git/config",
        "base/.GIT/config",
        "GIT~1/config",
    ],
)
def test_a_path_that_could_lead_outside_is_refused(path: str) -> None:
    with pytest.raises(DataFault, match="isn't a path inside the design"):
        inside(path)


@given(st.text(alphabet=st.sampled_from("a.b/\\~:\0\n é-C"), max_size=12))
def test_whatever_is_let_through_stays_inside_on_every_system(path: str) -> None:
    try:
        normal = inside(path)
    except DataFault:
        return
    assert inside(normal) == normal
    for kind in (PurePosixPath, PureWindowsPath):
        assert not kind(normal).is_absolute()
        assert not kind(normal).drive
        assert ".." not in kind(normal).parts


def test_a_message_shows_a_strangers_text_on_one_line_with_nothing_invisible() -> None:
    assert shown("a\nb\u202ec\udcffd") == r"'a\nb\u202ec\udcffd'"


def test_a_message_cuts_a_strangers_text() -> None:
    assert len(shown("x" * 5_000)) < 250
