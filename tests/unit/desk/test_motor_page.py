"""One motor whole: sessions, builds, trends, and how it stands."""

from dataclasses import replace

import pytest

from pitbench.desk.answers import NotRanked
from pitbench.desk.comparing.ranking import compare, rank
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.lists.motor_lines import BEFORE_THE_BENCH, NO_RUN_YET, NoteLine, SessionLine, TrackLine
from pitbench.desk.lists.motor_page import ShortOf, motor_answer
from pitbench.figures.intervals import Interval
from pitbench.figures.pace import Against
from pitbench.records.models import Build, SetupEntry
from pitbench.words.motors import motor_title, pace_words, page_words, standing_words
from pitbench.words.wear import too_early_words
from tests.unit.desk.bench_side import two_motors
from tests.unit.desk.by_hand import FIGURES, NOW, add_motor, add_run, edit_motor, new_book, put_run
from tests.unit.desk.race_days import RaceDays
from tests.unit.desk.test_pace import race_in_turn


@pytest.fixture
def book():
    return new_book()


@pytest.fixture
def heron(book):
    return add_motor(book, stator="S4", rotor="R2", end_bell="E1", turns="13.5", check_motor="yes")


def page(book, motor_id, ranked=None):
    return motor_answer(book.snapshot(), motor_id, ranked, NOW)


def lines(answer):
    return [answer.lines.line(place) for place in range(len(answer.lines))]


def sittings(answer):
    return [line for line in lines(answer) if isinstance(line, SessionLine)]


def test_a_motor_that_is_gone_has_no_page(book, heron):
    put_in_bin(book, heron)
    assert page(book, heron) is None and page(book, "nobody") is None


def test_a_motor_without_a_run(book, heron):
    answer = page(book, heron)
    assert motor_title(answer, NOW) == "Heron   13.5T   S4 R2 E1   check motor"
    assert page_words(answer, NOW) == ["Not on the bench yet. b logs its first run."]
    assert (lines(answer), answer.trends, standing_words(answer), answer.corrected, answer.raced) == (
        [],
        [],
        "",
        False,
        None,
    )
    assert motor_title(page(book, add_motor(book, "Plover")), NOW) == "Plover   its own parts"


def test_sessions_newest_first_with_their_means(book, heron):
    def run(taken_at, kv, amps, **more):
        return put_run(book, heron, taken_at=taken_at, kv_rpm_per_v=kv, no_load_current_a=amps, **more)

    sensors = {"timing_a_deg": 42.4, "timing_b_deg": 41.9, "timing_c_deg": 42.0}
    run("2026-05-10T10:00", 3948, 4.0, resistance_mohm=11.2, **sensors)
    run("2026-05-10T10:30", 3952, 4.2, timing_deg=41.1)
    run("2026-05-10T10:45", 5000, 9.0, excluded_why="loose lead")
    run("2026-05-17T09:00", 3960, 4.1)
    today, before = sittings(page(book, heron))
    assert (today.day, today.when, today.runs, today.left_out, today.kv) == ("2026-05-17", "today", 1, 0, 3960)
    assert (before.when, before.runs, before.left_out) == ("10 May", 3, 1)
    assert (before.kv, before.current, before.resistance) == (3950, pytest.approx(4.1), 11.2)
    assert (before.timing, before.spread) == (pytest.approx((42.1 + 41.1) / 2), pytest.approx(0.5))
    # KV 3948 and 3952 at 0.2 %: s² = (3·7.9² + 8)/4 = 48.81; ± 2.1318·√(48.81/2) = 10.53
    assert before.kv_pm == pytest.approx(10.53, abs=0.01)
    assert today.timing is None and today.spread is None and today.resistance is None
    assert page_words(page(book, heron), NOW) == [
        "4 bench runs on 2 days, last today 09:00. 1 left out of every figure.",
    ]


def test_a_session_of_runs_left_out_has_no_figures(book, heron):
    put_run(book, heron, kv_rpm_per_v=3950, excluded_why="loose lead")
    (session,) = sittings(page(book, heron))
    assert (session.kv, session.kv_pm, session.current, session.runs, session.left_out) == (None, None, None, 1, 1)


