"""Files with something wrong in them, thousands of them: logbooks through opening, sheets of all kinds through load,
load logs through reading.

What may become of a changed logbook: a refusal in one sentence, the file as it was; the question about a hand edit;
nothing else, and never a quiet opening. What may become of a changed load log: a refusal in one sentence; else every
row counted, a valid record, plain numbers. What may become of a changed sheet: every row is counted as added, same or
differing, or its line has a problem; whatever was stored is valid and comes back the same through export and load.
A digit changed within the possible range is a sheet that says something else, no damage: nobody can tell.
"""

import functools
import itertools
import json
import secrets
import tempfile
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any
from unittest import mock

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pitbench.desk.answers import plain
from pitbench.desk.checking import BELONGS, check
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import load_files, read_files
from pitbench.desk.load import loading
from pitbench.records.frame import Record
from pitbench.records.kinds import KINDS
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.records.units import Units
from pitbench.sheets.reading import read_sheet_text
from pitbench.sheets.tables import SHEETS
from pitbench.store import seal
from pitbench.store.logbook import Logbook
from pitbench.store.refusals import HandEdited
from pitbench.words.load_log import load_log_words
from pitbench.words.loading import problem_words, report_words
from tests.unit.desk.load_logs import load_log

DEMO = Path(__file__).parents[2] / "demo_data"
DAY = Day(datetime(2027, 1, 1))
OF_EACH_KIND, ROWS = 3, 6
ODD = [
    *(b'"', b"'", b"{}", b"[", b"]", b"{", b"}", b",", b";", b":", b"\t", b"\n", b"\r", b"\0", b"null", b"true", b"-"),
    *(b"NaN", b"Infinity", b"1e999", b"-1", b"9" * 400, b"[" * 3000, b'{"a":' * 3000, b"1.5.2026", b"2026-02-30"),
    *("\ufeff", "\u202e", "\x1b[31m", "\x9b", "\ud7ff", "é", "e\u0301", "７"),
    *(b"\xff", b"\xc3", b"\xed\xa0\x80", b"\\ud800", b"\\u0000", b"=1+1", b"@A1", b"missing", b"[bold]x[/]"),
]
PIECES = st.sampled_from([odd.encode() if isinstance(odd, str) else odd for odd in ODD]) | st.binary(max_size=6)


@st.composite
def damaged(draw: st.DrawFn, files: Callable[[], list[bytes]]) -> tuple[bytes, bytes]:
    """One of these files, and the same with one to three pieces cut out, put in, doubled, moved or flipped."""
    raw = draw(st.sampled_from(files()))
    found = raw
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(found)))
        end = min(len(found), at + draw(st.sampled_from([0, 1, 1, 2, 4, 8, 40, 400, 10**6])))
        how = draw(st.sampled_from(["cut", "put", "put", "put", "double", "move", "flip"]))
        piece = found[at:end]
        if how == "put":
            piece = draw(PIECES)
        elif how == "cut":
            piece = b""
        elif how == "double":
            piece *= 2
        elif how == "flip":
            piece = bytes([piece[0] ^ 1 << draw(st.integers(0, 7))]) + piece[1:] if piece else b"\0"
        rest = found[:at] + found[end:]
        to = draw(st.integers(0, len(rest))) if how == "move" else at
        found = rest[:to] + piece + rest[to:]
    assume(found != raw)
    return raw, found


# Logbooks


@functools.cache
def logbooks() -> list[bytes]:
    """The demo's logbook, whole once among ten, else a few records of each kind and all they name."""
    whole = (DEMO / "weekend.json").read_bytes()
    tree = json.loads(whole)
    del tree["seal"]
    kept: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}

    def keep(kind: str, key: str) -> None:
        row = kept[kind][key] = tree[kind][key]
        for (holder, field), target in BELONGS.items():
            if holder == kind and field in row and row[field] not in kept[target]:
                keep(target, row[field])

    for kind in KINDS:
        for key in list(tree.get(kind, {}))[:OF_EACH_KIND]:
            keep(kind, key)
    last = max(tree["changes"], key=int)
    changes = {last: {**tree["changes"][last], "after": [{"kind": kind, "ids": list(kept[kind])} for kind in kept]}}
    small = b"".join(seal.sealed({"pitbench": tree["pitbench"], **kept, "changes": changes}))
    return [whole, *[small] * 9]


