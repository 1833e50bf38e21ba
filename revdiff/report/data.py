"""JSON as every command prints it: plain ASCII, the same data the same bytes."""

from __future__ import annotations

import json
from typing import Any

from msgspec import to_builtins


def json_text(data: Any) -> str:
    """Records or plain data as text that ends with a line end; no string in it is a log command of a CI service."""
    return escaped(json.dumps(to_builtins(data), ensure_ascii=True, indent=2)) + "\n"


def escaped(text: str) -> str:
    """JSON, TOML or the like, where the second of two number signs, which only a string holds, is written as escape."""
    return text.replace("##", "#\\u0023")
