"""Points in time as people type them. The reader never looks at the clock; `now` is passed in."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.stamps import UnreadableTime, moment, read_stamp, shown_stamp, stamp_of, time_key

NOW = datetime(2026, 5, 16, 14, 2)
WHENS = st.datetimes(datetime(1970, 1, 1), NOW + timedelta(hours=24)).map(lambda when: when.replace(microsecond=0))


@given(WHENS)
def test_a_stamp_is_read_again_as_stored_and_as_shown(when):
    for stamp in (stamp_of(when), stamp_of(when, seconds=True), when.date().isoformat()):
        assert read_stamp(stamp, NOW) == stamp
        assert read_stamp(shown_stamp(stamp), NOW) == stamp
        assert read_stamp(f"  {stamp} ", NOW, day_first=False) == stamp
    assert moment(stamp_of(when, seconds=True)) == when


@given(WHENS)
def test_numbers_of_a_day_in_either_order(when):
    stamp = stamp_of(when)
    assert read_stamp(f"{when:%d.%m.%Y %H:%M}", NOW) == stamp
    assert read_stamp(f"{when:%m/%d/%Y %H:%M}", NOW, day_first=False) == stamp


@given(WHENS)
def test_a_day_with_the_year_first_and_a_clock_of_twelve_hours(when):
    stamp = stamp_of(when)
    for day in (f"{when:%Y/%m/%d}", f"{when:%Y.%m.%d}", f"{when:%d.%m.%Y}"):
        assert read_stamp(f"{day} {when:%I:%M %p}", NOW) == stamp
        assert read_stamp(f"{day} {when:%I:%M}{'p.m.' if when.hour >= 12 else 'a.m.'}", NOW) == stamp


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("13:05 pm", "has no such time of day"),
        ("0:05 am", "has no such time of day"),
        ("2026/04-12", "is no point in time"),
        ("3/14/2026 18:00", "is no day of the calendar, the day is read first (Settings tell which), 2026-03-14 would"),
        ("3/32/2026", "is no day of the calendar, 2026-04-12 14:02"),
        ("2026-02-30", "is no day of the calendar, 2026-04-12 14:02"),
    ],
)
def test_what_is_no_time_says_what_would_be_right(text, right):
    with pytest.raises(UnreadableTime) as why:
        read_stamp(text, NOW)
    assert str(why.value).startswith(right)


@pytest.mark.parametrize("text", ["0001-01-01 14:02", "1.1.0001 9:10", "0001-01-01", "0044-03-15 12:00:30"])
def test_a_time_of_the_first_centuries_is_too_long_ago(text):
    with pytest.raises(UnreadableTime, match=r"^is too long ago, 2026-04-12 14:02"):
        read_stamp(text, NOW)


@given(st.lists(WHENS, min_size=2, max_size=2))
def test_stamps_sort_as_text(whens):
    first, second = sorted(whens)
    assert stamp_of(first, seconds=True) <= stamp_of(second, seconds=True)
    assert time_key(stamp_of(first, seconds=True)) <= time_key(stamp_of(second, seconds=True))


@given(
    st.one_of(
        st.text(max_size=20),
        st.text("0123456789-:./T +Z,", max_size=20),
        st.text("0123456789 abcdefgjlmnoprstuvyTW-:", max_size=16),
    ),
    st.booleans(),
)
def test_any_text_is_read_or_refused_in_one_clause(text, day_first):
    try:
        stamp = read_stamp(text, NOW, day_first)
    except UnreadableTime as why:
        assert str(why).startswith(("is ", "has ", "lies "))
        assert "\n" not in str(why)
    else:
        assert moment(stamp) <= NOW + timedelta(hours=24)
        assert read_stamp(stamp, NOW) == stamp


@pytest.mark.parametrize(
    ("text", "stamp"),
    [
        ("2026-04-12", "2026-04-12"),
        ("2026-04-12 14:02:30", "2026-04-12T14:02:30"),
        ("today 9:10", "2026-05-16T09:10"),
        ("yesterday", "2026-05-15"),
        ("9:10", "2026-05-16T09:10"),
        ("7 Mar", "2026-03-07"),
        ("Mar 7 2025", "2025-03-07"),
        ("7/3", "2026-03-07"),
        ("7 Dec", "2025-12-07"),  # without a year the latest one that is not ahead
        ("29 Feb", "2024-02-29"),
        ("2 min ago", "2026-05-16T14:00"),
    ],
)
def test_ways_of_writing(text, stamp):
    assert read_stamp(text, NOW) == stamp


def test_an_offset_is_converted_once_to_the_wall_clock_of_this_computer():
    given_utc = read_stamp("2026-04-12T12:00+00:00", NOW)
    assert given_utc == stamp_of(datetime.fromisoformat("2026-04-12T12:00+00:00").astimezone())
    assert read_stamp("2026-04-12T14:00+02:00", NOW) == given_utc == read_stamp("2026-04-12T12:00Z", NOW)


@pytest.mark.parametrize("text", ["2026-05-18", "2026-05-17 14:03", "18.5.2026 9:00"])
def test_more_than_a_day_ahead_names_the_computers_date(text):
    with pytest.raises(UnreadableTime, match="which says 2026-05-16 14:02"):
        read_stamp(text, NOW)


@pytest.mark.parametrize(
    "text",
    ["", "soon", "2026-02-30", "31.6.2025", "2026-04-12 25:00", "0001-01-01", "12.13.2025", f"{'9' * 5000} min ago"],
)
def test_what_is_refused_says_what_would_be_right(text):
    with pytest.raises(UnreadableTime, match="would be right"):
        read_stamp(text, NOW)


@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1)), st.integers(0, 22 * 60 + 59))
def test_a_time_of_day_is_the_last_one_unless_the_clock_may_be_off(now, minutes_ago):
    """23:50 typed at ten past twelve is yesterday's."""
    when = now.replace(second=0, microsecond=0) - timedelta(minutes=minutes_ago)
    assert read_stamp(f"{when:%H:%M}", now) == stamp_of(when)
    soon = now.replace(second=0, microsecond=0) + timedelta(minutes=59)
    if soon.date() == now.date():
        assert read_stamp(f"{soon:%H:%M}", now) == stamp_of(soon), "a clock that is an hour slow"
