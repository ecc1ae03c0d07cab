"""The track side's sheets into the logbook: events, track runs, cooling readings, setup log, gears."""

import pytest

from pitbench.desk.builds import parts_text
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import Loaded, load_files
from pitbench.records.models import Cooling, Event, Gear, Motor, SetupEntry, TrackRun
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook
from pitbench.words.loading import problem_words, report_words
from tests.unit.desk.any_records import DAY

MOTORS = "motor,stator,rotor,end_bell\nHeron,S1,R1,E1\nPlover,S2,R2,E2\n"
TRACK = """motor,started_at,event,car,round_kind,round,pinion,spur,finish_reading_c
Heron,2026-04-12 11:20,Saltmouth,No. 4,qualifier,1,30,93,71
Heron,2026-04-12 13:05,Saltmouth,no. 4,qualifier,2,30,93,72
Plover,2026-04-12 14:30,Saltmouth,No. 4,main,A,31,93,74
"""


@pytest.fixture
def logbook():
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        put(logbook, MOTORS)
        yield logbook


def put(logbook: Logbook, *texts: str, **how: bool) -> Loaded:
    files = [read_sheet_text(f"{place}.csv", text, DAY) for place, text in enumerate(texts)]
    return load_files(logbook, files, **how)


def counts(loaded: Loaded, place: int = 0) -> dict[str, int]:
    return dict(loaded.reports[place].counts)


def whys(loaded: Loaded) -> list[str]:
    return [fault.why for report in loaded.reports for fault in report.faults]


def doubts(loaded: Loaded) -> list[str]:
    return [doubt.sentence for report in loaded.reports for _, doubt in report.doubts]


def rows(logbook: Logbook, kind: str) -> list[dict]:
    at = {"track_run": "started_at", "cooling": "after_s", "setup_entry": "written_at", "event": "date"}[kind]
    return sorted(logbook.rows(kind), key=lambda row: row[at])


# track runs


def test_track_runs_add_their_event_and_car_and_say_so(logbook):
    loaded = put(logbook, TRACK)
    assert (counts(loaded), loaded.answer.motors_added) == ({"added": 3}, [])
    assert report_words(loaded)[1:] == ["1 event added: Saltmouth 2026-04-12.", "1 car added: No. 4."]
    (event,) = logbook.rows("event")
    assert {run["event_id"] for run in logbook.rows("track_run")} == {event["id"]}
    assert counts(put(logbook, TRACK)) == {"same": 3}
    assert counts(put(logbook, TRACK.replace(",74", ",75"))) == {"same": 2, "differs": 1}
    assert counts(put(logbook, TRACK.replace(",74", ",75"), replace=True)) == {"same": 2, "replaced": 1}


def test_an_undone_load_comes_back_whole_and_a_deleted_run_stays_deleted(logbook):
    put(logbook, TRACK)
    before = {kind: sorted(r["id"] for r in logbook.rows(kind)) for kind in ("event", "car", "track_run")}
    logbook.journal.undo()
    assert counts(put(logbook, TRACK)) == {"added": 3}
    assert {kind: sorted(r["id"] for r in logbook.rows(kind)) for kind in before} == before
    logbook.journal.bin("gone", [("track_run", before["track_run"][0]), ("event", before["event"][0])])
    again = put(logbook, TRACK)
    assert (counts(again), whys(again)) == ({"same": 3}, [])
    new = put(logbook, TRACK.replace("11:20", "11:50"))
    assert whys(new) == ["lies in the bin, bring it back there first"]


def test_an_unknown_motor_is_refused_with_the_nearest_name(logbook):
    for text in (TRACK, "motor,started_at,after_s,temp_c\nHeron,2026-04-12 11:20,60,70\n"):
        assert "is no motor of this logbook, Heron would be" in whys(put(logbook, text.replace("Heron", "Herno")))
    setup = put(logbook, "written_at,motor,what\n2026-04-12,Plovr,gearing\n")
    assert whys(setup) == ["is no motor of this logbook, Plover would be"]


def test_parts_of_a_track_row_say_what_was_run_and_builds_known_later_take_the_others(logbook):
    text = "motor,started_at,rotor\nHeron,2026-04-12 11:00,R9\nHeron,2026-04-12 12:00,\n"
    put(logbook, text)
    put(logbook, "motor,since,end_bell\nHeron,2026-04-12 11:30,E7\n")
    snapshot = logbook.snapshot()
    built = [parts_text(snapshot, snapshot.row("build", run["build_id"])) for run in rows(logbook, "track_run")]
    assert built == ["S1 R9 E1", "S1 R1 E7"]
    assert counts(put(logbook, text)) == {"same": 2}


