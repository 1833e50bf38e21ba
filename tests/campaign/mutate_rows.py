"""What happens to the data of parts on a board with long rows: one part, some of a row, or the whole row."""

from __future__ import annotations

from tests.campaign import stock
from tests.campaign.mutate_parts import data_of, number_of, prefix_of
from tests.campaign.rows import COMMON, Rows, identity
from tests.campaign.sheets import Row, row
from tests.campaign.trial import Trial

_PASSIVE = ("R", "C", "L")
_ANOTHER = ("part.value", "part.package", "part.substituted", "part.rating", "part.replaced", "part.field")
_BOOKS = ("lifecycle", "cost", "alternates", "Remark", "Stock code", "Shelf")


def _some(rows: Rows, prefixes: tuple[str, ...] = (), column: str = "", *, much: bool = False) -> list[Row] | None:
    """One part, a few of its row or all of it, that nothing has changed yet; with something in ``column``."""
    if column and column not in rows.columns:
        return None
    groups = [
        items
        for (prefix, _), items in rows.alike.items()
        if (not prefixes or prefix in prefixes) and items[0]["value"] and (not column or items[0].get(column))
    ]
    if not groups:
        return None
    # Large rows are edited more often, as there is more of them.
    whole = rows.rng.choices(groups, weights=[len(items) ** 0.5 for items in groups])[0]
    data = data_of(rows.rng.choice(whole))
    whole = [item for item in whole if data_of(item) == data]
    many = rows.rng.choice((1, 1, rows.rng.randrange(1, 6), len(whole)))
    some = whole if many >= len(whole) else rows.rng.sample(whole, many)
    return some if rows.editable(some, much=much) else None


def _tell(rows: Rows, items: list[Row], kind: str, cells: Row, also: tuple[str, ...] = ()) -> bool:
    """Changes the cells and tells it; False, and no change, where they say nothing else than before."""
    cells = {name: text for name, text in cells.items() if name in rows.columns and items[0][name] != text}
    if not cells:
        return False
    for item in items:
        item.update(cells)
    rows.mark("edited" if set(cells) - {"fitted"} else "fitted", items)
    rows.trial.tell(kind, rows.board.name, "parts", [(item["uid"],) * 2 for item in items], list(cells), also=also)
    return True


def _numbered(rows: Rows, items: list[Row], cells: Row) -> Row:
    """With another part number, where parts of this list have one."""
    if items[0].get("part_number"):
        cells["part_number"] = stock.part_number(prefix_of(items[0]), {**items[0], **cells}, rows.rng)
    return cells


def value(trial: Trial) -> bool:
    """Another value: of a kind that the board has already, or a new one."""
    rows = Rows(trial)
    items = _some(rows, (*_PASSIVE, "FB", "Y", "F"), much=True)
    if items is None:
        return False
    prefix, data = prefix_of(items[0]), data_of(items[0])
    near = [
        others[0]
        for (letters, _), others in rows.alike.items()
        if letters == prefix
        and {name for name in rows.columns if others[0][name] != data[name]} - {"part_number"} == {"value"}
    ]
    if near and rows.rng.random() < 0.5:
        other = rows.rng.choice(near)
        if not other["value"]:
            return False
        return _tell(rows, items, "part.value", {"value": other["value"], "part_number": other.get("part_number", "")})
    text = stock.piece(prefix, rows.rng)["value"]
    if text == data["value"]:
        return False
    return _tell(rows, items, "part.value", _numbered(rows, items, {"value": text}))


def package(trial: Trial) -> bool:
    rows = Rows(trial)
    items = _some(rows, ("R", "C"))
    if items is None:
        return False
    size = rows.rng.choice([size for size in stock.SIZES if size != items[0]["package"]])
    return _tell(rows, items, "part.package", _numbered(rows, items, {"package": size}))


def rating(trial: Trial) -> bool:
    rows = Rows(trial)
    name, texts = rows.rng.choice(
        (("tolerance", ("0.5%", "2%", "1%")), ("voltage", ("35V", "63V", "100V")), ("power", ("0.2W", "0.33W")))
    )
    items = _some(rows, ("R", "C", "L"), name)
    if items is None:
        return False
    cells = {name: rows.rng.choice(texts)}
    if rows.rng.random() < 0.5 and cells[name] != items[0][name]:
        cells = _numbered(rows, items, cells)
    return _tell(rows, items, "part.rating", cells)


def substituted(trial: Trial) -> bool:
    """Another part number, often from another maker."""
    rows = Rows(trial)
    items = _some(rows, column="part_number")
    if items is None:
        return False
    cells = _numbered(rows, items, {})
    if items[0].get("manufacturer") and rows.rng.random() < 0.6:
        cells["manufacturer"] = rows.rng.choice([name for name in stock.MAKERS if name != items[0]["manufacturer"]])
    return _tell(rows, items, "part.substituted", cells)


