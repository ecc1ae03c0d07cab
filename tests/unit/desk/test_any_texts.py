"""Whatever is typed into a form becomes a record or a sentence on a field; no form meets another exception."""

from datetime import datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pitbench.desk.comparing.weights import save_weights, weight_texts
from pitbench.desk.entry import setup_entry
from pitbench.desk.entry.bench_entry import RUN_FIELDS as BENCH_FIELDS
from pitbench.desk.entry.bench_entry import new_entry, save_run
from pitbench.desk.entry.bench_side import side_of
from pitbench.desk.entry.cooling_entry import new_reading, save_reading
from pitbench.desk.entry.event_entry import FIELDS as EVENT_FIELDS
from pitbench.desk.entry.event_entry import new_event, save_event
from pitbench.desk.entry.gear_entry import FIELDS as GEAR_FIELDS
from pitbench.desk.entry.gear_entry import new_gears, save_gears
from pitbench.desk.entry.known_names import known_names, meant
from pitbench.desk.entry.motor_entry import NEW_FIELDS, motor_entry, save_motor
from pitbench.desk.entry.settings_entry import convert_texts, save_settings, settings_texts, units_meant
from pitbench.desk.entry.track_entry import edit_track_entry, leave_field, new_track_entry, save_track_run
from pitbench.desk.entry.track_fields import CAR_FIELDS, RUN_FIELDS
from pitbench.desk.entry.track_side import track_side
from pitbench.desk.exchange import loading_setup
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import load_files
from pitbench.desk.lists.gear_plan import first_gearing, plan_texts, typed_plan
from pitbench.records.fields import FIELDS, NUMBERS, QUANTITIES
from pitbench.records.ids import new_id
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.records.units import units_of
from pitbench.sheets.reading import read_sheet_text
from tests.unit.desk.by_hand import add_motor, add_run, new_book

NOW = datetime(2025, 11, 28, 0, 10)
ODD = (
    "", " ", "y", "no", "Heron", "club", "Saltmouth", "missing", "34", "5", "0", "-1", "1e308", "1e-320", "nan",
    "inf", "9" * 400, "9" * 81, "x" * 2001, "22/5:03.4", "999999/99:59:59", "14.5 14.6", "3600 " * 30, "1,2,3",
    "23:50", "24:00", "26 Nov 13:36 to 27 Nov 13:41", "23:50 to 0:05", "started 23:50", "9999-12-31 23:59 to 0:00",
    "0001-01-01 00:00", "1970-01-01 to 23:59", "99999 h ago", "0001-01-01T00:00+14:00", "now", "p", "q9",
    "main " * 40,
    "28-400", "400-28", "1-1000000000", "=A1\tB\tC", "\x00\x1b[2J", "\u202e\ufeff", "\ud800", "a\tb\nc",
    "½", "٣٤", "1\u00a0000", "C", "°F", "inch", "86F", "2.46in", "5 min", "1e5 h", "crash", "c",
)  # fmt: skip
TEXTS = st.one_of(st.sampled_from(ODD), st.sampled_from(ODD), st.text(max_size=12), st.floats().map(str))


def bench(book, texts):
    entry = new_entry(book.snapshot(), NOW)
    entry.texts |= texts
    side = side_of(entry, book.snapshot(), NOW)
    return save_run(book, entry, NOW, tuple(side.suspects))


def track(book, texts):
    entry = new_track_entry(book.snapshot(), NOW)
    entry.texts |= texts
    for name in texts:
        leave_field(entry, name, book.snapshot(), NOW)
    side = track_side(entry, book.snapshot(), NOW)
    words = save_track_run(book, entry, NOW, side.doubted)
    again = edit_track_entry(book.snapshot(), entry.edits, NOW)
    stored = book.row("track_run", entry.edits)
    save_track_run(book, again, NOW, ())
    assert book.row("track_run", entry.edits) == stored, "an edit that types nothing changes nothing"
    return words


def cooling(book, texts):
    return save_reading(book, new_reading(book.snapshot(), None, NOW) | texts, NOW, new_id())


def motor(book, texts):
    entry = motor_entry(book.snapshot(), book.rows("motor")[0]["id"] if "since" in texts else None, NOW)
    entry.texts |= texts
    return save_motor(book, entry, NOW)


def event(book, texts):
    entry = new_event(book.snapshot(), NOW)
    entry.texts |= texts
    return save_event(book, entry, NOW)


def setup(book, texts):
    change = setup_entry.new_change(book.snapshot(), NOW)
    change.texts |= texts
    for name, text in change.texts.items():
        meant(text, known_names(book.snapshot(), name, dated=True))
    return setup_entry.save_change(book, change, NOW)


def outcome(book, texts):
    setup_entry.save_change(book, setup_entry.new_change(book.snapshot(), NOW, "springs"), NOW)
    return setup_entry.write_outcome(book, book.rows("setup_entry")[0]["id"], texts.get("outcome", ""))


def gears(book, texts):
    entry = new_gears(book.snapshot())
    entry.texts |= texts
    return save_gears(book, entry)


def team(book, texts):
    every = settings_texts(book.snapshot()) | texts
    before = units_of(book)
    convert_texts(every, before, units_meant(every, before))
    return save_settings(book, every)


def weights(book, texts):
    return save_weights(book, weight_texts(book.snapshot()) | texts)


def plan(book, texts):
    first, units = first_gearing(book.snapshot()), units_of(book)
    return repr(typed_plan(first, plan_texts(first, units) | texts, units))


