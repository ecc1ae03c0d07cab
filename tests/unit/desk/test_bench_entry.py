"""A bench run typed into the form: what is filled in, what is read and stored, what is refused in a sentence."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.bench_entry import (
    edit_entry,
    new_entry,
    read_entry,
    save_run,
)
from pitbench.desk.entry.bench_fields import CONDITION_FIELDS, FIGURE_FIELDS, RUN_NUMBERS
from pitbench.records.fields import BENCH_FIGURES, QUANTITIES
from pitbench.records.models import Build, Settings
from pitbench.records.numbers import shown
from pitbench.records.refusal import Refusal
from pitbench.records.typed import label_of, sentence
from tests.unit.desk.by_hand import (
    CONDITIONS,
    FIGURES,
    KV_AND_CURRENT,
    NOW,
    add_motor,
    add_run,
    edit_motor,
    everything,
    made,
    new_book,
    put_run,
    typed,
)


@pytest.fixture
def book():
    book = new_book()
    add_motor(book, "Heron")
    add_motor(book, "Plover")
    return book


# what is filled in already


def test_an_empty_logbook_gives_an_empty_form():
    entry = new_entry(new_book().snapshot(), NOW)
    assert entry.texts == {"motor": "", "taken_at": "2026-05-17 14:02"}
    assert entry.fields == (*FIGURE_FIELDS, "note")


def test_the_first_motor_stands_in_the_first_form(book):
    assert new_entry(book.snapshot(), NOW).texts["motor"] == "Heron"


def test_motor_and_conditions_come_from_the_last_run_and_figures_do_not(book):
    add_run(book, "Plover", session="club night", sensored="yes", spin_s="20", **CONDITIONS, **FIGURES)
    texts = new_entry(book.snapshot(), NOW).texts
    assert texts == {
        "motor": "Plover",
        "taken_at": "2026-05-17 14:02",
        "session": "club night",
        "sensored": "yes",
        "spin_s": "20",
        **CONDITIONS,
    }


def test_the_session_lasts_a_day(book):
    add_run(book, taken_at="2026-05-16 23:50", session="club night", tester="bench box", **KV_AND_CURRENT)
    texts = new_entry(book.snapshot(), NOW).texts
    assert "session" not in texts and texts["tester"] == "bench box"


def test_the_timing_mark_is_the_motor_s_own_last_one(book):
    add_run(book, "Heron", "2026-05-17 13:00", timing_mark_deg="35", **KV_AND_CURRENT)
    add_run(book, "Plover", "2026-05-17 13:10", timing_mark_deg="40", **KV_AND_CURRENT)
    heron, plover = (next(m for m in book.rows("motor") if m["name"] == name) for name in ("Heron", "Plover"))
    assert new_entry(book.snapshot(), NOW, heron["id"]).texts["timing_mark_deg"] == "35"
    assert new_entry(book.snapshot(), NOW, plover["id"]).texts["timing_mark_deg"] == "40"
    whio = add_motor(book, "Whio")
    assert "timing_mark_deg" not in new_entry(book.snapshot(), NOW, whio).texts


def test_of_runs_at_the_same_minute_the_one_typed_last_is_the_last(book):
    add_run(book, "Heron", **KV_AND_CURRENT)
    add_run(book, "Heron", tester="other box", **KV_AND_CURRENT)
    assert new_entry(book.snapshot(), NOW).texts["tester"] == "other box"


def test_a_tester_that_tells_rpm_keeps_its_field(book):
    add_run(book, rpm="14 600", test_voltage_v="3.7")
    fields = new_entry(book.snapshot(), NOW).fields
    assert fields[0] == "rpm" and "kv_rpm_per_v" not in fields


def test_the_user_s_own_order_and_hidden_fields(book):
    order = ("no_load_current_a", "kv_rpm_per_v", "kv_rpm_per_v", "turns", "timing_deg")
    book.save_settings("order", Settings(entry_line=order, hidden_fields=("timing_deg",)))
    assert new_entry(book.snapshot(), NOW).fields == ("no_load_current_a", "kv_rpm_per_v", "note")


@given(
    conditions=st.fixed_dictionaries(
        {},
        optional={
            "test_voltage_v": st.floats(0.5, 60).map(repr),
            "poles_assumed": st.sampled_from(["2", "4", "14"]),
            "spin_s": st.integers(1, 3600).map(str),
            "timing_mark_deg": st.floats(-90, 120).map(repr),
            "ambient_c": st.floats(-30, 70).map(repr),
            "tester": st.sampled_from(["bench box", "Ünï 2"]),
            "session": st.sampled_from(["club night", "one"]),
            "sensored": st.sampled_from(["yes", "no"]),
        },
    )
)
def test_a_repeat_has_the_same_conditions_and_no_figure(conditions):
    book = new_book()
    add_motor(book)
    first = add_run(book, **conditions, **KV_AND_CURRENT)
    repeat = new_entry(book.snapshot(), NOW, first["motor_id"])
    assert not set(repeat.texts) & set(FIGURE_FIELDS)
    repeat.texts["kv_rpm_per_v"] = "3948"
    again = made(book, repeat).row()
    carried = {name for name in first if name in CONDITION_FIELDS} - {"taken_at"}
    assert {name: again[name] for name in carried} == {name: first[name] for name in carried}
    assert "no_load_current_a" not in again


# what is stored


def test_every_typed_text_is_stored(book):
    run = add_run(book, "heron", note="new bearings\n3 May", session=" club  night", **CONDITIONS, **FIGURES)
    assert {name: run[name] for name in FIGURES} == {name: float(text) for name, text in FIGURES.items()}
    assert {name: run[name] for name in CONDITIONS if name != "tester"} == {
        "test_voltage_v": 3.7,
        "poles_assumed": 2,
        "ambient_c": 24,
    }
    assert (run["tester"], run["session"], run["note"]) == ("bench box", "club night", "new bearings 3 May")
    assert run["taken_at"] == "2026-05-17T13:50" and "place" not in run and "kept" not in run
    assert book.journal.listed()[0].words == "bench run of Heron"


@pytest.mark.parametrize(
    ("name", "text", "stored"),
    [("no_load_current_a", "7,2", 7.2), ("motor_temp_c", "86F", 30), ("resistance_mohm", "0.0115 ohm", 11.5)],
)
def test_comma_and_other_units_are_read(book, name, text, stored):
    assert add_run(book, **(KV_AND_CURRENT | {name: text}))[name] == pytest.approx(stored)


@given(st.data())
def test_what_is_typed_is_what_is_stored(data):
    names = data.draw(st.sets(st.sampled_from(RUN_NUMBERS), min_size=1))
    whole = st.integers(1, 20).map(lambda half: 2 * half)
    values = {
        n: data.draw(whole if QUANTITIES[n].whole else st.floats(*QUANTITIES[n].possible), label=n) for n in names
    }
    book = new_book()
    add_motor(book)
    entry = typed(book, kv_rpm_per_v="3950")
    entry.texts |= {name: shown(value) for name, value in values.items()}
    row = made(book, entry).row()
    assert {name: row[name] for name in names} == values
    assert {name for name in row if name in RUN_NUMBERS} == names | {"kv_rpm_per_v"}


WORDS = st.text(max_size=100) | st.sampled_from(["yes", "3,95", "-4", "nan", "1e999", "\x00", "x" * 90, "٣", "²"])


@given(st.dictionaries(st.sampled_from([*RUN_NUMBERS, *CONDITION_FIELDS, "note", "turns", "id"]), WORDS, max_size=6))
def test_any_text_gives_a_checked_record_or_one_sentence(texts):
    book = new_book()
    add_motor(book)
    entry = typed(book, **KV_AND_CURRENT)
    entry.texts |= texts
    problems = read_entry(entry, book.snapshot(), NOW).problems
    try:
        run = made(book, entry)
    except Refusal as refusal:
        assert problems or "at least one figure" in str(refusal)
        assert str(refusal).endswith(".") and "\n" not in str(refusal) and len(str(refusal)) < 250
    else:
        assert not problems and run.motor_id == book.rows("motor")[0]["id"]


@given(st.text(max_size=60))
def test_any_text_as_a_time_gives_a_time_or_a_sentence(text):
    book = new_book()
    add_motor(book)
    entry = typed(book, taken_at=text, **KV_AND_CURRENT)
    try:
        assert made(book, entry).taken_at
    except Refusal as refusal:
        assert str(refusal).startswith("Time ")


# what is refused

TWO_DAYS_AHEAD = f"{NOW + timedelta(days=2):%Y-%m-%d %H:%M}"


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        ({"kv_rpm_per_v": "fast"}, "KV fast is no number, write one like 3500."),
        ({"no_load_current_a": "-4.1"}, "No-load current -4.1 is not possible, 0.01 to 100 A would be."),
        ({"kv_rpm_per_v": "398200"}, "KV 398200 is not possible, 100 to 100000 rpm/V would be."),
        ({"kv_rpm_per_v": "NaN"}, "KV NaN is no number, write one like 3500."),
        (
            {"no_load_current_a": "1e999"},
            "No-load current 1e999 is no number, one between 0.01 and 100 A would be right.",
        ),
        ({"motor_temp_c": "31 V"}, "Motor temperature 31 V has the unit V, °C would be right."),
        ({"poles_assumed": "3"}, "Poles assumed 3 must be even, magnet poles come in pairs."),
        (
            {"taken_at": TWO_DAYS_AHEAD},
            "Time 2026-05-19 14:02 lies ahead of this computer's clock, which says 2026-05-17 14:02.",
        ),
        ({"taken_at": "30 Feb"}, "Time 30 Feb is no day of the calendar, 2026-04-12 14:02, today 9:10 or 7 Mar"),
        ({"taken_at": ""}, "Time is empty, 2026-04-12 14:02, today 9:10 or 7 Mar would be right."),
        ({"motor": "Herron"}, "Motor Herron is no motor of yours, Heron would be right."),
        ({"motor": "zzz"}, "Motor zzz is no motor of yours, m on a list writes a new one down."),
        ({"motor": " "}, "Motor is empty, the name of one of yours would be right."),
        ({"kv_rpm_per_v": "", "rpm": "14600"}, "Speed 14600 needs the test voltage it was read at, F6 writes it down."),
        ({"kv_rpm_per_v": "", "erpm": "14600"}, "Electrical speed 14600 needs the test voltage it was read at"),
        (
            {"kv_rpm_per_v": "", "no_load_current_a": " ", "motor_temp_c": "31", "test_voltage_v": "3.7"},
            "A bench run needs at least one figure: KV or no-load current would be right.",
        ),
        ({"sensored": "perhaps"}, "Sensored perhaps must be yes or no."),
        ({"tester": "x" * 81}, "has 81 characters, a name of at most 80 would be right."),
        ({"note": "x" * 2001}, "has 2001 characters, at most 2000 would be right."),
    ],
)
def test_bad_input_is_one_sentence_and_nothing_is_stored(book, texts, said):
    before = book.revision
    with pytest.raises(Refusal) as refused:
        save_run(book, typed(book, **(KV_AND_CURRENT | texts)), NOW, ())
    assert said in str(refused.value) and str(refused.value).endswith(".")
    assert book.revision == before and book.rows("bench_run") == []


def test_a_day_ahead_is_allowed_for_a_clock_that_is_wrong(book):
    assert add_run(book, taken_at="2026-05-18 14:01", **KV_AND_CURRENT)["taken_at"] == "2026-05-18T14:01"


def test_kv_beside_a_speed_needs_no_voltage(book):
    assert add_run(book, rpm="14600", **KV_AND_CURRENT)["rpm"] == 14600


def test_problems_stand_in_the_order_of_the_form(book):
    entry = typed(book, motor="zzz", taken_at="x", note="x" * 3000, kv_rpm_per_v="a", ambient_c="b", timing_deg="c")
    problems = read_entry(entry, book.snapshot(), NOW).problems
    assert list(problems) == ["kv_rpm_per_v", "timing_deg", "ambient_c", "motor", "taken_at", "note"]


def test_a_motor_without_a_build_is_refused(book):
    book.journal.bin("build", [("build", row["id"]) for row in book.rows("build")])
    with pytest.raises(Refusal, match="Heron has no build yet"):
        made(book, typed(book, **KV_AND_CURRENT))


def test_unlikely_but_possible_is_stored_and_kept(book):
    run = add_run(book, kept=("kv_rpm_per_v", "timing_deg"), kv_rpm_per_v="39820")
    assert run["kv_rpm_per_v"] == 39820 and run["kept"] == ["kv_rpm_per_v"]


def test_a_long_text_is_quoted_short():
    said = sentence("tester", "x" * 200, "is too long")
    assert said == f"Tester {'x' * 40}… is too long."
    assert label_of("taken_at") == "time" and label_of("kv_rpm_per_v") == "KV"


# equal times


def test_runs_at_the_same_minute_get_places(book):
    runs = [add_run(book, taken_at="2026-05-17 13:50", **KV_AND_CURRENT) for _ in range(3)]
    assert [run.get("place", 0) for run in runs] == [0, 1, 2]
    assert add_run(book, "Plover", "2026-05-17 13:50", **KV_AND_CURRENT).get("place", 0) == 0
    assert add_run(book, taken_at="2026-05-17 13:50:00", **KV_AND_CURRENT)["place"] == 3


def test_a_deleted_run_keeps_its_place(book):
    add_run(book, **KV_AND_CURRENT)
    second = add_run(book, **KV_AND_CURRENT)
    book.journal.bin("gone", [("bench_run", second["id"])])
    assert add_run(book, **KV_AND_CURRENT)["place"] == 2


def test_an_edited_run_keeps_its_place_until_its_time_or_motor_changes(book):
    add_run(book, **KV_AND_CURRENT)
    second = add_run(book, **KV_AND_CURRENT)
    entry = edit_entry(book.snapshot(), second["id"])
    assert made(book, entry).place == 1
    entry.texts["taken_at"] = "2026-05-17 13:40"
    assert made(book, entry).place == 0
    entry.texts |= {"taken_at": "2026-05-17 13:50", "motor": "Plover"}
    assert made(book, entry).place == 0


# editing


@given(st.data())
def test_saving_an_edit_without_a_change_changes_nothing(data):
    figures = {n: data.draw(st.floats(*QUANTITIES[n].possible), label=n) for n in ("kv_rpm_per_v", "rpm", "timing_deg")}
    more = data.draw(
        st.fixed_dictionaries(
            {},
            optional={
                "session": st.just("club night"),
                "sensored": st.booleans(),
                "note": st.just("as it came"),
                "kept": st.sets(st.sampled_from(["kv_rpm_per_v", "timing_deg"])).map(list),
                "excluded_why": st.just("loose lead"),
                "extra": st.just({"colour": "red"}),
                "place": st.integers(0, 3),
                "test_voltage_v": st.floats(0.5, 60),
                "taken_at": st.sampled_from(["2026-05-10", "2026-05-10T10:00:30", "2026-05-10T10:00:00"]),
            },
        )
    )
    book = new_book()
    run = put_run(book, add_motor(book), **figures, **more)
    before = everything(book), book.revision
    suspects = tuple(data.draw(st.sets(st.sampled_from(list(figures)))))
    save_run(book, edit_entry(book.snapshot(), run.id), NOW, suspects)
    assert everything(book) == before[0]
    assert book.journal.undo() == "a run"


def test_an_edit_shows_every_stored_number_even_of_a_hidden_field(book):
    run = add_run(book, rpm="14600", **CONDITIONS, **FIGURES)
    book.save_settings("hidden", Settings(hidden_fields=("timing_deg",)))
    entry = edit_entry(book.snapshot(), run["id"])
    assert {"timing_deg", "rpm"} < set(entry.fields) and entry.fields[-1] == "note"
    assert {name: entry.texts[name] for name in ("kv_rpm_per_v", "timing_deg", "rpm", "test_voltage_v")} == {
        "kv_rpm_per_v": "3953",
        "timing_deg": "42.1",
        "rpm": "14600",
        "test_voltage_v": "3.7",
    }


def test_a_blanked_field_is_gone_and_what_no_form_shows_stays(book):
    motor_id = book.rows("motor")[0]["id"]
    run = put_run(book, motor_id, kv_rpm_per_v=3950, timing_deg=42, note="old", extra={"colour": "red"})
    entry = edit_entry(book.snapshot(), run.id)
    entry.texts |= {"timing_deg": " ", "note": ""}
    save_run(book, entry, NOW, ())
    (row,) = book.rows("bench_run")
    assert "timing_deg" not in row and "note" not in row and row["extra"] == {"colour": "red"}
    assert book.journal.listed()[0].words == "edited bench run of Heron"


def test_a_number_that_was_kept_stays_kept_until_it_changes(book):
    run = add_run(book, kept=("kv_rpm_per_v",), kv_rpm_per_v="39820")
    entry = edit_entry(book.snapshot(), run["id"])
    entry.texts["note"] = "really"
    assert made(book, entry).kept == ("kv_rpm_per_v",)
    entry.texts["kv_rpm_per_v"] = "3982"
    assert made(book, entry).kept == ()


def test_a_run_keeps_its_build_after_a_swap_and_a_moved_one_follows_its_time(book):
    heron = add_motor(book, "Whio", rotor="R1")
    early = add_run(book, "Whio", "2026-05-01 10:00", **KV_AND_CURRENT)
    edit_motor(book, heron, rotor="R2", since="2026-05-10")
    late = add_run(book, "Whio", "2026-05-11 10:00", **KV_AND_CURRENT)
    first, second = early["build_id"], late["build_id"]
    assert first != second and book.row("bench_run", early["id"])["build_id"] == first
    entry = edit_entry(book.snapshot(), early["id"])
    entry.texts["note"] = "first of the year"
    assert made(book, entry).build_id == first
    entry.texts["taken_at"] = "2026-05-12"
    assert made(book, entry).build_id == second


def test_a_run_on_tried_parts_keeps_them_when_its_time_is_edited(book):
    motor_id = book.rows("motor")[0]["id"]
    trial = Build(motor_id=motor_id, fitted=False)
    book.save("trial", [trial])
    run = put_run(book, motor_id, build_id=trial.id, kv_rpm_per_v=3950)
    entry = edit_entry(book.snapshot(), run.id)
    entry.texts["taken_at"] = "2026-05-12"
    assert made(book, entry).build_id == trial.id
    entry.texts["motor"] = "Plover"
    assert made(book, entry).build_id != trial.id


def test_an_edit_can_be_taken_back(book):
    run = add_run(book, **KV_AND_CURRENT)
    before = everything(book)
    entry = edit_entry(book.snapshot(), run["id"])
    entry.texts["kv_rpm_per_v"] = "4000"
    save_run(book, entry, NOW, ())
    assert book.journal.undo() == "edited bench run of Heron" and everything(book) == before


def test_the_figures_of_the_form_are_those_of_the_record():
    temperatures = {"motor_temp_c", "resistance_temp_c"}
    assert {*FIGURE_FIELDS, "rpm", "erpm"} - temperatures == set(BENCH_FIGURES)


def test_a_run_typed_after_midnight_for_ten_to_twelve_is_yesterdays(book):
    add_motor(book, "Nightjar")
    late = datetime(2026, 5, 18, 0, 10)
    save_run(book, typed(book, "Nightjar", late, taken_at="23:50", kv_rpm_per_v="3950"), late, ())
    assert book.rows("bench_run")[-1]["taken_at"] == "2026-05-17T23:50"
