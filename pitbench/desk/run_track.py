"""A track run in the list of runs: its kind, its figures, the words it is found by."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pitbench.desk.laps import time_text
from pitbench.desk.track_rounds import round_text
from pitbench.desk.units import Units
from pitbench.records.numbers import shown

if TYPE_CHECKING:
    from pitbench.desk.builds import Source

Row = dict[str, Any]


def names_by_id(source: "Source") -> dict[str, str]:
    """Names of events and cars by their id, also of those in the bin."""
    kinds = [(kind, binned) for kind in ("event", "car") for binned in (True, False)]
    return {row["id"]: row["name"] for kind, binned in kinds for row in source.rows(kind, binned=binned)}


def kind_of(run: Row) -> str:
    """What the list calls it.

    >>> kind_of({"round_kind": "qualifier"}), kind_of({})
    ('qualifier', 'track run')
    """
    return str(run.get("round_kind", "track run"))


def rollout_of(run: Row) -> float | None:
    """Rollout in mm; None while tyre, gears or internal ratio are not known."""
    from pitbench.figures.gearing import final_drive_ratio, rollout

    if not all(name in run for name in ("pinion", "spur", "internal_ratio", "tyre_diameter_mm")):
        return None
    return rollout(run["tyre_diameter_mm"], final_drive_ratio(run["spur"], run["pinion"], run["internal_ratio"]))


def figures_of(run: Row, units: Units) -> str:
    """Rollout, run time, laps and finish reading: `44.5 mm  5:03  22 laps  68 °C`."""
    length, laps = rollout_of(run), run.get("laps")
    texts = (
        "" if length is None else f"{units.short('max_rollout_mm', length)} {units.length}",
        time_text(round(run["run_time_s"])) if "run_time_s" in run else "",
        "" if laps is None else f"{shown(laps)} laps",
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
