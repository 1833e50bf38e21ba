"""The open data of controllers that ``modm-devices`` carries (MPL-2.0, an optional extra), by part number."""

from __future__ import annotations

import json
import warnings
from collections.abc import Mapping
from functools import lru_cache
from importlib import import_module
from pathlib import Path
from typing import Any

from msgspec import Struct

from revdiff.quantities.pattern import pattern

_LEAST = 8  # characters of a part number that can mean one family of controllers in one package
_MOST = 12  # part numbers that so short a one may stand for
_PORT = pattern(r"P[A-Z]\d{1,2}(?!\d)|P\d\.\d{2}(?!\d)")
_REEL = pattern(r"(?:[-_/ ]?tr)$")


class OpenControllers(Struct, frozen=True):
    """``parts``: the file of each part number, in lower case; ``parse``: reads the devices of a file."""

    parts: Mapping[str, Path]
    parse: Any

    def gpio(self, part: str) -> Any:
        """What the data has of the pins of a part that is in ``parts``."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            devices = self.parse(str(self.parts[part])).get_devices()
        return next(item for item in devices if item.partname == part).get_driver("gpio")


@lru_cache(maxsize=1)
def open_controllers() -> OpenControllers | None:
    """None where the extra is not installed."""
    try:
        with warnings.catch_warnings():
            # The package finds its files by a function of the standard library that newer Pythons warn of.
            warnings.simplefilter("ignore", DeprecationWarning)
            parser, package = import_module("modm_devices.parser"), import_module("modm_devices.pkg")
            root = Path(package.get_filename("modm_devices", "resources/devices"))
    except ImportError:
        return None
    index = json.loads((root / "db.json").read_text(encoding="utf-8"))
    parts = {part: root / file for family in index.values() for part, file in family.items()}
    return OpenControllers(parts, parser.DeviceParser().parse)


@lru_cache(maxsize=64)
def pins_of_package(number: str) -> Mapping[str, str]:
    """Port in lower case to pin of the package, of a part number; a reel's ending, or missing end, doesn't matter.

    Empty where the data isn't installed, lacks the part or its package, or knows several packages that it could be.
    """
    word = _REEL.sub("", number.lower())
    controllers = open_controllers() if len(word) >= _LEAST else None
    if controllers is None:
        return {}
    parts = [word] if word in controllers.parts else [part for part in controllers.parts if part.startswith(word)]
    if not parts or len(parts) > _MOST:
        return {}
    first, *others = [_places(controllers.gpio(part)) for part in parts]
    return first if all(other == first for other in others) else {}


def _places(gpio: Any) -> Mapping[str, str]:
    packages = gpio.get("package", []) if gpio else []
    if len(packages) != 1:
        return {}
    ports = ((_PORT.match(pin["name"]), pin["position"]) for pin in packages[0]["pin"])
    return {found.group().lower(): position for found, position in ports if found}
