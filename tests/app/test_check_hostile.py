"""What a stranger's change may not do: decide how it is read, or by what it is judged."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.support import BREAK, RULE, SUBJECT, Project, broken, codes, with_manifest
from tests.support import SMALL, Files, edit

BROKEN = edit(SMALL, BREAK)
SUPPLY = f"{RULE}/{SUBJECT}"
OLD = SMALL["base/contacts.csv"]
CONTACTS = 'contacts = "base/contacts.csv"'


def remapped() -> Files:
    """The table has a new column with the old levels, and the manifest reads that."""
    lines = BROKEN["base/contacts.csv"].splitlines()
    old = [line.split(",")[4] for line in OLD.splitlines()]
    rows = [f"{line},{level}" for line, level in zip(lines[1:], old[1:], strict=True)]
    table = "\n".join([f"{lines[0]},Former", *rows]) + "\n"
    spec = 'contacts = { file = "base/contacts.csv", columns = { level = "Former" } }'
    return with_manifest({**BROKEN, "base/contacts.csv": table}, (CONTACTS, spec))


def cut_short() -> Files:
    """The row that breaks comes last, and the manifest ends the table before it."""
    head, first, *rest = BROKEN["base/contacts.csv"].splitlines()
    table = "\n".join([head, *rest, first]) + "\n"
    spec = 'contacts = { file = "base/contacts.csv", last_row = 6 }'
    return with_manifest({**BROKEN, "base/contacts.csv": table}, (CONTACTS, spec))


HIDDEN: dict[str, tuple[Files, str]] = {
    "an old copy is read": (
        with_manifest({**BROKEN, "base/old.csv": OLD}, (CONTACTS, 'contacts = "base/old.csv"')),
        "table-path boards.base.contacts",
    ),
    "a pattern finds an old copy": (
        with_manifest(
            {**BROKEN, "base/old/contacts.csv": OLD},
            (CONTACTS, 'contacts = { file = "base/old/*.csv", connector = "J1" }'),
        ),
        "table-path boards.base.contacts",
    ),
    "another column is read as the level": (remapped(), "table-columns boards.base.contacts.columns"),
    "the table ends before the row": (cut_short(), "table-last-row boards.base.contacts.last_row"),
    "the table is no longer read": (
        with_manifest(BROKEN, (CONTACTS + "\n\n[boards.top]", "\n[boards.top]")),
        "table-dropped boards.base.contacts",
    ),
    "the joint is gone": (
        with_manifest(BROKEN, ('[[joints]]\na = "base.J1"\nb = "top.J1"\n', "")),
        "joint-dropped joints base.J1–top.J1",
    ),
}


@pytest.mark.parametrize("how", list(HIDDEN))
def test_a_manifest_of_the_change_hides_no_break(tmp_path: Path, how: str) -> None:
    files, told = HIDDEN[how]
    check = Project(tmp_path).check(files)
    assert SUPPLY in broken(check)
    assert told in codes(check)
    assert check.fails("break")


@pytest.mark.parametrize("how", list(HIDDEN))
def test_what_was_hidden_is_said_to_be_seen_only_as_the_base_reads_it(tmp_path: Path, how: str) -> None:
    check = Project(tmp_path).check(HIDDEN[how][0])
    (found,) = [item for item in check.brings if item.finding.rule == RULE and item.finding.severity == "break"]
    assert found.hidden
    assert "readings-differ" in {item.code for item in check.settings} or "joint-dropped" in {
        item.code for item in check.settings
    }


def test_a_board_that_is_dropped_from_the_manifest_is_judged_all_the_same(tmp_path: Path) -> None:
    text = BROKEN["revdiff.toml"]
    start, end = text.index("[boards.top]"), text.index("[firmware.blink]")
    check = Project(tmp_path).check({**BROKEN, "revdiff.toml": text[:start] + text[end:]})
    assert SUPPLY in broken(check)
    assert "board-dropped boards.top" in codes(check)


def test_a_contract_that_is_dropped_is_judged_all_the_same(tmp_path: Path) -> None:
    text = SMALL["revdiff.toml"].partition("[firmware.blink]")[0]
    files = edit({**SMALL, "revdiff.toml": text}, ("base/pins.csv", "PA0,LED,GPIO,out,high", "PA0,LED,GPIO,out,low"))
    check = Project(tmp_path).check(files)
    assert "firmware-active-level/base.U1: LED" in broken(check)
    assert "contract-dropped firmware.blink" in codes(check)


def test_a_contract_that_is_moved_to_another_board_is_judged_on_its_own(tmp_path: Path) -> None:
    files = edit(SMALL, ("base/pins.csv", "PA0,LED,GPIO,out,high", "PA0,LED,GPIO,out,low"))
    check = Project(tmp_path).check(
        with_manifest(files, ('version = "1.0"\nboard = "base"', 'version = "1.0"\nboard = "top"'))
    )
    assert "firmware-active-level/base.U1: LED" in broken(check)
    assert "contract-changed firmware.blink.board" in codes(check)


def test_a_rule_that_the_change_allows_itself_is_still_judged(tmp_path: Path) -> None:
    check = Project(tmp_path).check(with_manifest(BROKEN, ("", f'[stacking]\nallow = ["{RULE}"]\n')))
    assert SUPPLY in broken(check)
    assert "stacking-changed stacking.allow" in codes(check)


def test_a_rule_that_the_base_allows_stays_allowed(tmp_path: Path) -> None:
    allowed = with_manifest(SMALL, ("", '[stacking]\nallow = ["joint-pitch"]\n'))
    check = Project(tmp_path, allowed).check(
        edit(allowed, ("base/connectors.csv", "J1,joint,6,1,2.54 mm", "J1,joint,6,1,2.00 mm"))
    )
    assert not [item for item in check.settings if item.code == "stacking-changed"]


PINS = "".join(
    f"{line},{'5V tolerant' if number == 0 else 'no'}\n"
    for number, line in enumerate(SMALL["base/pins.csv"].splitlines())
)
LIMITED = with_manifest(
    {**SMALL, "base/pins.csv": PINS}, ("", '[controllers.base.U1]\ntolerant_limit = "4 V"\ninput_limit = "4 V"\n')
)
OVER = edit(LIMITED, ("base/pins.csv", "U1,4,PA3,RX,UART1_RX,in,,up,3.3 V", "U1,4,PA3,RX,UART1_RX,in,,up,5 V"))


def test_a_limit_that_the_change_raises_does_not_count(tmp_path: Path) -> None:
    raised = edit(OVER, ("revdiff.toml", 'input_limit = "4 V"', 'input_limit = "40 V"'))
    check = Project(tmp_path, LIMITED).check(raised)
    assert "firmware-pin-overstressed/base.U1.4" in broken(check)
    assert "limits-changed controllers.base.U1.input_limit" in codes(check)


def test_a_new_file_is_judged_by_the_limits_of_the_base(tmp_path: Path) -> None:
    """The base's file stays as it was, so that only its limits can tell, on the file that the change names."""
    files = {**LIMITED, "base/new.csv": OVER["base/pins.csv"]}
    files = edit(
        files,
        ("revdiff.toml", 'pins = "base/pins.csv"', 'pins = "base/new.csv"'),
        ("revdiff.toml", 'input_limit = "4 V"', 'input_limit = "40 V"'),
    )
    assert "firmware-pin-overstressed/base.U1.4" in broken(Project(tmp_path, LIMITED).check(files))


