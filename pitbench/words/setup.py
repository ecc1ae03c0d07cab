"""The setup log in words: what was run here last time, an entry whole with the runs since, what is on the car."""

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import capital, change_words, counted_words, gears_text, number_word
from pitbench.records.stamps import friendly
from pitbench.records.units import Units
from pitbench.words.changes import brought_words, offered, tells_track

if TYPE_CHECKING:
    from pitbench.desk.answers import Judged
    from pitbench.desk.comparing.pace import TrackPace
    from pitbench.desk.lists.last_time import LastTime
    from pitbench.desk.lists.setup_log import SetupDetail
    from pitbench.desk.places import Here

MOST_RUNS = 3


def last_time_words(here: "Here", found: "LastTime | None", now: datetime, units: Units) -> list[str]:
    """Motor, gears, mark, finish temperature, result, and what was noted; or that nothing is known."""
    if here.event is None:
        change = f"{key_for('add-setup-entry')} writes down a change all the same."
        return [f"No event is written down yet, so no track is known as here. {change}"]
    if found is None:
        return [f"First time at {here.spoken}: no earlier event here is in the logbook."]
    event, ran = found.event, "no track run was written down"
    if found.run is not None:
        ran = ", ".join(text for text in (found.motor, *_ran(found, found.run, units)) if text)
    where = event["name"]
    if name_key(where) != here.place.name and "track" in event:
        where = f"{event['track']}, at {where}"  # the race day of another name was here too
    sentences = [f"Last time at {where}, {friendly(event['date'], now)}: {ran}."]
    return [*sentences, f"You noted: {'; '.join(found.noted)}."] if found.noted else sentences


def _ran(found: "LastTime", run: Row, units: Units) -> tuple[str, ...]:
    temperature, average = run.get("finish_reading_c"), found.average_lap_s
    return (
        gears_text(run),
        "" if average is None else f"{average:.2f} s a lap",
        f"mark {shown(run['timing_mark_deg'])}°" if "timing_mark_deg" in run else "",
        "" if temperature is None else units.degrees(temperature),
        run.get("result", ""),
    )


def here_words(here: "Here", ambient_c: float | None, now: datetime, units: Units) -> tuple[str, str]:
    """The event that is on and its date; its surface and the ambient of its newest run."""
    if here.event is None:
        return here.spoken, ""
    ambient = "" if ambient_c is None else f"ambient {units.degrees(ambient_c)}"
    facts = ", ".join(text for text in (here.event.get("surface", ""), ambient) if text)
    return f"{here.event['name']} {friendly(here.event['date'], now)}", facts


def entry_words(
    found: "SetupDetail",
    now: datetime,
    units: Units,
    pace: "TrackPace | None" = None,
    judged: "Judged | None" = None,
) -> tuple[str, list[str]]:
    """The heading of an entry, then sentences, with pace and what it brought where that is known; the outcome last.

    The runs since are named where nothing is made of them yet.
    """
    row = found.row
    about = (row["what"].upper(), found.motor, found.car, found.event, friendly(row["written_at"], now))
    said = [f"was {row['was']}" if "was" in row else "", f"now {row['now']}" if "now" in row else ""]
    said += [f"why: {row['why']}" if "why" in row else ""]
    first = ", ".join(text for text in said if text)
    brought = brought_words(judged, units) if judged else []
    since = "" if judged and tells_track(judged) else since_words(found.runs, units, pace, found.geared)
    sentences = [f"{capital(first)}." if first else "", since, *brought, _outcome(row, judged)]
    return ", ".join(word for word in about if word), [text for text in sentences if text]


def _outcome(row: Row, judged: "Judged | None") -> str:
    """What was written down, else what is offered."""
    if "outcome" in row:
        return f"Outcome: {row['outcome']}."
    text = offered(judged) if judged else ""
    if text:
        return (
            f"The outcome is open. {key_for('take-outcome')} takes: {text}; {key_for('edit-record')} writes your own."
        )
    return f"The outcome is still open: {key_for('edit-record')} writes it down."


def since_words(runs: Sequence[Row], units: Units, pace: "TrackPace | None" = None, geared: bool = False) -> str:
    """The track runs since, in one sentence; with pace, a second one that explains it. geared: a change of the rollout,
    which every run is judged at."""
    if not runs:
        return "No track run since."
    paces = [_pace_said(run, pace, geared) for run in runs[:MOST_RUNS]]
    named = "; ".join(_run_said(run, units, said) for run, said in zip(runs, paces, strict=False))
    more = f"; and {len(runs) - MOST_RUNS} more" if len(runs) > MOST_RUNS else ""
    count = number_word(len(runs)).capitalize()
    told = f"{count} track run{'s' if len(runs) > 1 else ''} since: {named}{more}."
    return f"{told} Minus: quicker than usual that day." if any(paces) else told


def _run_said(run: Row, units: Units, pace: str) -> str:
    temperature = run.get("finish_reading_c")
    said = (
        round_text(run) or "track run",
        "" if temperature is None else units.degrees(temperature),
        pace,
        run.get("result", ""),
        f"! {run['incident']}" if "incident" in run else "",
    )
    return ", ".join(text for text in said if text)


def _pace_said(run: Row, pace: "TrackPace | None", geared: bool) -> str:
    against = pace.against_its_day(run["id"], with_rollout=geared) if pace else None
    if against is None:
        return ""
    seconds = against.seconds
    return f"{seconds.mean:+.2f} ±{(seconds.high90 - seconds.low90) / 2:.2f} s a lap"


def shown_words(shown: int, total: int, typed: str, here_only: bool, parted: bool) -> str:
    """How many entries are shown, and which; parted: those of here stand apart from others."""
    typed = typed.strip()
    said = f"{shown} of {counted_words(total, 'entry')}: {typed}" if typed else counted_words(shown, "entry")
    if here_only:
        return f"{said}, here only"
    return f"{said}, here first" if parted and not typed else said


def on_the_car_words(things: int, car: str) -> str:
    """One sentence over the list of what is on the car; car: its name, if it has one."""
    if not things:
        return "Nothing is known of the car yet: an entry that says what something is now tells it."
    return f"On {car or 'the car'} now: {counted_words(things, 'thing')}, what was changed last first."


def question_words(entry: Row) -> str:
    """What is asked after a run: what came of this change.

    >>> question_words({"what": "pinion", "was": "30", "now": "31", "why": "cool"})
    'Pinion 30 to 31 (cool): what came of it?'
    """
    said = change_words(entry)
    why = f" ({entry['why']})" if "why" in entry else ""
    return f"{capital(said)}{why}: what came of it?"