def test_lengths_in_inch_temperatures_in_fahrenheit_decimal_commas_and_laps(logbook):
    put(
        logbook,
        "motor;started_at;tyre_diameter_in;ambient_f;finish_reading_f;lap_times_s\n"
        "Heron;2026-04-12;2,46;77;167;15,2 15,45, 15.3\n",
    )
    (run,) = logbook.rows("track_run")
    assert (run["tyre_diameter_mm"], run["ambient_c"], run["finish_reading_c"]) == (62.484, 25.0, 75.0)
    assert run["lap_times_s"] == [15.2, 15.45, 15.3]


# events


def test_the_same_name_within_two_days_is_the_same_event(logbook):
    put(logbook, TRACK)
    described = put(logbook, "event,date,track\nSALTMOUTH,2026-04-11,Harbour hall\n")
    assert (counts(described), described.added["event"]) == ({"added": 1}, [])
    (event,) = logbook.rows("event")
    assert (event["name"], event["date"], event["track"]) == ("Saltmouth", "2026-04-11", "Harbour hall")
    assert counts(put(logbook, "event,date\nSaltmouth,2026-04-13\n")) == {"differs": 1}
    assert counts(put(logbook, "event,date\nSaltmouth,2026-04-14\n")) == {"added": 1}
    assert [row["date"] for row in rows(logbook, "event")] == ["2026-04-11", "2026-04-14"]


def test_one_of_two_events_of_a_name_must_be_told_by_its_date(logbook):
    put(logbook, "event,date\nSaltmouth,2026-04-12\nSaltmouth,2026-05-10\n")
    loaded = put(logbook, TRACK)
    assert set(whys(loaded)) == {
        "names 2 events, Saltmouth 2026-04-12 and Saltmouth 2026-05-10, one of these would be right"
    }
    assert counts(put(logbook, TRACK.replace("Saltmouth", "Saltmouth 2026-04-12"))) == {"added": 3}
    sheets = sheets_of(logbook.snapshot())
    assert ",Saltmouth 2026-04-12," in sheets["track"]
    with Logbook.in_memory(lambda: DAY.now) as other:
        assert not whys(put(other, *sheets.values()))
        assert sheets_of(other.snapshot()) == sheets


def test_an_event_named_with_a_date_begins_then_and_not_in_the_future(logbook):
    put(logbook, "written_at,event,what\n2026-04-01,Saltmouth 2026-04-12,diff oil\n")
    assert [row["date"] for row in logbook.rows("event")] == ["2026-04-12"]
    ahead = put(logbook, "written_at,event,what\n2026-04-01,Saltmouth 2026-12-24,diff oil\n")
    assert "lies ahead of this computer's clock, which says 2026-05-16" in whys(ahead)[0]


# cooling


def cooling(logbook: Logbook, header: str, *cells: str) -> Loaded:
    return put(logbook, f"motor,{header},after_s,temp_c\n" + "".join(f"{row}\n" for row in cells))


def test_a_cooling_row_finds_its_run_by_start_or_by_round(logbook):
    put(logbook, TRACK)
    first = rows(logbook, "track_run")[0]["id"]
    assert counts(cooling(logbook, "started_at", "Heron,2026-04-12 11:20,60,70")) == {"added": 1}
    by_round = cooling(logbook, "event,round_kind,round", "heron,saltmouth,qualifier,1,300,52")
    assert counts(by_round) == {"added": 1}
    assert {row["track_run_id"] for row in logbook.rows("cooling")} == {first}
    assert counts(cooling(logbook, "started_at", "Plover,2026-04-12,60,70")) == {"added": 1}, "one run that day"
    assert counts(cooling(logbook, "started_at", "Heron,2026-04-12 11:20,60,70")) == {"same": 1}
    assert counts(cooling(logbook, "started_at", "Heron,2026-04-12 11:20,60,71")) == {"differs": 1}