def replaced(trial: Trial) -> bool:
    """Another part in the same place: value, package, maker and part number go together."""
    rows = Rows(trial)
    items = _some(rows, ("R", "C"), "part_number", much=True)
    if items is None:
        return False
    data = stock.piece(prefix_of(items[0]), rows.rng)
    size = rows.rng.choice([size for size in stock.SIZES if size != items[0]["package"]])
    maker = rows.rng.choice(stock.MAKERS)
    if data["value"] == items[0]["value"]:
        return False
    cells = _numbered(rows, items, {"value": data["value"], "package": size, "manufacturer": maker})
    return _tell(rows, items, "part.value", cells, also=_ANOTHER)


def substituted_and_added(trial: Trial) -> bool:
    """Some parts get another part number or value in place, and as many like the old ones come elsewhere."""
    rows = Rows(trial)
    items = _some(rows, (*_PASSIVE, "D", "Q"), much=True)
    if items is None or len(items) > 5 or len(rows.same(items[0])) < COMMON + len(items):
        return False
    prefix, data = prefix_of(items[0]), data_of(items[0])
    cells, kind = _numbered(rows, items, {}), "part.substituted"
    if not cells or (prefix in _PASSIVE and rows.rng.random() < 0.5):
        text = stock.piece(prefix, rows.rng)["value"]
        if text == data["value"]:
            return False
        cells, kind = _numbered(rows, items, {"value": text}), "part.value"
    numbers = rows.fresh(prefix, len(items))
    if not _tell(rows, items, kind, cells):
        return False
    rows.mark("alone", items)
    rows.take_span(prefix, numbers[0], numbers[-1])
    rows.add([row(designator=f"{prefix}{number}", **data) for number in numbers])
    return True


def fitted(trial: Trial) -> bool:
    """Parts are no longer fitted, or fitted now."""
    rows = Rows(trial)
    items = _some(rows, ("R", "C", "L", "FB", "D", "Q"))
    if items is None:
        return False
    return _tell(rows, items, "part.fitted", {"fitted": "" if items[0]["fitted"] else "no"})


def fitted_both_ways(trial: Trial) -> bool:
    """A part is no longer fitted and another one like it is fitted now: an option moved, no part did."""
    rows = Rows(trial)
    without = [item for item in rows.board.parts if item["fitted"] and item["value"] and rows.editable([item])]
    rows.rng.shuffle(without)
    for item in without[:30]:
        like = {**item, "fitted": ""}
        twins = [other for other in rows.alike.get((prefix_of(item), identity(like)), ()) if rows.editable([other])]
        if twins:
            other = rows.rng.choice(twins)
            rows.mark("alone", [item, other])
            return _tell(rows, [item], "part.fitted", {"fitted": ""}) and _tell(
                rows, [other], "part.fitted", {"fitted": "no"}
            )
    return False


def unfitted_without_data(trial: Trial) -> bool:
    """Parts are no longer fitted, and their data are dropped from the list."""
    rows = Rows(trial)
    items = _some(rows, ("R", "C"))
    if items is None or len(items) > 5 or items[0].get("fitted") or not all(map(rows.quiet, items)):
        return False
    cells = {**dict.fromkeys(rows.columns, ""), "fitted": "no"}
    names = {"fitted", *(name for name in rows.columns if items[0][name])}
    rows.mark("edited", items)
    rows.mark("alone", items)
    for item in items:
        item.update(cells)
    ends = [(item["uid"],) * 2 for item in items]
    # In one entry, or as that it isn't fitted, what it was, and what was kept about it.
    also = (*_ANOTHER, "part.cost", "part.lifecycle")
    trial.tell("part.fitted", rows.board.name, "parts", ends, sorted(names), also=also, entries=5)
    return True


def added(trial: Trial) -> bool:
    """One to ten parts after the last one or in a gap: of kinds that are there, or of a new kind."""
    rows = Rows(trial)
    prefix = rows.any_class(1)
    if prefix is None:
        return False
    numbers = rows.fresh(prefix, rows.rng.choice((1, 1, 2, 3, rows.rng.randrange(4, 11))))
    usual = [item for item in rows.classes[prefix] if len(rows.same(item)) >= COMMON and item["value"]]
    new = []
    for number in numbers:
        cells = data_of(rows.rng.choice(usual or rows.classes[prefix]))
        if not usual or rows.rng.random() < 0.3:
            cells |= {name: text for name, text in stock.piece(prefix, rows.rng).items() if name in cells}
            if "part_number" in cells and prefix != "TP":
                cells["part_number"] = stock.part_number(prefix, cells, rows.rng)
        new.append(row(designator=f"{prefix}{number}", **cells))
    rows.take_span(prefix, numbers[0], numbers[-1])
    rows.add(new)
    return True


