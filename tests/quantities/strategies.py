"""What the property tests of this folder draw."""

from __future__ import annotations

from hypothesis import settings
from hypothesis import strategies as st

#: No example is timed: the tests run on slow and shared machines.
untimed = settings(deadline=None)

#: Any text, and texts made of the signs that values, codes and lists are made of.
anything = st.one_of(
    st.text(max_size=80),
    st.text(alphabet="0123456789.,kKmMuUµnNpPRrLFVWAHzΩohm%±+-−–/ ()xXrR057GJZDNPin\"'\u200b\u00a0", max_size=24),
)
