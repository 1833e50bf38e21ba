"""Package codes that are sizes in both systems: what either revision shows of a board's list holds for both."""

from __future__ import annotations

from dataclasses import replace

from revdiff.design import Board, Design, Part, PartData, Reading
from revdiff.quantities.size_code import Package, System, read_package, system_of


def settle_packages(old: Design, new: Design) -> tuple[Design, Design]:
    """Both designs, with the packages of a board in inches or in metric codes where some of them can only be that."""
    boards: tuple[dict[str, Board], dict[str, Board]] = ({}, {})
    for name in old.boards:
        if name not in new.boards:
            continue
        sides = old.boards[name], new.boards[name]
        packages = {**_packages(sides[0]), **_packages(sides[1])}
        if any(len(package.sizes) > 1 for package in packages.values()) and (system := system_of(packages.items())):
            for found, board in zip(boards, sides, strict=True):
                found[name] = replace(board, parts=_settled(board, system))
    if not boards[0]:
        return old, new
    one, two = (
        replace(design, boards={**design.boards, **found}) for design, found in zip((old, new), boards, strict=True)
    )
    return one, two


def _packages(board: Board) -> dict[str, Package]:
    readings = [data.package for data in {id(part.data): part.data for part in board.parts.values()}.values()]
    return {item.raw: item.meaning for item in readings if isinstance(item.meaning, Package) and item.meaning.sizes}


def _settled(board: Board, system: System) -> dict[str, Part]:
    seen: dict[int, PartData] = {}  # parts of one row share their data
    found = {}
    for ref, part in board.parts.items():
        data = seen.get(id(part.data))
        if data is None:
            data = seen[id(part.data)] = _with_system(part.data, system)
        found[ref] = part if data is part.data else replace(part, data=data)
    return found


def _with_system(data: PartData, system: System) -> PartData:
    package = data.package.meaning
    if not isinstance(package, Package) or len(package.sizes) < 2:
        return data
    sizes = read_package(data.package.raw, system).sizes
    return replace(data, package=Reading(data.package.raw, Package("", sizes)))