def removed(trial: Trial) -> bool:
    """One part, some of a row, a whole row, or a few neighbours go."""
    rows = Rows(trial)
    items = _some(rows)
    if items is not None and rows.rng.random() < 0.4:
        prefix = prefix_of(items[0])
        beside = rows.classes[prefix]
        index = beside.index(items[0])
        items = beside[index : index + rows.rng.randrange(2, 8)]
    if items is None or len(items) > 30 or not rows.editable(items):
        return False
    prefix = prefix_of(items[0])
    if not all(rows.quiet(item) and rows.open_span(prefix, *(number_of(item),) * 2) for item in items):
        return False
    for item in items:
        rows.take_span(prefix, number_of(item), number_of(item))
    rows.remove(items)
    return True


# what is kept about parts


def _book(rows: Rows, items: list[Row], name: str, texts: list[str]) -> bool:
    changed = [(item, text) for item, text in zip(items, texts, strict=True) if item[name] != text]
    changed = [(item, text) for item, text in changed if not rows.has("fresh", item) and not rows.has(name, item)]
    if not changed:
        return False
    for item, text in changed:
        item[name] = text
    rows.mark(name, [item for item, _ in changed])
    kinds = {"lifecycle": "part.lifecycle", "cost": "part.cost"}
    ends = [(item["uid"],) * 2 for item, _ in changed]
    rows.trial.tell(kinds.get(name, "part.field"), rows.board.name, "parts", ends, [name])
    return True


def _books(rows: Rows) -> str | None:
    names = [name for name in _BOOKS if name in rows.columns and rows.trial.free(("throughout", name))]
    return rows.rng.choice(names) if names else None


def kept(trial: Trial) -> bool:
    """Cost, life cycle, alternates, remark, stock code or shelf of a part, some of a row, or a row."""
    rows = Rows(trial)
    name, items = _books(rows), _some(rows)
    if name is None or items is None:
        return False
    text = {
        "lifecycle": rows.rng.choice(("last order", "obsolete")),
        "cost": f"{rows.rng.randrange(2000, 4000) / 1000:g}",
    }.get(name, f"reviewed {rows.rng.randrange(100)}")
    return _book(rows, items, name, [text] * len(items))


def throughout(trial: Trial) -> bool:
    """Such a column changes in nearly every row: new prices, a new stock, remarks of a review."""
    rows = Rows(trial)
    name = _books(rows)
    if name is None:
        return False
    trial.take(("throughout", name))
    texts: dict[tuple[str, ...], str] = {}
    items = [item for item in rows.board.parts if item["value"] and item[name]]
    for item in items:
        key = (prefix_of(item), *identity(item), item[name])
        if key not in texts:
            texts[key] = {
                "lifecycle": "active" if item[name] != "active" else rows.rng.choice(("active", "last order")),
                "cost": f"{rows.rng.randrange(1, 4000) / 1000:g}",
            }.get(name, f"{rows.rng.choice('XYZ')}{rows.rng.randrange(10**4, 10**5)}")
    return _book(rows, items, name, [texts[prefix_of(item), *identity(item), item[name]] for item in items])


def description(trial: Trial) -> bool:
    rows = Rows(trial)
    items = _some(rows, column="description")
    if items is None:
        return False
    return _tell(rows, items, "part.field", {"description": f"revised {rows.rng.randrange(1000)}"}, also=_ANOTHER)


def column(trial: Trial) -> bool:
    """A column of the list is renamed, comes or goes as a whole. That is one thing at most, and none of any part."""
    rows = Rows(trial)
    own = [name for name in ("Stock code", "Shelf", "Remark") if name in rows.columns]
    own = [name for name in own if trial.free(("column", name), ("throughout", name))]
    own = [name for name in own if not any(rows.has(name, item) for item in rows.board.parts)]
    if rows.rng.random() < 0.4 or not own:
        name = "Reviewed"
        if name in rows.columns:
            return False
        for item in rows.board.parts:
            item[name] = "yes" if item["value"] else ""
    else:
        name = rows.rng.choice(own)
        other = rows.rng.choice(("", f"{name} 2026"))
        for item in rows.board.parts:
            text = item.pop(name)
            if other:
                item[other] = text
        trial.tolerated.add(other)
        trial.take(("throughout", other))
    trial.take(("column", name), ("throughout", name))
    trial.tolerated.add(name)
    return True