def test_a_moved_file_is_read_by_the_columns_of_the_base(tmp_path: Path) -> None:
    files = dict(remapped())
    files["hardware/contacts.csv"] = files.pop("base/contacts.csv")
    check = Project(tmp_path).check(
        edit(files, ("revdiff.toml", 'file = "base/contacts.csv"', 'file = "hardware/contacts.csv"'))
    )
    assert SUPPLY in broken(check)
    assert {"table-path boards.base.contacts", "table-columns boards.base.contacts.columns"} <= set(codes(check))


def test_a_board_is_not_unshipped_by_the_change(tmp_path: Path) -> None:
    """A break against a revision that never left the house is a caution; the change has no say in that."""
    shipped = with_manifest(SMALL, ('[boards.base]\nrevision = "A"', '[boards.base]\nshipped = true\nrevision = "A"'))
    gender = ("base/connectors.csv", "2.54 mm,male", "2.54 mm,female")
    files = edit(shipped, gender, ("revdiff.toml", "shipped = true", "shipped = false"))
    check = Project(tmp_path, shipped).check(files)
    assert "joint-connector-gender/base.J1–top.J1" in broken(check)
    assert "shipped-changed boards.base.shipped" in codes(check)


def test_a_waiver_of_the_change_does_not_count(tmp_path: Path) -> None:
    waiver = f'[[waivers]]\nrule = "{RULE}"\nsubject = "{SUBJECT}"\nreason = "trust me"\nwho = "me"\n'
    check = Project(tmp_path).check(with_manifest(BROKEN, ("", waiver)))
    assert SUPPLY in broken(check)
    assert check.waivers == ()
    assert "waivers-changed waivers" in codes(check)


