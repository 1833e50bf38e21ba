"""Designs of two boards on one connector, written contact by contact, and what is made of them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping

from revdiff.compare.comparison import compare_designs
from revdiff.design import Design
from revdiff.judge import ChangeVerdict, Verdict, judge_change, judge_stack, member
from tests.support import load

Row = Mapping[str, str]
Boards = Mapping[str, Iterable[Row]]

_CONNECTORS = "Connector,Role,Contacts,Rows,Pitch,Gender,Rating\nJ1,joint,{size},1,2.54 mm,{gender},{rating}\n"


def c(signal: str, direction: str = "", level: str = "", **columns: str) -> Row:
    """A contact; columns by name, a blank in one as ``_``."""
    return {
        "Signal": signal,
        "Direction": direction,
        "Level": level,
        **{name.replace("_", " ").capitalize(): text for name, text in columns.items()},
    }


def p(signal: str, direction: str = "", level: str = "", number: str = "", **columns: str) -> Row:
    """A pin of U1."""
    return {"Pin": number, **c(signal, direction, level, **columns)}


def _table(rows: Iterable[Row], key: str, first: str, who: str) -> str:
    numbered = [{first: who, **row, key: row.get(key) or str(number)} for number, row in enumerate(rows, 1)]
    names = list(dict.fromkeys(name for row in numbered for name in row)) or [first, key, "Signal"]
    out = io.StringIO()
    writer = csv.DictWriter(out, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(numbered)
    return out.getvalue()


def design(
    contacts: Boards,
    pins: Boards | None = None,
    *,
    board: Mapping[str, str] | None = None,
    needs: Iterable[Row] = (),
    more: str = "",
    rating: str = "3 A",
) -> Design:
    """Boards that all meet the first one at J1. ``board``: lines of a board's section; ``more``: of the manifest.

    ``needs``: rows of the firmware contract of the first board.
    """
    names = list(contacts)
    files: dict[str, str] = {}
    manifest = '[design]\nname = "d"\n'
    for index, name in enumerate(names):
        rows = list(contacts[name])
        own = list((pins or {}).get(name, ()))
        manifest += f'[boards.{name}]\nconnectors = "{name}/j.csv"\ncontacts = "{name}/c.csv"\n'
        if own:
            manifest += f'pins = "{name}/p.csv"\n'
            files[f"{name}/p.csv"] = _table(own, "Pin", "Device", "U1")
        manifest += (board or {}).get(name, "") + "\n"
        gender = "female" if index else "male"
        files[f"{name}/j.csv"] = _CONNECTORS.format(size=len(rows), gender=gender, rating=rating)
        files[f"{name}/c.csv"] = _table(rows, "Contact", "Connector", "J1")
    manifest += "".join(f'[[joints]]\na = "{names[0]}.J1"\nb = "{name}.J1"\n' for name in names[1:])
    needed = list(needs)
    if needed:
        manifest += f'[firmware.f]\nversion = "1"\nboard = "{names[0]}"\ndevice = "U1"\nneeds = "needs.csv"\n'
        files["needs.csv"] = _table(needed, "Pin", "Device", "U1").replace("Device,", "X,", 1)
    found = load({"revdiff.toml": manifest + more, **files})
    assert found.diagnostics == (), found.diagnostics
    return found


def stacked(found: Design, *names: str) -> Verdict:
    """The verdict of the boards of one design, in any order."""
    return judge_stack([member(found, name, "r") for name in names or tuple(found.boards)])


def changed(old: Design, new: Design) -> ChangeVerdict:
    """What the change brings."""
    return judge_change(compare_designs(old, new), "old", "new")


def rules(verdict: Verdict | ChangeVerdict) -> list[str]:
    """The rules that found a break or a caution, each once."""
    return sorted({item.rule for item in verdict.findings if item.severity != "info"})


def hazards(verdict: Verdict | ChangeVerdict) -> list[str]:
    """The rules that found a hazard."""
    return sorted({item.rule for item in verdict.findings if item.hazard})