FORMS = {
    bench: ("motor", "taken_at", *BENCH_FIELDS),
    track: (*RUN_FIELDS, *CAR_FIELDS),
    cooling: ("motor", "temp_c", "after_s", "fan"),
    motor: (*NEW_FIELDS, "since"),
    event: EVENT_FIELDS,
    setup: setup_entry.FIELDS,
    outcome: ("outcome",),
    gears: GEAR_FIELDS,
    team: ("temperature_unit", "length_unit", "day_first", "volts_per_cell", "leads_mohm", "ceiling_c"),
    weights: ("margin load_power_w", "weight kv_rpm_per_v", "margin sensor_spread_deg", "weight track_pace_s"),
    plan: ("pinion", "spur", "internal_ratio", "tyre_diameter_mm"),
}


def a_book():
    book = new_book(lambda: NOW)
    add_motor(book)
    add_run(book, taken_at="2025-11-27 20:00", kv_rpm_per_v="3950", test_voltage_v="3.7")
    entry = new_track_entry(book.snapshot(), NOW)
    entry.texts |= {"time": "23:50 to 23:56", "motor": "Heron", "car": "Twelve"}
    save_track_run(book, entry, NOW, ())
    save_event(book, new_event(book.snapshot(), NOW, "Saltmouth"), NOW)
    return book


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.__name__)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_texts_become_a_record_or_one_sentence(form, data):
    book = a_book()
    texts = data.draw(st.dictionaries(st.sampled_from(FORMS[form]), TEXTS, max_size=5))
    try:
        assert form(book, texts)
    except Refusal as refusal:
        assert str(refusal).endswith(".") and "\n" not in str(refusal)
        assert "alue error" not in str(refusal) and "Input should" not in str(refusal), "a machine's words"


@pytest.mark.parametrize(
    ("form", "texts", "said"),
    [
        (
            track,
            {"time": "26 Nov 13:36 to 27 Nov 13:41"},
            "Time 26 Nov 13:36 to 27 Nov 13:41 makes a run of 1445:00, at most 1440:00 is possible.",
        ),
        (track, {"lap_times_s": "3600 " * 30}, "is not possible, 1 to 86400 s would be."),
        (gears, {"kind": "p", "teeth": "34", "dp": "5"}, "Diametral pitch 5 is not possible, 5.08 to 254 would be."),
        (motor, {"motor": "Heron"}, "There is a motor Heron already; another name would be right."),
    ],
)
def test_what_a_model_would_refuse_is_a_sentence_on_the_field(form, texts, said):
    with pytest.raises(Refusal) as refused:
        form(a_book(), texts)
    assert said in str(refused.value) and refused.value.field in texts


def test_a_model_that_refuses_what_the_form_took_names_the_field(monkeypatch):
    """The last net: were a form to let a number through, its model would still say so in words."""
    from pitbench.records.models import TrackRun
    from pitbench.records.typed import made

    row = {"motor_id": "m", "build_id": "b", "started_at": "2025-11-27"}
    with pytest.raises(Refusal, match=r"^Run time 86700 is not possible, 1 to 86400 s would be\.$") as refused:
        made(TrackRun, {**row, "run_time_s": 86700})
    assert refused.value.field == "run_time_s"
    for name in (n for n, d in FIELDS.items() if n in QUANTITIES and d.form != NUMBERS and n in TrackRun.model_fields):
        low, high = QUANTITIES[name].possible
        for number in (low - 1, high + 1, float("nan"), "many"):
            with pytest.raises(Refusal) as refused:
                made(TrackRun, {**row, name: number})
            assert refused.value.field == name


def test_a_reading_after_midnight_is_of_the_run_before_it():
    book = a_book()
    assert cooling(book, {"temp_c": "61", "after_s": ""}) == "61.0 °C of Heron after its run"
    (run,) = book.rows("track_run")
    assert (run["started_at"], run["finish_reading_c"], run["finish_reading_after_s"]) == ("2025-11-27T23:50", 61, 840)


def sheet(text, book=None):
    book = book or a_book()
    answer = load_files(book, [read_sheet_text("s.csv", text, Day(NOW))]).answer
    return book, answer.files[0]


def test_a_pitch_of_five_and_what_a_model_refuses_are_faults_of_their_rows(monkeypatch):
    book, loaded = sheet("kind,teeth,dp\npinion,34,5\n")
    assert loaded.problems[0].why == "is not possible, 5.08 to 254 would be" and not book.rows("gear")
    monkeypatch.setattr(loading_setup, "module_of_dp", lambda dp: 99.0)  # lets through what no record takes
    book, loaded = sheet("kind,teeth,dp\nspur,72,48\n")
    (problem,) = loaded.problems
    assert (problem.line, problem.column, book.rows("gear")) == (2, "module", [])
    assert problem.why == "is not possible, 0.1 to 5 mm would be"


def test_kept_and_model_go_in_and_out():
    rows = "motor,taken_at,kv_rpm_per_v,motor_temp_c,kept\nHeron,2025-11-26 20:00,3950,98,Motor_Temp_C\n"
    book, loaded = sheet(rows)
    assert loaded.added == 1
    (run,) = (row for row in book.rows("bench_run") if "motor_temp_c" in row)
    assert run["kept"] == ["motor_temp_c"] and ",motor_temp_c," in sheets_of(book.snapshot())["bench"]
    assert sheet(rows, book)[1].same == 1
    _, loaded = sheet(rows.replace("Motor_Temp_C", "warmth"))
    assert loaded.problems[0].why == "names warmth, which is no column; names like ambient_c joined by blanks would be"
    book, loaded = sheet("motor,model\nPlover,Shorebird 13.5\n")
    assert [row.get("model") for row in book.rows("motor")] == [None, "Shorebird 13.5"]
    assert ",Shorebird 13.5," in sheets_of(book.snapshot())["motors"]