def try_logbook(path: Path, raw: bytes, found: bytes) -> str:
    """What became of it; raises AssertionError, or the error it was, when that was not right."""
    path.write_bytes(found)
    try:
        Logbook.open(path, write=False)
    except HandEdited as refusal:
        _one_sentence(refusal, path)
        return _accepted(path, found)
    except Refusal as refusal:
        _one_sentence(refusal, path)
        assert path.read_bytes() == found
        answer = check(path)
        assert not answer.ok and answer.problems
        return f"refused: {type(refusal).__name__}"
    assert found == raw, "opened without a word"
    return "as it was"


def _one_sentence(refusal: Refusal, path: Path) -> None:
    sentence = str(refusal)
    assert sentence.isprintable() and sentence.startswith(str(path)) and len(sentence) < 1000, sentence
    assert refusal.status == 2


def _accepted(path: Path, found: bytes) -> str:
    """A valid hand edit, once taken knowingly, is a logbook like any other; what it points to may be missing."""
    assert path.read_bytes() == found
    with Logbook.open(path, accept_hand_edit=True) as logbook:
        assert logbook.hand_edited
        for kind in KINDS:
            logbook.records(kind)
    loose = check(path, accept=True).problems
    Logbook.open(path, write=False).verify()
    for other in path.parent.glob("logbook.json.*"):
        other.unlink()
    return "hand edit, loose ends named" if loose else "hand edit, every record valid"


# Sheets


@functools.cache
def sheets() -> list[bytes]:
    """The demo's sheets of all kinds, header and a few rows, named by the first line."""
    found = [b"".join((DEMO / f"{sheet.name}.csv").read_bytes().splitlines(True)[: ROWS + 1]) for sheet in SHEETS]
    assert len(found) == 9
    return found


@functools.cache
def base() -> list[Record]:
    """What stands already: motors, an event and track runs that the other sheets name. It is made once, under ids of
    its own: those of every example begin anew."""
    logbook = Logbook.in_memory(lambda: DAY.now)
    texts = [read_sheet_text(f"{n}.csv", raw.decode(), DAY) for n, raw in enumerate(sheets())]
    needed = [text for text in texts if text.sheet is not None and text.sheet.name in {"motors", "events", "track"}]
    ids = itertools.count()
    with mock.patch.object(secrets, "token_hex", lambda size: f"base{next(ids):012x}"):
        load_files(logbook, needed)
    assert logbook.rows("track_run")
    return [record for kind in KINDS for record in logbook.records(kind)]


def try_sheet(path: Path, raw: bytes, found: bytes) -> str:
    """What became of it; raises AssertionError, or the error it was, when that was not right."""
    path.write_bytes(found)
    logbook = Logbook.in_memory(lambda: DAY.now)
    logbook.save("base", base())
    try:
        files = read_files([path], DAY)
    except Refusal as refusal:
        assert str(refusal).isprintable() and refusal.status == 2
        return "refused: no text"
    loaded = load_files(logbook, files)
    assert all(line.isprintable() for line in [*report_words(loaded), *problem_words(loaded)])
    (report,) = loaded.reports
    if not report.stored:
        assert report.faults
        assert [change.words for change in logbook.journal.listed()] == ["base"]
        return f"kept out: {report.file.sheet.name if report.file.sheet else 'no sheet'}"
    assert sum(report.counts.values()) == report.file.count, "a row went without a word"
    for kind in KINDS:
        logbook.records(kind)
    after = sheets_of(logbook.snapshot())
    with Logbook.in_memory(lambda: DAY.now) as again:
        again_files = [read_sheet_text(f"{name}.csv", text, DAY) for name, text in after.items()]
        assert not any(report.faults for report in load_files(again, again_files).reports)
        assert sheets_of(again.snapshot()) == after, "does not come back the same"
    assert report.file.sheet is not None
    return f"stored: {report.file.sheet.name}"