def test_what_the_base_cannot_read_is_a_break(tmp_path: Path) -> None:
    """The base reads the column Netz; the change renames it and has its own manifest read another."""
    base = edit(
        with_manifest(SMALL, (CONTACTS, 'contacts = { file = "base/contacts.csv", columns = { signal = "Netz" } }')),
        ("base/contacts.csv", "Signal", "Netz"),
    )
    files = edit(base, BREAK, ("base/contacts.csv", "Netz", "Other"), ("revdiff.toml", '"Netz"', '"Other"'))
    check = Project(tmp_path, base).check(files)
    assert "unreadable-by-base" in {item.code for item in check.settings}
    assert check.fails("break")
    assert SUPPLY in broken(check)


def test_a_file_that_no_manifest_reads_is_told(tmp_path: Path) -> None:
    start = {**SMALL, "base/spare.csv": OLD, "notes.txt.orig": "a"}
    check = Project(tmp_path, start).check(
        {**start, "base/spare.csv": BROKEN["base/contacts.csv"], "notes.txt.orig": "b"}
    )
    assert codes(check) == ["unread-table base/spare.csv", "unread-file notes.txt.orig"]


def test_settings_can_fail_a_check_by_themselves(tmp_path: Path) -> None:
    check = Project(tmp_path).check(with_manifest(SMALL, ("", '[stacking]\nnoise_margin = "0.1 V"\n')))
    assert (check.fails("break"), check.fails("settings"), check.fails("caution"), check.fails("never")) == (
        False,
        True,
        True,
        False,
    )


# near misses


def test_an_honest_change_touches_nothing_that_reads_or_judges(tmp_path: Path) -> None:
    check = Project(tmp_path).check(edit(SMALL, ("base/parts.csv", "R2,1,4k7", "R2,1,5k6")))
    assert (check.settings, check.readings, broken(check)) == ((), ("own",), set())
    assert [item.change.subject for item in check.changes] == ["R2"]


def test_a_file_that_only_moved_is_a_caution_and_hides_nothing(tmp_path: Path) -> None:
    files = dict(SMALL)
    files["hardware/contacts.csv"] = files.pop("base/contacts.csv")
    check = Project(tmp_path).check(edit(files, ("revdiff.toml", "base/contacts.csv", "hardware/contacts.csv")))
    assert codes(check) == ["table-path boards.base.contacts"]
    assert not check.fails("break")
    assert check.readings == ("own",)


def test_a_manifest_that_is_only_laid_out_anew_is_no_change_of_settings(tmp_path: Path) -> None:
    check = Project(tmp_path).check({**SMALL, "revdiff.toml": "# a remark\n\n" + SMALL["revdiff.toml"]})
    assert check.settings == ()


def test_a_limit_that_the_change_tightens_counts_too(tmp_path: Path) -> None:
    """More said gives no fewer warnings: the change's own word is judged beside the base's."""
    tight = edit(OVER, ("revdiff.toml", '"4 V"\ninput_limit = "4 V"', '"4 V"\ninput_limit = "2 V"'))
    assert "firmware-pin-overstressed/base.U1.4" in broken(Project(tmp_path, LIMITED).check(tight))


CONTACT_TABLE = "base/contacts.csv"
LOST: dict[str, tuple[Files, str]] = {
    "the header is spelled otherwise": (
        edit(BROKEN, (CONTACT_TABLE, "Direction,Level", "Direction,Lvl_")),
        "column-lost boards.base.contacts.level",
    ),
    "the cell is emptied": (edit(BROKEN, (CONTACT_TABLE, ",12 V,", ",,")), "statement-lost boards.base.contacts.level"),
    "the cell is a word": (
        edit(BROKEN, (CONTACT_TABLE, ",12 V,", ",twelve,")),
        "statement-lost boards.base.contacts.level",
    ),
    "a direction is misspelled": (
        edit(SMALL, (CONTACT_TABLE, "HEAT,out", "HEAT,outt")),
        "statement-lost boards.base.contacts.direction",
    ),
    "a connector loses its pitch": (
        edit(SMALL, ("base/connectors.csv", "2.54 mm", "")),
        "column-lost boards.base.connectors.pitch",
    ),
    "ratings go under another header": (
        edit(SMALL, ("base/parts.csv", "Tolerance,Voltage", "Tolerance,Vltg")),
        "column-lost boards.base.parts.voltage",
    ),
    "what firmware needs is emptied": (
        edit(SMALL, ("blink.csv", "TX,3,UART1_TX,out", "TX,3,,out")),
        "column-lost firmware.blink.needs.function",
    ),
}


