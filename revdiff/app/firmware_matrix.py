"""Every firmware release of every tag on every tagged revision of its board."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from revdiff.app.reading import with_firmware
from revdiff.design import Diagnostic
from revdiff.design.diagnostic import FaultyDesign
from revdiff.errors import DataFault, UsageFault
from revdiff.judge.firmware_matrix import FirmwareMatrix, firmware_matrix
from revdiff.quantities.revision_label import revision_key
from revdiff.readers.loader import Loader
from revdiff.sources import open_revision
from revdiff.sources.open import tags


def firmware_matrix_of_tags(repository: Path, design: str = "", pattern: str = "*") -> FirmwareMatrix:
    """Reads every tag that matches, and judges all pairs. A tag without a readable design is left out and told.

    Raises UsageFault where nothing is left, or there is no repository.
    """
    loader, designs, left_out = Loader(), [], []
    faults: list[Diagnostic] = []
    for tag in sorted(tags(repository, pattern), key=revision_key):
        try:
            source = open_revision(f"tag:{tag}", repository=repository, design=design)
            loaded = with_firmware(loader.load(source), source)
        except FaultyDesign as error:
            left_out.append((tag, error.diagnostics[0].message))
            faults += [item for item in error.diagnostics if item.code != "no-manifest"]
        except (DataFault, UsageFault) as error:  # a tag of a file or a folder is no revision
            left_out.append((tag, str(error)))
        else:
            designs.append((tag, loaded))
            faults += [item for item in loaded.diagnostics if item.severity == "fault"]
    if not designs:
        raise UsageFault(f"no tag that matches {pattern!r} holds a design. 'git tag --list' shows the tags.")
    return replace(firmware_matrix(designs), left_out=tuple(left_out), faults=tuple(faults))
