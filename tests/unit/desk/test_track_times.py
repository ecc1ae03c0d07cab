"""When a run was. Oracle: the standard library's datetime arithmetic."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.track_times import (
    TrackTime,
    read_track_time,
    settled,
    started_text,
    still_running,
)
from pitbench.desk.track_figures import finished_at
from pitbench.records.stamps import UnreadableTime, moment, stamp_of

NOW = datetime(2026, 5, 17, 14, 2, 10)


@pytest.mark.parametrize(
    ("text", "started", "finished"),
    [
        ("just finished", None, "2026-05-17T14:02:10"),
        ("now", None, "2026-05-17T14:02:10"),
        ("2 min ago", None, "2026-05-17T14:00:10"),
        ("90 s ago", None, "2026-05-17T14:00:40"),
        ("finished 2 min ago", None, "2026-05-17T14:00:10"),
        ("13:41", None, "2026-05-17T13:41"),
        ("yesterday 13:41", None, "2026-05-16T13:41"),
        ("12 Apr", None, "2026-04-12"),
        ("started 13:36", "2026-05-17T13:36", None),
        ("START 12 Apr 13:36", "2026-04-12T13:36", None),
        ("started 13:36 to 13:41:30", "2026-05-17T13:36", "2026-05-17T13:41:30"),
        ("12 Apr 13:36 to 13:41", "2026-04-12T13:36", "2026-04-12T13:41"),
    ],
)
def test_what_racers_say(text, started, finished):
    assert read_track_time(text, NOW) == TrackTime(started, finished)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("14:10", "is still to come, this computer's clock says 2026-05-17 14:02"),
        ("started 15:00", "is still to come, this computer's clock says 2026-05-17 14:02"),
        ("13:41 to 13:36", "ends at 2026-05-17 13:36, before it starts at 2026-05-17 13:41"),
        ("noonish", "is no point in time"),
        ("", "is empty, just finished, 2 min ago, 13:41 or started 13:36 would be right"),
    ],
)
def test_what_cannot_be_gets_one_clear_clause(text, why):
    with pytest.raises(UnreadableTime) as refused:
        read_track_time(text, NOW)
    assert str(refused.value).startswith(why)


@given(st.integers(0, 86_399), st.integers(1, 3600))
def test_the_start_is_the_finish_less_the_run_time(back, run_time):
    finish = NOW - timedelta(seconds=back)
    time = TrackTime(finished=stamp_of(finish, seconds=True))
    assert moment(time.start(run_time)) == finish - timedelta(seconds=run_time)
    assert TrackTime(started=time.start(run_time)).finish(run_time) == finish
    assert time.start(None) == time.finished


@given(st.floats(1, 4000))
def test_a_run_ends_when_its_end_was_typed_whatever_part_of_a_second_it_took(run_time):
    """305.5 s before 11:05 and 305.5 s on is 11:05, not 11:04:59.5."""
    time = TrackTime(finished="2026-05-17T11:05")
    run = {"started_at": time.start(run_time), "run_time_s": run_time}
    assert finished_at(run) == time.finish(run_time) == moment("2026-05-17T11:05")
    assert TrackTime(started=run["started_at"]).finish(run_time) == finished_at(run)


def test_start_and_finish_give_the_run_time():
    assert read_track_time("13:36 to 13:41:30", NOW).length_s() == 330
    assert read_track_time("13:41", NOW).length_s() is None


def test_a_day_alone_has_no_finish_to_count_from():
    time = read_track_time("12 Apr", NOW)
    assert time.finish(303) is None and time.start(303) == "2026-04-12"


def test_a_run_that_would_not_be_over_yet():
    assert still_running(TrackTime(started="2026-05-17T14:00"), 303, NOW) == (
        "would end at 14:05, which is still to come: this computer's clock says 14:02"
    )
    assert still_running(TrackTime(started="2026-05-17T13:57"), 303, NOW) is None
    assert still_running(TrackTime(started="2026-05-17T14:00"), None, NOW) is None


@given(st.sampled_from(["just finished", "now", "2 min ago", "started 9 min ago", "13:41", "nonsense", ""]))
def test_settled_means_the_same_a_minute_later(text):
    later = NOW + timedelta(minutes=1)
    try:
        meant = read_track_time(text, NOW)
    except UnreadableTime:
        assert settled(text, NOW) == text
    else:
        assert read_track_time(settled(text, NOW), later) == meant


def test_settled_over_midnight_keeps_its_day():
    midnight = datetime(2026, 5, 18, 0, 1)
    assert settled("5 min ago", midnight) == "2026-05-17 23:56:00"


@given(st.datetimes(datetime(2000, 1, 1), NOW).map(lambda when: when.replace(microsecond=0)))
def test_a_stored_start_is_read_again(when):
    for seconds in (False, True):
        stamp = stamp_of(when, seconds)
        assert read_track_time(started_text(stamp), NOW) == TrackTime(started=stamp)


AFTER_MIDNIGHT = datetime(2026, 5, 18, 0, 10)


@pytest.mark.parametrize(
    ("text", "started", "finished"),
    [
        ("23:50 to 0:05", "2026-05-17T23:50", "2026-05-18T00:05"),
        ("23:50:30 to 0:05:10", "2026-05-17T23:50:30", "2026-05-18T00:05:10"),
        ("17 May 23:50 to 0:05", "2026-05-17T23:50", "2026-05-18T00:05"),
        ("started 23:50", "2026-05-17T23:50", None),
        ("23:58", None, "2026-05-17T23:58"),
        ("0:05", None, "2026-05-18T00:05"),
    ],
)
def test_a_run_across_midnight_needs_no_dates(text, started, finished):
    assert read_track_time(text, AFTER_MIDNIGHT) == TrackTime(started, finished)


@given(st.datetimes(datetime(2026, 5, 17, 22), datetime(2026, 5, 18, 4)), st.integers(1, 5 * 3600))
def test_start_and_finish_without_dates_are_those_of_the_last_night(finish, length_s):
    finish = finish.replace(microsecond=0)
    started, now = finish - timedelta(seconds=length_s), finish + timedelta(minutes=3)
    time = read_track_time(f"{started:%H:%M:%S} to {finish:%H:%M:%S}", now)
    assert (moment(time.started), moment(time.finished)) == (started, finish)


def test_a_finish_before_its_start_is_no_night_of_a_whole_day():
    for text in ("12 May 14:00 to 13:30", "22:00 to 21:00", "12 May 1:00 to 0:59"):
        with pytest.raises(UnreadableTime, match="before it starts"):
            read_track_time(text, NOW)
