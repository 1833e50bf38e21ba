"""One loose table or netlist as a design of one board: the quickest way to try a comparison."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping

from msgspec.structs import replace

from revdiff.errors import DataFault
from revdiff.readers.netlist import looks_like
from revdiff.readers.overlay import Overlay
from revdiff.readers.survey import Sighting, sightings
from revdiff.sources import Revision
from revdiff.sources.files import OneFile

_NAMES: Mapping[str, str] = {
    "parts": "a parts list",
    "pins": "a pin map",
    "contacts": "a contact table",
    "connectors": "a connector table",
    "netlist": "a netlist",
}


def open_loose(old: OneFile, new: OneFile) -> list[Revision]:
    """Opens two files outside any design. Raises DataFault where they are no tables or netlists of a kind.

    Both are read as the same kind of table, where both can be; where one can't be told, as the kind of the other one.
    Contact tables without a column for the connector are of one and the same, which the first file names.
    """
    files = (old, new)
    every = [_sighted(file) for file in files]
    if not any(every):
        raise DataFault(
            f"{old.name}: found no header of a parts list, pin map, contact table or connector table, and no netlist. "
            "Name its columns in a revdiff.toml (revdiff guide data)."
        )
    for at, file in enumerate(files):
        every[at] = every[at] or [replace(item, path=file.path, records={}) for item in every[1 - at][:1]]
    kinds = [[item.kind for item in sighted] for sighted in every]
    common = [kind for kind in kinds[0] if kind in kinds[1]]
    if not common:
        first, second = (_NAMES[sighted[0].kind] for sighted in every)
        raise DataFault(
            f"{old.name} is {first} and {new.name} is {second}; there is nothing to compare. "
            "Name two files of a kind, or the design that has them."
        )
    kind = min(common, key=lambda kind: kinds[0].index(kind) + kinds[1].index(kind))
    sighted = [next(item for item in found if item.kind == kind) for found in every]
    connector = next((item.connector for item in sighted if item.connector), "")
    one, two = sighted
    return [_overlay(old, one, two, connector), _overlay(new, two, one, connector)]


def _sighted(file: OneFile) -> list[Sighting]:
    """What a file may be, the likeliest first; nothing where it can't be told."""
    blob = file.revision.find(file.path)
    if blob is None:
        raise DataFault(f"{file.name}: there is no such file")
    if looks_like(file.revision.read(blob)):
        return [Sighting(file.path, "netlist", {}, "")]
    found = sightings(file.revision, blob) or sightings(file.revision, blob, lenient=True)
    # Signals with pins are a pin map where no contract names them.
    kept = [replace(item, kind="pins") if item.kind == "needs" else item for item in found]
    kept = [item for item in kept if item.kind != "pins" or {"pin", "port"} & set(item.columns)]
    if found and not kept:
        raise DataFault(
            f"{file.name}: found a list of signals without connectors or devices, which says too little alone"
        )
    return kept


def _overlay(file: OneFile, sighting: Sighting, other: Sighting, connector: str) -> Overlay:
    """The file with a manifest. A column that was guessed in the other one is the same in this one."""
    said = {"file": _quoted(file.path)}
    if sighting.connector:
        said["connector"] = _quoted(connector)
    known = {**dict(sighting.guessed), **dict.fromkeys(sighting.columns, "")}
    lent = {name: text for name, text in other.guessed if name not in known and text in sighting.texts}
    if lent:
        said["columns"] = "{ " + ", ".join(f"{name} = {_quoted(text)}" for name, text in lent.items()) + " }"
    table = "{ " + ", ".join(f"{key} = {text}" for key, text in said.items()) + " }"
    manifest = f'[design]\nname = "files"\n[boards.board]\n{sighting.kind} = {table}\n'
    identity = dataclasses.replace(file.revision.identity, asked=file.asked, kind="file", name=file.name)
    return Overlay(file.revision, identity, manifest.encode(), (file.path,))


def _quoted(text: str | int) -> str:
    return json.dumps(text, ensure_ascii=False)
