"""What belongs to a pin by its place on the chip, whatever signal it carries."""

from __future__ import annotations

# It changes with every move of a signal, so a move covers it.
OF_THE_PLACE = ("port", "interrupt", "tolerant", "analog")
