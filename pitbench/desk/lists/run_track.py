"""A track run in the list of runs: its kind, its figures, the words it is found by."""

from collections.abc import Mapping

from pitbench.desk.track_figures import average_lap_of, length_of, rollout_of
from pitbench.records.kinds import Row, Source
from pitbench.records.laps import laps_text, time_text
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
    """Gears, rollout, average lap and finish reading: `31/72  44.5 mm  13.78 s  68 °C`; ratios: `internal_ratios`.

    Without an average lap what there is of laps and run time.
    """
    length, average = rollout_of(run, ratios.get(run.get("car_id"))), average_lap_of(run)
    texts = (
        gears_of(run),
        "" if length is None else f"{units.short('max_rollout_mm', length)} {units.length}",
        *(_laps_and_time(run) if average is None else (f"{average:.2f} s",)),
        units.degrees(run["finish_reading_c"]) if "finish_reading_c" in run else "",
    )
    return "  ".join(text for text in texts if text)


def _laps_and_time(run: Row) -> tuple[str, str]:
    seconds, laps = length_of(run), run.get("laps", len(run.get("lap_times_s", ())) or None)
    time = "" if seconds is None else time_text(round(seconds))
    return time, "" if laps is None else counted_words(int(laps), "lap")


def gears_of(run: Row) -> str:
    """Pinion and spur, as far as they are known."""
    return "/".join(shown(run[name]) for name in ("pinion", "spur") if name in run)


def words_of(run: Row, names: Mapping[str, str], tracks: Mapping[str, str]) -> list[str]:
    """What it is found by besides motor, build and note; tracks: of the events, by their id."""
    spoken = [names.get(run.get(link, ""), "") for link in ("event_id", "car_id")]
    own = [str(run.get(name, "")) for name in ("track", "tyre", "pack", "incident", "result")]
    where = tracks.get(run.get("event_id", ""), "")
    return ["track", run["started_at"].replace("T", " "), round_text(run), gears_of(run), where, *spoken, *own]


def tracks_by_event(source: Source) -> dict[str, str]:
    """Where every event is held, as far as it says so."""
    return {row["id"]: row["track"] for row in source.rows("event") if "track" in row}


def facts_of(run: Row, names: Mapping[str, str], units: Units) -> list[str]:
    """What it was driven with, for the marked line in full."""
    car, *rest = car_facts(run, names, units)
    return [
        names.get(run.get("event_id", ""), "") or str(run.get("track", "")),
        round_text(run),
        car,
        gears_of(run),
        laps_text(run.get("laps"), run.get("run_time_s")),
        *rest,
    ]


def car_facts(run: Row, names: Mapping[str, str], units: Units) -> list[str]:
    """The car as it was then, which comes first, but for its gears."""
    across = run.get("tyre_diameter_mm")
    tyre = "" if across is None else f"{units.short('tyre_diameter_mm', across)} {units.length}"
    return [
        names.get(run.get("car_id", ""), ""),
        " ".join(word for word in (str(run.get("tyre", "")), tyre) if word),
        f"mark {shown(run['timing_mark_deg'])}°" if "timing_mark_deg" in run else "",
        {True: "fan", False: "no fan"}.get(run.get("fan", ""), ""),
        str(run.get("pack", "")),
    ]
