"""What the Temperature screen plots, as points in the units shown: the planned run warming up, the last one cooling.

Curves come from `temperature`; nothing is computed here but minutes and units.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitbench.desk.answered import counting
from pitbench.desk.forecasting.forecast import Planned
from pitbench.desk.forecasting.heat import Heat
from pitbench.desk.forecasting.temperature import Curve, Standing, cooling_curve, finish_or_guess, heating_curve
from pitbench.records.kinds import Source
from pitbench.records.units import Units

Points = tuple[tuple[float, float], ...]
LEAST_COOLING_S = 1200.0


@dataclass(frozen=True)
class HeatPicture:
    """Points are (minutes, temperature). low, high: the middle nine tenths; readings: as they were read; limit, air."""

    motor: str
    heating: Points
    heating_low: Points
    heating_high: Points
    cooling: Points
    cooling_low: Points
    cooling_high: Points
    readings: Points
    limit: float
    air: float
    unit: str


def heat_picture(
    source: Source, heat: Heat, standing: Standing, plan: Planned, ceiling_c: float, now: datetime, units: Units
) -> HeatPicture:
    """Both curves of one motor; no cooling curve where it was not run today."""
    warm = heating_curve(heat, plan)
    rest: Curve | None = None
    read: Points = ()
    run = next((run for run in heat.runs if run["id"] == standing.run), None)
    if run is not None and standing.ended is not None:
        finish, _ = finish_or_guess(heat, run)
        past = (now - standing.ended).total_seconds()
        rest = cooling_curve(finish, max(LEAST_COOLING_S, 1.3 * past)) if finish else None
        read = tuple(_readings(source, run, units))

    def points(curve: Curve | None, values: str) -> Points:
        pairs = zip(curve.seconds, getattr(curve, values), strict=True) if curve else ()
        return tuple((seconds / 60, units.warmth(value)) for seconds, value in pairs)

    return HeatPicture(
        motor=standing.motor,
        heating=points(warm, "median"),
        heating_low=points(warm, "low90"),
        heating_high=points(warm, "high90"),
        cooling=points(rest, "median"),
        cooling_low=points(rest, "low90"),
        cooling_high=points(rest, "high90"),
        readings=read,
        limit=units.warmth(ceiling_c),
        air=units.warmth(plan.ambient_c),
        unit=f"°{units.temperature}",
    )


def _readings(source: Source, run: dict[str, Any], units: Units) -> Iterable[tuple[float, float]]:
    """The readings of one run whose time is known."""
    if {"finish_reading_c", "finish_reading_after_s"} <= run.keys():
        yield run["finish_reading_after_s"] / 60, units.warmth(run["finish_reading_c"])
    for row in counting(source.rows("cooling")):
        if row["track_run_id"] == run["id"]:
            yield row["after_s"] / 60, units.warmth(row["temp_c"])