def test_a_cooling_row_that_fits_two_runs_or_none(logbook):
    put(logbook, TRACK)
    two = cooling(logbook, "event,round_kind", "Heron,Saltmouth,qualifier,60,70")
    assert problem_words(two) == [
        '0.csv line 2: motor "Heron" has 2 track runs that fit, Heron 2026-04-12 11:20 (Saltmouth qualifier 1) and '
        "Heron 2026-04-12 13:05 (Saltmouth qualifier 2), started_at, or event, round_kind and round, of one would be "
        "right."
    ]
    assert len(whys(cooling(logbook, "started_at", "Heron,2026-04-12,60,70"))) == 1
    assert "has no track run that fits" in whys(cooling(logbook, "started_at", "Heron,2026-04-13,60,70"))[0]
    assert "says of no track run" in whys(cooling(logbook, "round", "Heron,1,60,70"))[0]
    assert not logbook.rows("cooling")


def test_two_runs_of_one_start_keep_their_own_readings(logbook):
    (heron,) = (row for row in logbook.rows("motor") if row["name"] == "Heron")
    build = next(row["id"] for row in logbook.rows("build") if row["motor_id"] == heron["id"])
    typed = {"motor_id": heron["id"], "build_id": build, "started_at": "2026-04-12"}
    runs = [TrackRun(id="a", **typed), TrackRun(id="b", place=1, **typed)]
    readings = [Cooling(id=f"c{i}", track_run_id=run.id, after_s=60, temp_c=70) for i, run in enumerate(runs)]
    logbook.save("typed", [*runs, *readings, Cooling(id="c9", track_run_id="a", after_s=60, temp_c=70)])
    sheets = sheets_of(logbook.snapshot())
    with Logbook.in_memory(lambda: DAY.now) as other:
        put(other, *sheets.values())
        assert sheets_of(other.snapshot()) == sheets
        assert [row["track_run_id"] for row in sorted(other.rows("cooling"), key=lambda r: r["id"])] == ["a", "b", "a"]


# setup log and gears


def test_setup_entries_are_known_by_time_motor_and_what(logbook):
    text = "written_at,event,car,motor,what,was,now,outcome\n2026-04-12 12:00,Saltmouth,No. 4,Heron,spring,soft,hard,\n"
    assert counts(put(logbook, text)) == {"added": 1}
    assert counts(put(logbook, text)) == {"same": 1}
    assert counts(put(logbook, text.replace("hard,", "hard,better"))) == {"differs": 1}
    assert counts(put(logbook, text.replace(",Heron,", ",,"))) == {"added": 1}


def test_every_whole_diametral_pitch_goes_out_as_it_came_in(logbook):
    """25.4 ÷ DP is the module: definition, ISO 54. 127 DP is module 0.2, which is written as that."""
    pitches = range(128, 16, -1)
    put(logbook, "kind,teeth,dp\n" + "".join(f"pinion,30,{dp}\n" for dp in pitches))
    lines = [line.split(",")[3:5] for line in sheets_of(logbook.snapshot())["gears"].splitlines()[1:]]
    assert lines == [["0.2", ""] if dp == 127 else ["", str(dp)] for dp in pitches]
    kept = sorted(gear["module"] for gear in logbook.rows("gear"))
    assert kept == pytest.approx([25.4 / dp for dp in pitches], abs=6e-7)


def test_gears_are_known_by_kind_teeth_and_pitch(logbook):
    text = "kind,teeth,module,dp\nPinion,30,,48\nspur,93,0.5,\n"
    assert counts(put(logbook, text)) == {"added": 2}
    assert counts(put(logbook, text)) == {"same": 2}
    assert counts(put(logbook, "kind,teeth,module,dp\npinion,30,0.53,48\n")) == {"same": 1}
    wrong = "kind,teeth,module,dp\npinion,30,0.5,48\npinion,30,,\nrack,30,1,\npinion,,1,\n"
    assert whys(put(logbook, wrong)) == [
        "is not the pitch that dp 48 is, one of the two would be right",
        "says no pitch, module or dp would be right",
        "must be pinion or spur",
        "is empty, a number like 34 would be right",
    ]


def test_what_bears_an_id_of_its_own_is_never_taken_for_another_of_the_same_sheet():
    gears = [Gear(id=each, kind="pinion", teeth=30, module=0.5) for each in ("a", "b")]
    events = [Event(id=each, name="Saltmouth", date=date) for each, date in (("c", "2026-04-12"), ("d", "2026-04-13"))]
    entries = [SetupEntry(id=each, written_at="2026-04-12", what="camber", now=each) for each in ("e", "f")]
    with Logbook.in_memory(lambda: DAY.now) as logbook, Logbook.in_memory(lambda: DAY.now) as other:
        logbook.save("typed", [*gears, *events, *entries])
        sheets = sheets_of(logbook.snapshot())
        put(other, *sheets.values())
        assert sheets_of(other.snapshot()) == sheets
        assert not [
            each for loaded in (put(logbook, *sheets.values()),) for each in loaded.reports if each.counts["added"]
        ]


