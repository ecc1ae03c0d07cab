"""The list of runs: its order, its words, and how words narrow it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.run_entry import leave_out, put_in_bin
from pitbench.desk.lists.runs import RunLine, RunList
from pitbench.records.models import BenchRun
from pitbench.words.runs import runs_words
from tests.unit.desk.by_hand import NOW, add_motor, add_run, edit_motor, new_book, put_run


@pytest.fixture
def book():
    book = new_book()
    heron = add_motor(book, rotor="R2")
    plover = add_motor(book, "Plover")
    put_run(book, heron, taken_at="2026-05-10T10:00", kv_rpm_per_v=3950, tester="bench box", note="new Bearings")
    put_run(book, heron, taken_at="2026-05-10T10:00", place=1, kv_rpm_per_v=3954, no_load_current_a=4.1, timing_deg=42)
    put_run(book, plover, taken_at="2026-05-17T09:00", rpm=14430, test_voltage_v=3.7, session="club night")
    put_run(book, plover, taken_at="2026-05-17", no_load_current_a=4, kept=("no_load_current_a", "ambient_c"))
    put_run(book, heron, taken_at="2025-12-24T10:00", kv_rpm_per_v=3900, excluded_why="loose lead")
    return book


def found(book, binned=False):
    return RunList(book.snapshot(), NOW, binned)


def lines(book, words="", binned=False):
    runs = found(book, binned)
    return [runs.line(place) for place in runs.narrow(words)]


HERON, PLOVER = "rotor R2, else its own", "its own parts"


def test_newest_first_equal_times_by_place(book):
    assert lines(book) == [
        RunLine("today 09:00", "Plover", "bench", "3900 rpm/V", "", "", "club night", PLOVER),
        RunLine("today", "Plover", "bench", "4.00 A", "kept: no-load current, ambient", "", "", PLOVER),
        RunLine("10 May 10:00", "Heron", "bench", "3954 rpm/V  4.10 A  42.0°", "", "", "", HERON),
        RunLine("10 May 10:00", "Heron", "bench", "3950 rpm/V", "", "new Bearings", "bench box", HERON),
        RunLine("24 Dec 2025", "Heron", "bench", "3900 rpm/V", "out: loose lead", "", "", HERON),
    ]


@pytest.mark.parametrize(
    ("words", "hits"),
    [
        ("", 5),
        ("her", 3),
        ("HER bear", 1),
        ("r2", 3),
        ("bench", 5),
        ("bench box", 1),
        ("-heron", 2),
        ("2026-05", 4),
        ("2026-05-10 heron", 2),
        ("excluded", 1),
        ("loose", 1),
        ("-excluded heron", 2),
        ("club -night", 0),
        ("-", 5),
        ("  her  - ", 3),
        ("nothing", 0),
        ("heron end bell", 3),
    ],
)
def test_words_narrow_the_list(book, words, hits):
    runs = found(book)
    assert len(runs.narrow(words)) == hits
    assert runs.narrow(words) == sorted(runs.narrow(words))


LETTERS = st.text(alphabet="hHeroOn -2026.ßſ\u0301é bx", max_size=12)


@given(LETTERS, LETTERS)
def test_narrowing_a_list_that_was_narrowed_is_narrowing_from_scratch(first, more):
    book = new_book()
    heron = add_motor(book)
    for n, note in enumerate(("Straße", "box 2", "hero", "é", "no")):
        put_run(book, heron, taken_at=f"2026-05-1{n}", kv_rpm_per_v=3950, note=note)
    runs = found(book)
    grown = first + more
    if "-" not in grown:
        assert runs.narrow(grown, runs.narrow(first)) == runs.narrow(grown)
    words = grown.casefold().split()
    plain = [word for word in words if not word.startswith("-")]
    without = [word[1:] for word in words if word.startswith("-") and word != "-"]
    assert runs.narrow(grown) == [
        place
        for place, text in enumerate(runs.texts)
        if all(word in text for word in plain) and not any(word in text for word in without)
    ]


def test_a_run_keeps_the_parts_it_was_made_on(book):
    heron = next(row["id"] for row in book.rows("motor") if row["name"] == "Heron")
    edit_motor(book, heron, rotor="R5", since="2026-05-12")
    put_run(book, heron, taken_at="2026-05-13", kv_rpm_per_v=3950, build_id=book.rows("build")[-1]["id"])
    assert len(lines(book, "r2")) == 3 and len(lines(book, "r5")) == 1


def test_the_bin(book):
    assert lines(book, binned=True) == []
    run = add_run(book, "Plover", kv_rpm_per_v="3950")
    put_in_bin(book, run["id"])
    assert lines(book, binned=True) == [
        RunLine("today 13:50", "Plover", "bench", "3950 rpm/V", "deleted", "", "club night", PLOVER)
    ]
    put_in_bin(book, next(row["id"] for row in book.rows("motor") if row["name"] == "Heron"))
    binned = lines(book, binned=True)
    assert len(binned) == 5 and RunLine("today 14:02", "Heron", "motor", "", "deleted", "") in binned
    assert [line.kind for line in lines(book, "heron motor", binned=True)] == ["motor"]
    book.journal.undo()
    book.journal.undo()
    add_run(book, "Plover", kv_rpm_per_v="3950")
    book.journal.undo()
    assert "undone" in {line.mark for line in lines(book, binned=True)}


def test_the_bin_shows_what_was_deleted_last_first():
    times = iter(NOW.replace(minute=n) for n in range(30))
    book = new_book(clock=lambda: next(times))
    add_motor(book)
    early, late = (add_run(book, taken_at=f"2026-05-1{n}", kv_rpm_per_v="3950") for n in range(2))
    put_in_bin(book, late["id"])
    put_in_bin(book, early["id"])
    assert [row["id"] for row in found(book, True).rows] == [early["id"], late["id"]]


def say(book, words="", binned=False):
    runs = found(book, binned)
    return runs_words(runs, runs.narrow(words), words, binned)


def test_words_on_top(book):
    empty = new_book()
    assert say(empty) == "No runs yet. m writes down a motor, b a bench run of it."
    assert say(empty, binned=True) == "The bin is empty."
    assert say(book) == "5 runs, newest first."
    assert say(book, " plov ") == "2 of 5 runs of Plover: plov"
    assert say(book, "nothing") == "0 of 5 runs: nothing"
    put_in_bin(book, book.rows("bench_run")[0]["id"])
    assert say(book, binned=True) == "The bin: 1 record. Enter brings one back."


def test_a_run_left_out_is_still_listed(book):
    run = add_run(book, "Plover", kv_rpm_per_v="3950")
    leave_out(book, run["id"], "hot")
    assert lines(book, "excluded hot")[0].mark == "out: hot"


def test_ten_thousand_runs():
    book = new_book()
    motors = [add_motor(book, name) for name in ("Heron", "Plover")]
    builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
    book.save(
        "many",
        [
            BenchRun.model_construct(
                motor_id=motors[n % 2],
                build_id=builds[motors[n % 2]],
                taken_at=f"20{n % 26:02d}-{n % 12 + 1:02d}-{n % 28 + 1:02d}T{n % 24:02d}:{n % 60:02d}",
                place=n // 60,
                kv_rpm_per_v=3900.0 + n % 100,
                note=f"run {n}",
            )
            for n in range(10_000)
        ],
    )
    runs = found(book)
    assert len(runs.narrow("")) == 10_000 and len(runs.narrow("plover")) == 5000
    times = [row["taken_at"] for row in runs.rows]
    assert times == sorted(times, reverse=True)
    assert [runs.line(place).note for place in runs.narrow("9999")] == ["run 9999"]
    hits = runs.narrow("heron")
    assert len(runs.narrow("heron -2011", hits)) == sum("2011" not in runs.texts[place] for place in hits) > 0
    assert runs_words(runs, hits, "heron", False) == "5000 of 10000 runs: heron"


def test_a_winding_reading_alone_is_a_line_that_says_so(book):
    heron = next(row["id"] for row in book.rows("motor") if row["name"] == "Heron")
    put_run(book, heron, taken_at="2026-05-17T11:00", resistance_mohm=11.64)
    assert lines(book)[0].figures == "winding 11.6 mΩ"