def test_runs_at_another_voltage_are_never_averaged_in(book, heron):
    put_run(book, heron, taken_at="2026-05-10T10:00", test_voltage_v=3.7, no_load_current_a=4.0, kv_rpm_per_v=3950)
    put_run(book, heron, taken_at="2026-05-10T10:10", test_voltage_v=7.4, no_load_current_a=6.4, kv_rpm_per_v=3900)
    put_run(book, heron, taken_at="2026-05-10T10:20", test_voltage_v=3.75, no_load_current_a=4.2, kv_rpm_per_v=3954)
    answer = page(book, heron)
    (session,) = sittings(answer)
    assert (session.current, session.kv, session.runs) == (pytest.approx(4.1), 3952, 3)


def test_kv_is_brought_to_25_degrees_when_every_run_has_a_temperature_else_none(book, heron):
    add_run(book, **FIGURES)
    answer = page(book, heron)
    assert answer.corrected and sittings(answer)[0].kv == pytest.approx(3936.43, abs=0.01)  # 3953·exp(−0.0007·6)
    put_run(book, heron, taken_at="2026-05-17T14:00", kv_rpm_per_v=3953)
    answer = page(book, heron)
    assert not answer.corrected and sittings(answer)[0].kv == 3953


def test_a_winding_reading_alone_changes_nothing_of_how_kv_is_told(book, heron):
    put_run(book, heron, kv_rpm_per_v=3950.0, motor_temp_c=31.0)
    put_run(book, heron, taken_at="2026-05-12T10:00", resistance_mohm=11.6)
    assert page(book, heron).corrected
    put_run(book, heron, taken_at="2026-05-13T10:00", kv_rpm_per_v=3950.0)
    assert not page(book, heron).corrected


def test_a_named_session_and_another_tester_are_lines_of_their_own(book, heron):
    for minute, more in ((0, {}), (5, {"session": "one"}), (10, {"tester": "other box"})):
        put_run(book, heron, taken_at=f"2026-05-10T10:{minute:02d}", kv_rpm_per_v=3950, **more)
    assert len(sittings(page(book, heron))) == 3


def test_a_run_of_another_motor_joins_a_session(book, heron):
    plover = add_motor(book, "Plover")
    for motor_id, clock in ((heron, "10:00"), (plover, "11:30"), (heron, "13:00")):
        put_run(book, motor_id, taken_at=f"2026-05-10T{clock}", kv_rpm_per_v=3950)
    assert [session.runs for session in sittings(page(book, heron))] == [2]


def test_a_swap_stands_under_the_first_session_after_it(book, heron):
    for day in ("2026-05-01", "2026-05-10", "2026-05-12"):
        put_run(book, heron, taken_at=f"{day}T10:00", kv_rpm_per_v=3950)
    edit_motor(book, heron, rotor="R5", since="2026-05-03")
    answer = page(book, heron)
    told = [line.when if isinstance(line, SessionLine) else line.text for line in lines(answer)]
    assert told == ["12 May", "10 May", "3 May: rotor R2 to R5", "1 May"]
    assert motor_title(answer, NOW).startswith("Heron   13.5T   S4 R5 E1 since 3 May")


def test_the_word_that_resistance_is_missing(book, heron):
    put_run(book, heron, kv_rpm_per_v=3950)
    assert "winding resistance was never measured" in page_words(page(book, heron), NOW)[0]
    edit_motor(book, heron, resistance_mohm="11.2")
    assert page_words(page(book, heron), NOW) == ["1 bench run on 1 day, last 10 May 10:00."]


def test_too_early_says_what_is_missing(book, heron):
    assert page(book, heron).short_of == ShortOf(4, raced=False)
    both = {"kv_rpm_per_v": 3950, "no_load_current_a": 4.0}
    for day in ("01", "02", "03"):
        put_run(book, heron, taken_at=f"2026-05-{day}T10:00", **both)
    put_run(book, heron, taken_at="2026-05-03T10:05", **both)
    put_run(book, heron, taken_at="2026-05-08T10:00", kv_rpm_per_v=3950)
    found = page(book, heron)
    assert found.short_of == ShortOf(1, raced=False) and found.trends == []
    assert too_early_words(found.short_of) == "too early to say: 1 more bench session needed, raced between"
    put_run(book, heron, taken_at="2026-05-09T10:00", **both)
    assert "not raced between" in too_early_words(page(book, heron).short_of)