# Load logs

MAPPED = {
    "time_s": "Time (s)",
    "voltage_v": "Batt V",
    "current_a": "I (A)",
    "throttle_pct": "Throttle %",
    "motor_temp_f": "Motor °F",
}
"""What somebody says of the headers of the third log."""


@functools.cache
def load_logs() -> list[bytes]:
    """Small logs as they are met: plain; with semicolons, commas in numbers and text before the header; with tabs,
    erpm, °F and other headers, rows twice and rubbish in them."""
    usual = load_log(6)
    german = load_log(5, 2, sep=";").replace(".", ",")
    odd = load_log(5, 3, headers=("Time (s)", "Batt V", "I (A)", "ERPM", "Throttle %", "Motor °F", "ESC °F"), sep="\t")
    lines = odd.splitlines()
    twice = [*lines[:90], lines[89], "65535\t" * 6 + "65535", *lines[90:]]
    return [usual.encode(), f"log of a run\n\n{german}".encode(), "\n".join(twice).encode("utf-8-sig")]


def try_load_log(path: Path, raw: bytes, found: bytes) -> str:
    """What became of it; raises AssertionError, or the error it was, when that was not right."""
    path.write_bytes(found)
    logbook = Logbook.in_memory(lambda: DAY.now)
    logbook.save("base", base())
    columns = MAPPED if all(header.encode() in found for header in MAPPED.values()) else {}
    asked = loading.Asked(logbook.rows("motor")[0]["name"], columns=columns)
    try:
        answer = loading.keep(logbook, loading.found(logbook, path, asked, DAY))
    except Refusal as refusal:
        sentence = str(refusal)
        assert sentence.isprintable() and path.name in sentence and len(sentence) < 2000 and refusal.status == 2
        assert not logbook.rows("load_log")
        return "refused"
    left = answer.left_out
    assert answer.rows == answer.used + sum(vars(left).values()), "a row went without a word"
    assert answer.stored and len(logbook.records("load_log")) == 1
    assert all(line.isprintable() for line in load_log_words(answer, Units()))
    json.dumps(plain(answer), allow_nan=False)
    assert not loading.keep(logbook, loading.found(logbook, path, asked, DAY)).stored
    return f"told nothing: {answer.why}" if answer.why else "told KV and resistance"


def run(what: str, count: int) -> Counter[str]:
    """Try so many; what became of them, counted. The first that goes wrong is raised, made small by hypothesis."""
    outcomes: Counter[str] = Counter()
    files, attempt, name = {
        "logbooks": (logbooks, try_logbook, "logbook.json"),
        "sheets": (sheets, try_sheet, "sheet.csv"),
        "load logs": (load_logs, try_load_log, "log.csv"),
    }[what]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name

        @settings(max_examples=count, suppress_health_check=list(HealthCheck), deadline=None, database=None)
        @given(damaged(files))
        def each(pair: tuple[bytes, bytes]) -> None:
            outcomes[attempt(path, *pair)] += 1

        each()
    return outcomes


def fuzz(count: int) -> bool:
    """So many of each, one table; True when anything went wrong."""
    failed = False
    for what in ("logbooks", "sheets", "load logs"):
        try:
            outcomes = run(what, count)
        except BaseException as error:
            print(f"{what}: {type(error).__name__}: {error}\n{getattr(error, '__notes__', '')}")
            failed = True
            continue
        print(f"\n| {outcomes.total()} changed {what} | times |\n|---|---|")
        for outcome, times in sorted(outcomes.items()):
            print(f"| {outcome} | {times} |")
    return failed
