"""Which kind of netlist a file is, by its content."""

from __future__ import annotations

import pytest

from revdiff.readers.netlist import looks_like
from tests.netlists.writing import file356, file2581, record


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (file356(record("GND", "J1", "1")), "ipc-d-356"),
        (record("GND", "J1", "1").encode(), "ipc-d-356"),
        (record("gnd", "j1", "1").lower().encode(), "ipc-d-356"),
        (b"\xef\xbb\xbfC  comment\r\nP  UNITS CUST 0\r\n", "ipc-d-356"),
        (b"p  job x\rp  units si\r999\rjunk", "ipc-d-356"),
        (b"C  comment\n" * 10_000 + file356(), ""),  # nothing of it in the first 64 KiB
        (b"C  a comment, and nothing more\n", ""),
        (b"Designator,Value\n317,10k\n", ""),
        (b"317 10k\n327 22k\n", ""),
        (b"P  UNITS SI\nand prose\n", ""),
        (b"P  UNITS SI\n\0", ""),
        (b"", ""),
        (file2581(), "ipc-2581"),
        (b'<?xml version="1.0"?>\n<!-- a comment -->\n<x:IPC-2581 xmlns:x="a">', "ipc-2581"),
        ("<IPC-2581/>".encode("utf-16"), "ipc-2581"),
        (b"<!DOCTYPE IPC-2581><IPC-2581/>", "ipc-2581"),  # recognised, so that the reader can say why it refuses
        (b"<!DOCTYPE IPC-2581 [<!ENTITY a 'b'>", "ipc-2581"),  # by that alone, with no entity ever opened
        (b"<!-- <IPC-2581> --><svg/>", ""),
        (b"<IPC-2581-other/>", ""),
        (b"<?xml version='1.0' encoding='unicode_escape'?><IPC-2581/>", ""),
        (b"<html><IPC-2581/></html>", ""),
        (b"<<<", ""),
    ],
)
def test_files_are_recognised_by_content(data: bytes, expected: str) -> None:
    assert looks_like(data) == expected