def test_how_it_stands_in_its_class():
    bench = two_motors()
    answer = rank(bench.logbook.snapshot(), None, "heat")
    first, second = answer.motors

    def stands(ranked, name):
        return standing_words(page(bench.logbook, bench.motors[name].id, ranked))

    answer = replace(answer, verdict="leaning", motors=[replace(first, chance_best=0.82), second])
    assert stands(answer, first.motor) == "leads, leaning: 82 in 100"
    assert stands(answer, second.motor) == f"place 2 of 2: {100 * second.chance_best:.0f} in 100 to be the best"
    out = replace(answer, motors=[first], not_ranked=[NotRanked(second.motor, "new_build")])
    assert stands(out, second.motor) == "not ranked: rebuilt since its last bench run"
    assert stands(replace(answer, motors=[first], verdict=None), first.motor) == ""
    assert stands(None, first.motor) == ""


# the track


def raced():
    """Heron and Plover on the bench on 11 April, raced on 12 April and 16 May; Heron once more on the bench between."""
    days = RaceDays("Heron", "Plover")
    days.early = days.race("Heron", "2026-04-12T10:00", 14.0, event="Oyster Dock", round_kind="main")
    days.run("Heron", "2026-05-10T18:00", kv_rpm_per_v=3925.0, test_voltage_v=3.7)
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1})
    days.late = days.race(
        "Heron",
        "2026-05-17T09:00",
        event="",
        track="Salt flats",
        round_kind="qualifier",
        round="2",
        timing_mark_deg=35.0,
        laps=22.0,
        run_time_s=303.4,
        ambient_c=24.0,
        finish_reading_c=68.0,
        finish_reading_after_s=60.0,
        result="third",
    )
    return days


def raced_page(days):
    snapshot = days.logbook.snapshot()
    compared = compare(snapshot)
    return motor_answer(
        snapshot, days.motors["Heron"].id, compared.answer(), NOW, compared.warmth_slope, compared.track
    )


def test_under_a_session_stand_the_runs_made_before_the_next_one():
    days = raced()
    days.logbook.save("early", [days.race("Heron", "2026-03-01", 15.0, event="Winter")])
    told = lines(raced_page(days))
    assert [line.when for line in told if isinstance(line, SessionLine)] == ["10 May", "11 Apr"]
    at = {line.when: place for place, line in enumerate(told) if not isinstance(line, NoteLine)}
    assert (
        at["10 May"] < at["today 09:00"] < at["16 May 16:00"] < at["16 May 09:10"] < at["11 Apr"] < at["12 Apr 10:00"]
    )
    assert [line.text for line in told if isinstance(line, NoteLine)] == [BEFORE_THE_BENCH]
    assert told[-1].when == "1 Mar" and told[-2].text == BEFORE_THE_BENCH


def test_what_a_track_run_comes_to():
    days = raced()
    line = next(line for line in lines(raced_page(days)) if isinstance(line, TrackLine))
    assert (line.day, line.when, line.what, line.mark) == ("2026-05-17", "today 09:00", "Salt flats, qualifier 2", "")
    # π · 62.5 mm ÷ (72 / 30 · 1.9)
    assert line.rollout_mm == pytest.approx(43.06, abs=0.01) and line.timing_mark_deg == 35
    assert line.finish_c == pytest.approx(68.0, abs=0.1)  # read at one minute
    assert line.pace is None  # nothing beside it that day
    assert line.laps == "5:03  22  third"


