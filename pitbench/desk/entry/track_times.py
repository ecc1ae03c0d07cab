"""When a track run was, as a racer says it: `just finished`, `2 min ago`, `13:41`, `started 13:36`, `13:36 to 13:41`.

A time alone is the finish: that is when somebody sits down to type. Dates and times of day are read by `stamps`.
"""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from pitbench.desk.track_figures import ran_for
from pitbench.records.laps import time_text
from pitbench.records.stamps import UnreadableTime, friendly, moment, read_stamp, shown_stamp, stamp_of

JUST_FINISHED = "just finished"
_FORMS = "just finished, 2 min ago, 13:41 or started 13:36 would be right"
_SAID = re.compile(r"^(started|start|finished|finish|ended|just finished)\b:? *", re.IGNORECASE)
COUNTED_S = 2 * 3600
"""A can is cool by then: how long ago the finish was tells no more."""
NIGHT = timedelta(hours=12)
"""So long a run across midnight may be for its finish to need no date."""
_SLACK = timedelta(minutes=1)
"""A clock that is a minute off the lap counter's is no error."""


@dataclass(frozen=True)
class TrackTime:
    """Start and finish as stamps, as far as they were said; at least one stands."""

    started: str | None = None
    finished: str | None = None

    def finish(self, run_time_s: float | None) -> datetime | None:
        """When the run ended; None while that cannot be known, or only its day is."""
        if self.finished is not None:
            return moment(self.finished) if "T" in self.finished else None
        if self.started is None or run_time_s is None or "T" not in self.started:
            return None
        return moment(self.started) + ran_for(run_time_s)

    def start(self, run_time_s: float | None) -> str:
        """The stamp to store; without a run time the finish stands for it."""
        if self.started is not None:
            return self.started
        assert self.finished is not None
        finish = self.finish(run_time_s)
        if finish is None or run_time_s is None:
            return self.finished
        return stamp_of(finish - ran_for(run_time_s), seconds=True)

    def length_s(self) -> float | None:
        """Run time where start and finish were both said; None else."""
        if self.started is None or self.finished is None or "T" not in self.started:
            return None
        return (moment(self.finished) - moment(self.started)).total_seconds()


def read_track_time(text: str, now: datetime, day_first: bool = True) -> TrackTime:
    """The start or finish that was meant; raises UnreadableTime with a clause for a person.

    >>> noon = datetime(2026, 5, 17, 14, 2, 10)
    >>> read_track_time("23:50 to 0:05", datetime(2026, 5, 18, 0, 10))
    TrackTime(started='2026-05-17T23:50', finished='2026-05-18T00:05')
    >>> read_track_time("just finished", noon).finished, read_track_time("started 13:36", noon).started
    ('2026-05-17T14:02:10', '2026-05-17T13:36')
    """
    words = " ".join(text.split())
    if not words:
        raise UnreadableTime(f"is empty, {_FORMS}")
    first, to, last = words.partition(" to ")
    if to:
        return _both(_stamp(_SAID.sub("", first), now, day_first), _SAID.sub("", last), now, day_first)
    said = _SAID.match(words)
    stamp = _stamp(words[said.end() :] if said else words, now, day_first)
    if said and said.group(1).casefold().startswith("start"):
        return TrackTime(started=stamp)
    return TrackTime(finished=stamp)


def _both(started: str, last: str, now: datetime, day_first: bool) -> TrackTime:
    """A finish without a day is of the day of the start, or of the night that follows it."""
    bare = re.match(r"^\d{1,2}:\d{2}(:\d{2})?$", last)
    finished = read_stamp(f"{started[:10]} {last}", now, day_first) if bare else _stamp(last, now, day_first)
    next_day = moment(finished) + timedelta(days=1)
    if bare and finished < started and next_day - moment(started) <= NIGHT and next_day <= now + _SLACK:
        finished = stamp_of(next_day, seconds=len(finished) > len("2026-05-17T13:41"))
    if finished < started:
        raise UnreadableTime(f"ends at {shown_stamp(finished)}, before it starts at {shown_stamp(started)}")
    return TrackTime(started, _been(finished, now))


def _stamp(words: str, now: datetime, day_first: bool) -> str:
    if words.casefold() in {"", "just now", JUST_FINISHED}:
        words = "now"
    try:
        stamp = read_stamp(words, now, day_first, seconds=True)
    except UnreadableTime as why:
        raise UnreadableTime(str(why).replace(" or 7 Mar", ", 7 Mar or 2 min ago")) from None
    return _been(stamp, now)


def _been(stamp: str, now: datetime) -> str:
    if moment(stamp) > now + _SLACK:
        raise UnreadableTime(f"is still to come, this computer's clock says {now:%Y-%m-%d %H:%M}")
    return stamp


def still_running(time: TrackTime, run_time_s: float | None, now: datetime) -> str | None:
    """A clause, when a run said to have started then would not be over yet; None when all is well."""
    finish = time.finish(run_time_s)
    if finish is None or finish <= now + _SLACK:
        return None
    return f"would end at {finish:%H:%M}, which is still to come: this computer's clock says {now:%H:%M}"


def settled(text: str, now: datetime, day_first: bool = True) -> str:
    """What depends on the moment it was typed as a point in time, so that it still means the same a minute later.

    >>> settled("2 min ago", datetime(2026, 5, 17, 14, 2, 10)), settled("13:41", datetime(2026, 5, 17, 14, 2, 10))
    ('14:00:10', '13:41')
    """
    words = " ".join(text.split()).casefold()
    if not re.search(r"ago$|now$|just finished$", words):
        return text
    try:
        time = read_track_time(text, now, day_first)
    except UnreadableTime:
        return text
    stamp = time.started or time.finished
    assert stamp is not None
    return f"{'started ' if time.started else ''}{_clock(stamp, now)}"


def dated(text: str, now: datetime, day_first: bool = True) -> str:
    """With its day, so that it still means the same tomorrow; what cannot be read stays as it is.

    >>> dated("started 13:36", datetime(2026, 5, 17, 14, 2))
    'started 2026-05-17 13:36'
    """
    try:
        time = read_track_time(text, now, day_first)
    except UnreadableTime:
        return text
    started, finished = (shown_stamp(stamp) if stamp else "" for stamp in (time.started, time.finished))
    if started and finished:
        return f"{started} to {finished}"
    return f"started {started}" if started else finished


def _clock(stamp: str, now: datetime) -> str:
    """The time of day alone while it is today's."""
    return stamp[11:] if moment(stamp).date() == now.date() else shown_stamp(stamp)


def started_text(stamp: str) -> str:
    """A stored start as the field holds it.

    >>> started_text("2026-05-17T13:36:57")
    'started 2026-05-17 13:36:57'
    """
    return f"started {shown_stamp(stamp)}"


def since_words(finish: datetime, now: datetime) -> str:
    """When it ended and how long ago that is, for the clock on the form.

    >>> since_words(datetime(2026, 5, 17, 14, 2), datetime(2026, 5, 17, 14, 3, 5))
    'finished 14:02, 1:05 ago'
    >>> since_words(datetime(2026, 5, 16, 14, 2), datetime(2026, 5, 17, 14, 3, 5))
    'finished 16 May 14:02'
    """
    seconds = int((now - finish).total_seconds())
    when = friendly(stamp_of(finish), now).removeprefix("today ")
    if not 0 <= seconds < COUNTED_S:
        return f"finished {when}"
    return f"finished {when}, {time_text(seconds)} ago"
