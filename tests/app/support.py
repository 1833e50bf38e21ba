"""A repository in which a maintainer keeps ``main`` and a contributor proposes ``change``."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from revdiff.app.check import check_change
from revdiff.release.check import Check
from tests.sources.workshop import Workshop
from tests.support import SMALL, Files

# The supply rises from 5 V to 12 V on the base board: a hazard for every released top board.
BREAK = ("base/contacts.csv", "J1,1,+5V,supply,5 V", "J1,1,+5V,supply,12 V")
RULE, SUBJECT = "joint-supply-voltage", "base.J1.1–top.J1.1"


class Project:
    """A design on ``main``, and changes of it."""

    def __init__(self, root: Path, files: Files = SMALL) -> None:
        self.shop = Workshop(root)
        self.files: dict[str, str] = {}
        self.save(files, "start")

    def save(self, files: Mapping[str, str], message: str = "change") -> str:
        """Commits exactly these files on the branch that is checked out."""
        for path in self.files.keys() - files.keys():
            (self.shop.root / path).unlink()
        self.files = dict(files)
        return self.shop.commit({path: text.encode() for path, text in files.items()}, message)

    def release(self, tag: str) -> None:
        """Tags what is there now."""
        self.shop.git("tag", tag)

    def propose(self, files: Mapping[str, str], *messages: str) -> None:
        """Branches off as ``change`` with these files; further messages are of empty commits."""
        self.shop.git("checkout", "--quiet", "-B", "change", "main")
        first, *rest = messages or ("change",)
        self.save(files, first)
        for message in rest:
            self.shop.commit({}, message)

    def check(self, files: Mapping[str, str], *messages: str, today: date | None = None) -> Check:
        """Proposes these files, and checks that against ``main``."""
        self.propose(files, *messages)
        return check_change("main", "change", repository=self.shop.root, today=today)


def broken(check: Check) -> set[str]:
    """Rule and subject of the breaks that the change brings."""
    return {f"{item.finding.rule}/{item.finding.subject}" for item in check.brings if item.finding.severity == "break"}


def codes(check: Check) -> list[str]:
    """Code and subject of what is read or judges, in the order in which it is told."""
    return [f"{item.code} {item.subject}" for item in check.settings]


def with_manifest(files: Files, *edits: tuple[str, str]) -> dict[str, str]:
    """The files with edits of the manifest; an empty text to replace stands for its end."""
    text = files["revdiff.toml"]
    for before, after in edits:
        assert not before or text.count(before) == 1, f"{before!r} stands {text.count(before)} times"
        text = text.replace(before, after) if before else text + after
    return {**files, "revdiff.toml": text}