def test_pace_stands_against_the_day_and_a_finish_is_brought_to_one_minute():
    days = raced()
    days.race(
        "Heron",
        "2026-05-16T18:00",
        13.86,
        run_time_s=300.0,
        ambient_c=24.0,
        finish_reading_c=66.0,
        finish_reading_after_s=240.0,
    )
    line = next(line for line in lines(raced_page(days)) if isinstance(line, TrackLine) and line.when == "16 May 18:00")
    assert -0.25 < line.pace.seconds.mean < -0.1
    # three minutes earlier, with eight minutes to cool to 1/e: 42 K over ambient was 42·e^(3/8) = 61 K
    assert line.finish_c == pytest.approx(24 + 61, abs=5)


def test_a_run_with_an_incident_or_left_out_is_marked_and_has_no_pace():
    days = raced()
    days.race("Heron", "2026-05-16T18:00", 19.0, incident="lost a wheel")
    days.race("Heron", "2026-05-16T18:10", 19.0, excluded_why="wrong tyres")
    marks = {line.mark: line.pace for line in lines(raced_page(days)) if isinstance(line, TrackLine) and line.mark}
    assert marks == {"lost a wheel": None, "out: wrong tyres": None}


def test_without_the_ranking_bench_and_gears_stand_already():
    days = raced()
    answer = motor_answer(days.logbook.snapshot(), days.motors["Heron"].id, None, NOW)
    line = next(line for line in lines(answer) if isinstance(line, TrackLine))
    assert line.rollout_mm and (line.finish_c, line.pace) == (None, None) and answer.raced


def test_changes_of_this_motor_and_builds_stand_in_their_place():
    days = raced()
    entry = SetupEntry(
        motor_id=days.motors["Heron"].id,
        written_at="2026-05-16T17:00",
        what="pinion",
        was="30",
        now="31",
        outcome="hot",
    )
    other = SetupEntry(motor_id=days.motors["Plover"].id, written_at="2026-05-16T17:00", what="pinion", now="29")
    built = Build(motor_id=days.motors["Heron"].id, since="2026-05-17")
    days.logbook.save("changes", [entry, other, built])
    told = lines(raced_page(days))
    built = next(place for place, line in enumerate(told) if getattr(line, "text", "").startswith("today: "))
    assert told[built - 1].when == "today 09:00"  # the part was in it from the beginning of that day
    change = told.index(NoteLine("16 May 17:00  pinion 30 to 31: hot"))
    assert change > built and told[change + 1].when == "16 May 16:00"
    assert not any("29" in line.text for line in told if isinstance(line, NoteLine))


def test_a_session_without_a_run_after_it_says_so():
    days = RaceDays("Heron")
    days.race("Heron", "2026-04-01T10:00", 14.0)
    assert [getattr(line, "text", "") for line in lines(raced_page(days))] == ["", NO_RUN_YET, BEFORE_THE_BENCH, ""]


def test_the_words_on_the_track():
    said = page_words(raced_page(raced()), NOW)[1]
    assert said.startswith("10 track runs, last today 09:00: Salt flats, qualifier 2. It laps 0.0")
    assert " s under the mean of the motors run beside it, by 0.0" in said
    assert page(new_book(), "nobody") is None


@pytest.mark.parametrize(
    ("interval", "words"),
    [
        (Interval(-0.05, -0.08, -0.02), "It laps 0.05 s under the mean of the motors run beside it, by 0.02 to 0.08."),
        (Interval(0.05, 0.02, 0.08), "It laps 0.05 s over the mean of the motors run beside it, by 0.02 to 0.08."),
        (
            Interval(0.05, -0.01, 0.11),
            "Its pace cannot be told from the mean of the motors run beside it: between -0.01 and +0.11 s a lap.",
        ),
    ],
)
def test_pace_in_words(interval, words):
    assert pace_words(Against(interval, interval)) == words


def test_a_page_asked_before_the_newest_run_was_ranked_still_shows_it():
    days = raced()
    before = compare(days.logbook.snapshot())
    days.run("Heron", "2026-05-17T12:00", kv_rpm_per_v=3930.0)
    answer = motor_answer(days.logbook.snapshot(), days.motors["Heron"].id, before.answer(), NOW, before)
    assert sittings(answer)[0].when == "today"
