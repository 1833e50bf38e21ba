"""The guide: Markdown files beside the program, and how they are shown on a terminal."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING, Final

from revdiff.report.page import Page

if TYPE_CHECKING:
    from rich.console import Console

# In the order in which a newcomer wants them.
TOPICS: Final = (
    "tour",
    "data",
    "manifest",
    "commands",
    "revisions",
    "check",
    "output",
    "limits",
    "versions",
    "changes",
)


def topics() -> tuple[str, ...]:
    """The names of all topics."""
    return TOPICS


def topic_text(topic: str) -> str:
    """A topic as Markdown. Raises FileNotFoundError where there is none."""
    return files("revdiff").joinpath("guide", f"{topic}.md").read_text(encoding="utf-8")


def print_topics(console: Console) -> None:
    """Each topic with its title."""
    page = Page(console)
    page.line("Topics; revdiff guide TOPIC shows one:")
    for name in TOPICS:
        page.line(f"  {name:<10} {topic_text(name).partition(chr(10))[0].removeprefix('# ')}")


def print_topic(topic: str, console: Console) -> None:
    """One topic, at the width of the console."""
    from rich.markdown import Markdown

    console.print(Markdown(topic_text(topic), hyperlinks=False))
