"""Each pair of the corpus: every true event is told, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from revdiff.app.review import review_revisions
from revdiff.errors import DataFault
from revdiff.quantities.text import fold
from revdiff.readers.proposal import propose
from revdiff.readers.proposal_text import manifest_text
from revdiff.readers.survey import survey
from revdiff.release.pin_notice import pin_notice
from revdiff.release.review import Review
from revdiff.sources import open_revision
from tests.campaign.run import reproduces
from tests.corpus import connector_tables, parts_lists, pin_maps
from tests.corpus.pair import Files, Pair, data_of

PAIRS = (*parts_lists.PAIRS, *pin_maps.PAIRS, *connector_tables.PAIRS)


def _written(folder: Path, files: Files) -> str:
    """Writes a revision; its one file, or the folder with the manifest that ``init`` would write."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data_of(content))
    if len(files) == 1:
        return f"file:{folder / next(iter(files))}"
    found = survey(open_revision(f"folder:{folder}", repository=folder))
    (folder / "revdiff.toml").write_text(manifest_text(propose(found, "board")), encoding="utf-8")
    return f"folder:{folder}"


def reviewed(old: Files, new: Files, folder: Path) -> Review:
    """The review of two revisions given as files."""
    return review_revisions(_written(folder / "old", old), _written(folder / "new", new), repository=folder)


def events(review: Review, stated: tuple[str, ...]) -> list[str]:
    """What is told, as precisely as what is stated of that subject says it."""
    bare = set(map(fold, stated))
    found = []
    for item in review.changes:
        named = f"{item.kind} {item.subject}"
        if fold(named) not in bare:
            fields = "; ".join(f"{field.name} {field.before.raw} > {field.after.raw}" for field in item.fields)
            by_field = item.kind.startswith("part.") or item.kind.endswith(".field")
            named += f": {fields if by_field else f'{item.before} > {item.after}'}"
        found.append(fold(named))
    return sorted(found)


def test_the_corpus_is_large_enough() -> None:
    assert len(PAIRS) >= 40
    assert len({pair.about for pair in PAIRS}) == len(PAIRS)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair.about)
def test_every_true_event_is_told_and_no_other(pair: Pair, tmp_path: Path) -> None:
    if pair.refused:
        with pytest.raises(DataFault, match=pair.refused):
            reviewed(pair.old, pair.new, tmp_path)
        return
    review = reviewed(pair.old, pair.new, tmp_path)
    assert events(review, pair.changes) == sorted(map(fold, pair.changes))
    assert reproduces(review.comparison) or review.comparison.unclear
    codes = [item.code for item in review.diagnostics if item.severity == "fault"]
    assert sorted(codes) == sorted(pair.faults)
    assert set(pair.told) <= {item.code for item in review.diagnostics}
    assert set(pair.unchecked) <= {item.what for item in review.not_checked}
    assert set(pair.findings) <= {item.rule for item in review.findings}
    if not any(item.startswith(("pin.", "signal.", "contact.", "connector.")) for item in pair.changes):
        assert [item.rule for item in review.findings if item.severity == "break"] == []


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair.about)
@pytest.mark.parametrize("side", ["old", "new"])
def test_a_revision_against_itself_has_no_event(pair: Pair, side: str, tmp_path: Path) -> None:
    files = pair.old if side == "old" else pair.new
    try:
        review = reviewed(files, files, tmp_path)
    except DataFault:
        assert pair.refused
        return
    assert [item.subject for item in review.changes] == []
    assert [item.rule for item in review.findings if item.severity == "break"] == []


def test_a_pin_given_to_another_signal_is_told_for_the_pin_and_never_called_safe(tmp_path: Path) -> None:
    pair = next(pair for pair in pin_maps.PAIRS if pair.about.startswith("a pin that sent is a motor's now"))
    notice = pin_notice(reviewed(pair.old, pair.new, tmp_path))
    lines = {line.signal: line.what for line in notice.controllers[0].lines}
    assert lines == {
        "MOTOR4": ("added, its pin carried UART3_TX",),
        "UART3_TX": ("lost, its pin carries MOTOR4",),
        "UART3_RX": ("lost",),
    }
    assert "nobody can tell" in notice.clear
