"""The model of a published board design: plain frozen values, no files, no git."""

from revdiff.design.diagnostic import Diagnostic
from revdiff.design.model import (
    Board,
    Connector,
    Contact,
    Contract,
    Design,
    Joint,
    Need,
    Node,
    Part,
    PartData,
    Pin,
)
from revdiff.design.origin import Origin
from revdiff.design.reading import EMPTY, Reading

__all__ = [
    "EMPTY",
    "Board",
    "Connector",
    "Contact",
    "Contract",
    "Design",
    "Diagnostic",
    "Joint",
    "Need",
    "Node",
    "Origin",
    "Part",
    "PartData",
    "Pin",
    "Reading",
]
