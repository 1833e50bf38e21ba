"""``revdiff guide``"""

from __future__ import annotations

import click

from revdiff.cli.showing import print_or_write
from revdiff.errors import UsageFault


@click.command("guide", help="Show a topic of the guide: the reference and the manual. Without a topic, list all.")
@click.argument("topic", required=False)
def command(topic: str | None) -> int:
    from revdiff.report.guide import print_topic, print_topics, topics

    if topic is None:
        print_or_write(print_topics, None, None)
        return 0
    if topic not in topics():
        raise UsageFault(f"the guide has no topic {topic!r}. Its topics: {', '.join(topics())}.")
    print_or_write(lambda console: print_topic(topic, console), None, None)
    return 0
