"""Text out of a file cannot steer the terminal: not from a logbook sealed by somebody else's program, not from a sheet.

The logbook here is the demo's with terminal codes, markup and marks that turn the direction of writing behind every
text a person typed, under a good seal, so that its rows are on the screen before any of them is checked.
"""

import csv
import io
import json
import os
import pty
import re
import sys
import unicodedata

import pytest

from pitbench.__main__ import main
from pitbench.demo import demo_logbook
from pitbench.records.kinds import KINDS
from pitbench.store import seal
from pitbench.store.logbook import Logbook

HOSTILE = "\x1b]0;taken\x07\x1b[2J\x9b31m[bold red]x[/]\u202e\u2066\r\n\x00"
STEERING = {"\u061c", *map(chr, (*range(0x200E, 0x2010), *range(0x202A, 0x202F), *range(0x2066, 0x206A)))}
TYPED = {
    *("name", "note", "session", "tester", "track", "surface", "start_times", "tyre", "pack", "round", "incident"),
    *("result", "what", "was", "now", "why", "outcome", "excluded_why", "words"),
}


def steers(text: str) -> set[str]:
    """Characters in it that a terminal would obey."""
    return {repr(c) for c in text if c in STEERING or (unicodedata.category(c) == "Cc" and c != "\n")}


def spoiled(value, hostile):
    if isinstance(value, dict):
        return {
            name: f"{each}{hostile}" if name in TYPED and isinstance(each, str) else spoiled(each, hostile)
            for name, each in value.items()
        }
    return [spoiled(each, hostile) for each in value] if isinstance(value, list) else value


def hostile_logbook(path, hostile=HOSTILE, sealed=True):
    tree = json.loads(demo_logbook().read_bytes())
    del tree["seal"]
    tree = {kind: spoiled(rows, hostile) for kind, rows in tree.items()}
    for rows in (tree[kind] for kind in KINDS if kind in tree):
        for row in rows.values():
            row["extra"] = {f"colour{hostile}": f"red{hostile}"}
    path.write_bytes(b"".join(seal.sealed(tree)) if sealed else json.dumps(tree).encode())
    return path


@pytest.fixture
def hostile(tmp_path):
    return hostile_logbook(tmp_path / "logbook.json")


@pytest.mark.parametrize("key", ["1", "2", "3", "4", "5", "6"])
async def test_every_list_screen(at_the_keys, hostile, key):
    """Its parts, the line opened, edited, explained, looked for, the bin, and every message on the way."""
    async with at_the_keys(hostile, size=(120, 40)) as hands:
        seen = ""
        for pressed in f"{key} enter escape {key} i escape e escape {key} tab z d u".split():
            await hands.press(pressed)
            rows = "\n".join(hands.rows)
            assert not steers(rows), f"after {pressed}"
            seen += rows
        assert "[bold red]" in seen, "markup is shown as it is"


async def test_a_valid_hand_edit_is_cleaned_when_it_is_taken(tmp_path):
    path = hostile_logbook(tmp_path / "logbook.json", sealed=False)
    with Logbook.open(path, accept_hand_edit=True) as logbook:
        for kind in KINDS:
            for row in logbook.rows(kind):
                assert not steers("".join(str(value) for value in row.values())), row
        for change in logbook.journal.listed():
            assert not steers(change.words)


WORDS = (
    ["rank"],
    ["rank", "--json"],
    ["check"],
    ["check", "--json"],
    ["export", "sheets"],
    ["restore"],
    ["forecast", "--motor", "Heron"],
)


@pytest.mark.parametrize("words", WORDS, ids=" ".join)
@pytest.mark.parametrize("sealed", [True, False])
def test_what_commands_print(tmp_path, monkeypatch, capsys, words, sealed):
    monkeypatch.chdir(tmp_path)
    path = hostile_logbook(tmp_path / "logbook.json", sealed=sealed)
    main([*words, "--logbook", str(path)])
    printed = capsys.readouterr()
    assert printed.out or printed.err
    assert not steers(printed.out)
    assert not steers(printed.err)


def test_what_load_and_merge_print_of_a_sheet_and_of_file_names(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    name = "heron\x1b[31m\u202e\n.csv"
    rows = f'motor,turns,"own{HOSTILE}"\n"Heron{HOSTILE}",99999,x\n"{HOSTILE}",13.5,x,"{HOSTILE}"\n'
    (tmp_path / name).write_text(rows, encoding="utf-8")
    other = hostile_logbook(tmp_path / "other\x1b[31m\u202e.json", hostile="\x1b[31m\u202e", sealed=True)
    book = tmp_path / "book\x1b]0;taken\x07.json"
    for words in (["load", name], ["load", "--check", name], ["load", "--good-rows", name], ["merge", str(other)]):
        main([*words, "--logbook", str(book)])
        printed = capsys.readouterr()
        assert printed.out or printed.err
        assert not steers(printed.out), words
        assert not steers(printed.err), words


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r@", " =", "'=", "\n+", "\x1b=", "＝", "\u202e="])
def test_no_cell_of_an_exported_sheet_begins_like_a_formula(tmp_path, start):
    """A logbook of another program can hold what no form takes; numbers below zero stay numbers."""
    tree = json.loads(demo_logbook().read_bytes())
    del tree["seal"]
    for rows in (tree[kind] for kind in KINDS if kind in tree):
        for row in rows.values():
            row.update({name: f"{start}{value}" for name, value in row.items() if name in TYPED})
            row["extra"] = {f"{start}own": f"{start}1"}
    path = tmp_path / "logbook.json"
    path.write_bytes(b"".join(seal.sealed(tree)))
    assert main(["export", str(tmp_path / "sheets"), "--logbook", str(path)]) == 0
    cells = [
        cell
        for sheet in (tmp_path / "sheets").iterdir()
        for row in csv.reader(io.StringIO(sheet.read_text(encoding="utf-8"), newline=""))
        for cell in row
    ]
    begins = [cell for cell in cells if "".join(c for c in cell if c.isprintable()).strip()[:1] in set("=+-@＝＋－＠")]
    assert [cell for cell in begins if not re.fullmatch(r"-[0-9.]+", cell)] == []
    assert any(cell.startswith("'") for cell in cells)


def test_the_bytes_a_real_terminal_gets(hostile):
    """Everything the app writes until the list stands; its own codes are there, those of the file are not."""
    child, end = pty.fork()
    if child == 0:
        environment = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor", "HOME": str(hostile.parent)}
        os.execvpe(sys.executable, [sys.executable, "-m", "pitbench", "--logbook", str(hostile)], environment)
    raw = b""
    while b"Whio" not in raw or b"bold red" not in raw:
        raw += os.read(end, 65536)
    os.write(end, b"\x11")
    os.waitpid(child, 0)
    assert b"taken" in raw
    assert b"\x1b]0;taken" not in raw
    assert b"\x9b31m" not in raw.replace(b"\xc2\x9b", b"\x9b")
    assert "\u202e".encode() not in raw