# suspects


def test_suspects_of_a_track_run_are_stored_marked_and_listed(logbook):
    text = TRACK.replace(",30,93,71", ",93,30,165")
    loaded = put(logbook, text)
    assert doubts(loaded) == [
        "Pinion 93: larger than the spur, 30. The two swapped?",
        "Spur 30: smaller than the pinion, 93. The two swapped?",
        "Finish reading 165: 5 to 120 °C is usual. °F, which is 73.9 °C?",
    ]
    assert [(s.likely_cause, s.suggested) for s in loaded.answer.suspects] == [
        ("the two swapped", 30.0),
        ("the two swapped", 93.0),
        ("°F, which is 73.9 °C", 73.9),
    ]
    assert all(s.chance is not None and 0.5 < s.chance <= 1 for s in loaded.answer.suspects)
    run = rows(logbook, "track_run")[0]
    assert (run["finish_reading_c"], run["waits"]) == (165.0, ["pinion", "finish_reading_c"])
    assert doubts(put(logbook, text)) == []


def test_what_was_written_in_fahrenheit_is_not_offered_as_fahrenheit(logbook):
    loaded = put(logbook, "motor,started_at,finish_reading_f,esc_temp_c\nHeron,2026-04-12,260,260F\n")
    said = [sentence.split(": ")[1] for sentence in doubts(loaded)]
    assert [each.partition(".")[0] for each in said] == ["5 to 120 °C is usual", "-5 to 120 °C is usual"]
    assert not any("°F" in each for each in said)


@pytest.mark.parametrize(
    ("column", "value", "why"),
    [
        ("ambient_c", "77", "is not possible, -30 to 70 °C would be, or 77F if it is °F"),
        ("tyre_diameter_mm", "2.46", "is not possible, 5 to 500 mm would be, or 2.46in if it is inch"),
        ("finish_reading_after_s", "-20", "is not possible, 0 to 86400 s would be"),
        ("run_time_s", "-303", "is not possible, 1 to 86400 s would be"),
        ("round_kind", "heat", "must be practice, qualifier or main"),
        ("lap_times_s", "15.2 fast", "is no number, write one like 27"),
        ("started_at", "2026-06-01", "lies ahead of this computer's clock, which says 2026-05-16 14:02"),
    ],
)
def test_what_a_track_row_may_not_say(logbook, column, value, why):
    cells = {"motor": "Heron", "started_at": "2026-04-12", column: value}
    assert whys(put(logbook, f"{','.join(cells)}\n{','.join(cells.values())}\n")) == [why]
    assert not logbook.rows("track_run")


def test_setup_entries_of_a_motor_in_the_bin_are_exported_without_it(logbook):
    motor = Motor(name="Whio")
    logbook.save("typed", [motor, SetupEntry(id="e", written_at="2026-04-12", what="fan", motor_id=motor.id)])
    logbook.journal.bin("gone", [("motor", motor.id)])
    assert sheets_of(logbook.snapshot())["setup"].splitlines()[1] == "e,2026-04-12,,,,,fan,,,,"


def test_ten_thousand_rows_are_not_looked_through_for_each_other(logbook):
    from tests.unit.desk.test_load import _calls

    calls = []
    for count in (100, 1000):
        made = "".join(
            f"Heron,2025-{1 + i // 28 % 12:02}-{1 + i % 28:02} {i % 24:02}:00,Saltmouth\n" for i in range(count)
        )
        read = [f"Heron,2025-{1 + i // 28 % 12:02}-{1 + i % 28:02} {i % 24:02}:00,60,70\n" for i in range(0, count, 20)]
        texts = [f"motor,started_at,event\n{made}", "motor,started_at,after_s,temp_c\n" + "".join(read)]
        files = [read_sheet_text(f"{place}.csv", text, DAY) for place, text in enumerate(texts)]
        calls.append(_calls(load_files, logbook, files))
    assert calls[1] < 13 * calls[0]
