"""A track run in the list of runs: its kind, its figures, the words it is found by."""

from collections.abc import Mapping

from pitbench.desk.track_figures import length_of, rollout_of
from pitbench.records.kinds import Row, Source
from pitbench.records.laps import time_text
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import counted_words
from pitbench.records.units import Units


def names_by_id(source: Source) -> dict[str, str]:
    """Names of events and cars by their id, also of those in the bin."""
    kinds = [(kind, binned) for kind in ("event", "car") for binned in (True, False)]
    return {row["id"]: row["name"] for kind, binned in kinds for row in source.rows(kind, binned=binned)}


def kind_of(run: Row) -> str:
    """What the list calls it.

    >>> kind_of({"round_kind": "qualifier"}), kind_of({})
    ('qualifier', 'track run')
    """
    return str(run.get("round_kind", "track run"))


def figures_of(run: Row, units: Units, ratios: Mapping[str | None, float]) -> str:
    """Rollout, run time, laps and finish reading: `44.5 mm  5:03  22 laps  68 °C`; ratios: `internal_ratios`."""
    length = rollout_of(run, ratios.get(run.get("car_id")))
    seconds = length_of(run)
    laps = run.get("laps", len(run.get("lap_times_s", ())) or None)
    texts = (
        "" if length is None else f"{units.short('max_rollout_mm', length)} {units.length}",
        "" if seconds is None else time_text(round(seconds)),
        "" if laps is None else counted_words(int(laps), "lap"),
        units.degrees(run["finish_reading_c"]) if "finish_reading_c" in run else "",
    )
    return "  ".join(text for text in texts if text)


def words_of(run: Row, names: Mapping[str, str]) -> list[str]:
    """What it is found by besides motor, build and note."""
    spoken = [names.get(run.get(link, ""), "") for link in ("event_id", "car_id")]
    own = [str(run.get(name, "")) for name in ("track", "tyre", "pack", "incident", "result")]
    gears = "/".join(shown(run[name]) for name in ("pinion", "spur") if name in run)
    return ["track", run["started_at"].replace("T", " "), round_text(run), gears, *spoken, *own]


def facts_of(run: Row, names: Mapping[str, str], units: Units) -> list[str]:
    """What it was driven with, for the marked line in full."""
    gears = "/".join(shown(run[name]) for name in ("pinion", "spur") if name in run)
    across = run.get("tyre_diameter_mm")
    tyre = "" if across is None else f"{units.short('tyre_diameter_mm', across)} {units.length}"
    return [
        names.get(run.get("event_id", ""), "") or str(run.get("track", "")),
        round_text(run),
        names.get(run.get("car_id", ""), ""),
        gears,
        " ".join(word for word in (str(run.get("tyre", "")), tyre) if word),
        f"mark {shown(run['timing_mark_deg'])}°" if "timing_mark_deg" in run else "",
        {True: "fan", False: "no fan"}.get(run.get("fan", ""), ""),
        str(run.get("pack", "")),
    ]