@pytest.mark.parametrize("how", list(LOST))
def test_what_is_no_longer_stated_is_a_break_and_not_only_unchecked(tmp_path: Path, how: str) -> None:
    files, told = LOST[how]
    check = Project(tmp_path).check(files)
    assert any(code.startswith(told) for code in codes(check)), codes(check)
    assert check.fails("break")


@pytest.mark.parametrize(
    ("path", "before", "after"),
    [
        (CONTACT_TABLE, "Direction,Level", "Richtung,Pegel"),
        (CONTACT_TABLE, "+5V,supply,5 V", "+5V,supply,5.0V"),
        ("base/pins.csv", "HEAT,GPIO,out,high,down", "HEAT,GPIO,out,high,none"),  # "none" says something
        ("base/parts.csv", "R2,1,4k7,0603,RA-4K7,1%", "R2,1,4k7,0603,RA-4K7,"),
    ],
)
def test_what_is_written_otherwise_or_withdrawn_in_words_is_no_lost_statement(
    tmp_path: Path, path: str, before: str, after: str
) -> None:
    check = Project(tmp_path).check(edit(SMALL, (path, before, after)))
    assert not [code for code in codes(check) if "-lost " in code]


def test_a_joint_named_from_its_other_end_pairs_otherwise_unless_its_list_is_turned_too(tmp_path: Path) -> None:
    ends, turned = 'a = "base.J1"\nb = "top.J1"\n', 'a = "top.J1"\nb = "base.J1"\n'
    pairs = 'contacts = { "3" = "4", "4" = "5", "5" = "3" }\n'
    back = 'contacts = { "4" = "3", "5" = "4", "3" = "5" }\n'
    base = with_manifest(SMALL, (ends, ends + pairs))
    same = Project(tmp_path / "same", base).check(with_manifest(base, (ends + pairs, turned + back)))
    assert codes(same) == []
    other = Project(tmp_path / "other", base).check(with_manifest(base, (ends + pairs, turned + pairs)))
    assert "joint-pairing joints top.J1–base.J1" in codes(other)


def test_a_connector_that_is_for_something_else_now_may_state_less(tmp_path: Path) -> None:
    row = "J1,joint,6,1,2.54 mm,male,PH-6\n"
    files = edit(SMALL, ("base/connectors.csv", row, row + "J2,joint,2,1,2.54 mm,male,PH-2\n"))
    other = edit(files, ("base/connectors.csv", "J2,joint,2,1,2.54 mm", "J2,outside,2,1,"))
    silent = edit(files, ("base/connectors.csv", "J2,joint,2,1,2.54 mm", "J2,,2,1,"))
    assert not [code for code in codes(Project(tmp_path / "other", files).check(other)) if "-lost " in code]
    assert [code for code in codes(Project(tmp_path / "silent", files).check(silent)) if "-lost " in code] == [
        "statement-lost boards.base.connectors.role of J2",
        "statement-lost boards.base.connectors.pitch of J2",
    ]


def test_an_old_table_before_the_new_one_in_a_document_is_a_break(tmp_path: Path) -> None:
    """The first of two equal tables is read; a person reads the second."""

    def page(*tables: str) -> str:
        rows = [[f"| {line.replace(',', ' | ')} |" for line in table.splitlines()] for table in tables]
        return "".join("\n".join([head, "|---|---|---|---|---|---|", *rest]) + "\n\n" for head, *rest in rows)

    base = with_manifest(SMALL, (CONTACTS, 'contacts = "base/contacts.md"'))
    base = {**{path: text for path, text in base.items() if path != CONTACT_TABLE}, "base/contacts.md": page(OLD)}
    check = Project(tmp_path, base).check({**base, "base/contacts.md": page(OLD, BROKEN[CONTACT_TABLE])})
    assert "table-unsure base/contacts.md" in codes(check)
    assert check.fails("break")


def test_a_second_column_for_one_field_is_told_first(tmp_path: Path) -> None:
    head, *rows = SMALL[CONTACT_TABLE].splitlines()
    table = "\n".join([f"Level,{head}", *(f"{row.split(',')[4]},{row}" for row in rows)]) + "\n"
    files = edit({**SMALL, CONTACT_TABLE: table}, (CONTACT_TABLE, "+5V,supply,5 V", "+5V,supply,12 V"))
    check = Project(tmp_path).check(files)
    assert "column-unsure base/contacts.csv" in codes(check)
    assert check.fails("caution")
