"""The fields of a track run's form: which there are, in which order, which of them this racer is asked for."""

from typing import TYPE_CHECKING

from pitbench.records.quantities import QUANTITIES
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.records.kinds import Source
    from pitbench.store.logbook import Logbook

RUN_FIELDS = (
    "time",
    "round",
    "laps",
    "lap_times_s",
    "best_lap_s",
    "average_lap_s",
    "finish_reading_c",
    "finish_reading_after_s",
    "ambient_c",
    "start_temp_c",
    "esc_temp_c",
    "charge_used_mah",
    "incident",
    "result",
    "note",
)
CAR_FIELDS = (
    "motor",
    "event",
    "track",
    "car",
    "pinion",
    "spur",
    "internal_ratio",
    "tyre",
    "tyre_diameter_mm",
    "tyre_runs",
    "timing_mark_deg",
    "esc_timing_deg",
    "fan",
    "pack",
    "track_c",
)
RARE = ("average_lap_s",)
"""Asked for only where a stored run has it: laps and time say the same."""
ALWAYS = ("motor", "time")
"""Fields that cannot be hidden: a run without them is none."""
NUMBERS = tuple(
    name for name in (*RUN_FIELDS, *CAR_FIELDS) if name in QUANTITIES and name not in ("laps", "lap_times_s")
)
WORDS = ("track", "tyre", "pack", "incident", "result", "note")
LABELS = {"laps": "laps and time", "track_c": "track temperature"}


def label_of(name: str) -> str:
    """What a field of a track run is called.

    >>> label_of("laps"), label_of("pinion"), label_of("incident")
    ('laps and time', 'pinion', 'incident')
    """
    return LABELS.get(name) or (QUANTITIES[name].label if name in QUANTITIES else name.replace("_", " "))


def hidden_fields(source: "Source") -> frozenset[str]:
    """Fields this racer never uses."""
    settings = next(iter(source.rows("settings")), {})
    return frozenset(settings.get("hidden_track_fields", ())) - {*ALWAYS}


def asked_for(source: "Source", fields: tuple[str, ...], stand: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Of these fields the ones asked for: not the hidden ones, unless something stands there already."""
    hidden = hidden_fields(source)
    return tuple(
        name for name in fields if (name not in hidden or name in stand) and (name not in RARE or name in stand)
    )


def hide_field(logbook: "Logbook", name: str) -> str:
    """Ask for a field no more; returns the words of what was done."""
    if name in ALWAYS:
        raise Refusal(f"Every run needs its {label_of(name)}: that field stays.")
    settings = logbook.settings()
    hidden = tuple(dict.fromkeys((*settings.hidden_track_fields, name)))
    words = f"{label_of(name)} is asked for no more"
    logbook.save_settings(words, settings.with_(hidden_track_fields=hidden))
    return words


def show_all_fields(logbook: "Logbook") -> str:
    """Ask for every field again; returns the words of what was done."""
    words = "every field of a track run is asked for"
    logbook.save_settings(words, logbook.settings().with_(hidden_track_fields=()))
    return words
