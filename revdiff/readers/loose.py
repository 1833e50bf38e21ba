"""One loose table or netlist as a design of one board: the quickest way to try a comparison."""

from __future__ import annotations

import json
from dataclasses import replace

from revdiff.errors import DataFault
from revdiff.readers.netlist import looks_like
from revdiff.readers.overlay import Overlay
from revdiff.readers.survey import Sighting, look_at
from revdiff.sources import Revision
from revdiff.sources.files import OneFile


def open_loose(old: OneFile, new: OneFile) -> list[Revision]:
    """Opens two files outside any design. Raises DataFault where one is no table or netlist that is known.

    Contact tables without a column for the connector are of one and the same, which the first file names.
    """
    sighted = [_sighted(file) for file in (old, new)]
    connector = next((item.connector for item in sighted if item.connector), "")
    return [_overlay(file, sighting, connector) for file, sighting in zip((old, new), sighted, strict=True)]


def _sighted(file: OneFile) -> Sighting:
    blob = file.revision.find(file.path)
    if blob is None:
        raise DataFault(f"{file.name}: there is no such file")
    if looks_like(file.revision.read(blob)):
        return Sighting(file.path, "netlist", {}, "")
    sighting = look_at(file.revision, blob) or look_at(file.revision, blob, lenient=True)
    if sighting is None:
        raise DataFault(
            f"{file.name}: found no header of a parts list, pin map, contact table or connector table, and no netlist. "
            "Name its columns in a revdiff.toml (README.md, data files)."
        )
    if sighting.kind != "needs":
        return sighting
    if "pin" not in sighting.columns:
        raise DataFault(
            f"{file.name}: found a list of signals without connectors or devices, which says too little alone"
        )
    return replace(sighting, kind="pins")  # signals with pins are a pin map where no contract names them


def _overlay(file: OneFile, sighting: Sighting, connector: str) -> Overlay:
    text = json.dumps(file.path, ensure_ascii=False)
    if sighting.connector:
        text = f"{{ file = {text}, connector = {json.dumps(connector, ensure_ascii=False)} }}"
    manifest = f'[design]\nname = "files"\n[boards.board]\n{sighting.kind} = {text}\n'
    identity = replace(file.revision.identity, asked=file.asked, kind="file", name=file.name)
    return Overlay(file.revision, identity, manifest.encode(), files=(file.path,))
