"""The fields of a track run's form: which there are, in which order, which of them this racer is asked for."""

from pitbench.records import typed
from pitbench.records.fields import CAR, RECORDS, RUN, led_by, names_of
from pitbench.records.kinds import Source
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook

SAID_IN = {"started_at": "time", "round_kind": "round", "run_time_s": "laps"}
"""Fields of a run that stand in a text of another name: the time may be the finish, laps and time are one entry."""
RUN_FIELDS = led_by(
    ("time", "round", "laps", "lap_times_s", "best_lap_s", "average_lap_s", "finish_reading_c"),
    ("finish_reading_after_s", *(SAID_IN.get(name, name) for name in names_of("track_run", RUN))),
)
CAR_FIELDS = led_by(
    ("motor", "event", "track", "car", "pinion", "spur", "internal_ratio", "tyre", "tyre_diameter_mm", "tyre_runs"),
    ("timing_mark_deg", "esc_timing_deg", *names_of("track_run", CAR)),
)
RARE = ("average_lap_s",)
"""Asked for only where a stored run has it: laps and time say the same."""
ALWAYS = ("motor", "time")
"""Fields that cannot be hidden: a run without them is none."""
TABLE = {datum.name: datum for datum in RECORDS["track_run"]}
PLAIN = tuple(name for name in (*CAR_FIELDS, *RUN_FIELDS) if name in TABLE and TABLE[name].field == name)
"""Fields that stand in the record under their own name."""


def table_name(name: str) -> str:
    """The field of the table that tells of a field of the form."""
    return "started_at" if name == "time" else name


def form_label(name: str) -> str:
    """What a field of a track run is called.

    >>> form_label("laps"), form_label("pinion"), form_label("incident")
    ('laps and time', 'pinion', 'incident')
    """
    return "laps and time" if name == "laps" else typed.label_of(table_name(name))


def hidden_fields(source: Source) -> frozenset[str]:
    """Fields this racer never uses."""
    settings = next(iter(source.rows("settings")), {})
    return frozenset(settings.get("hidden_track_fields", ())) - {*ALWAYS}


def asked_for(source: Source, fields: tuple[str, ...], stand: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Of these fields the ones asked for: not the hidden ones, unless something stands there already."""
    hidden = hidden_fields(source)
    return tuple(
        name for name in fields if (name not in hidden or name in stand) and (name not in RARE or name in stand)
    )


def hide_field(logbook: Logbook, name: str) -> str:
    """Ask for a field no more; returns the words of what was done."""
    if name in ALWAYS:
        raise Refusal(f"Every run needs its {form_label(name)}: that field stays.")
    settings = logbook.settings()
    hidden = tuple(dict.fromkeys((*settings.hidden_track_fields, name)))
    words = f"{form_label(name)} is asked for no more"
    logbook.save_settings(words, settings.with_(hidden_track_fields=hidden))
    return words


def show_all_fields(logbook: Logbook) -> str:
    """Ask for every field again; returns the words of what was done."""
    words = "every field of a track run is asked for"
    logbook.save_settings(words, logbook.settings().with_(hidden_track_fields=()))
    return words
