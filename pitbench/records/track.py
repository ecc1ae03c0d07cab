"""What a person writes down on the track side: events, cars, track runs, cooling readings, gears, setup entries.

Fields have the names of the sheets' columns; units, meanings and ranges stand in `quantities`. No formula belongs here.
"""

from typing import Annotated, Literal

from pydantic import Field

from pitbench.records.frame import Id, Name, Record, Stamp, Text, number
from pitbench.records.quantities import MEANINGS, QUANTITIES

GearingLimit = Literal["none", "heat", "rules", "gears", "unknown"]
RoundKind = Literal["practice", "qualifier", "main"]

_LAP = QUANTITIES["lap_times_s"].possible
LapTime = Annotated[float, Field(ge=_LAP[0], le=_LAP[1], allow_inf_nan=False)]


class Event(Record):
    """A race day or weekend, known by its name and first date."""

    name: Name = Field(description=MEANINGS["event"])
    date: Stamp = Field(description=MEANINGS["date"])
    track: Name | None = Field(default=None, description=MEANINGS["track"])
    surface: Text | None = Field(default=None, description=MEANINGS["surface"])
    start_times: Text | None = Field(default=None, description=MEANINGS["start_times"])
    gearing_limit: GearingLimit | None = Field(default=None, description=MEANINGS["gearing_limit"])
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class Car(Record):
    """A car by name; its gearbox and tyres stand with each run."""

    name: Name = Field(description=MEANINGS["car"])


class TrackRun(Record):
    """One outing on the track, and the build that was in the car."""

    motor_id: Id = Field(description=MEANINGS["motor"])
    build_id: Id = Field(description="The build that was run, whatever was swapped later.")
    started_at: Stamp = Field(description=MEANINGS["started_at"])
    place: int = Field(default=0, ge=0, description="Place among runs of this motor at the very same time.")
    event_id: Id | None = Field(default=None, description=MEANINGS["event"])
    track: Name | None = Field(default=None, description=MEANINGS["track"])
    car_id: Id | None = Field(default=None, description=MEANINGS["car"])
    round_kind: RoundKind | None = Field(default=None, description=MEANINGS["round_kind"])
    round: Name | None = Field(default=None, description=MEANINGS["round"])
    pinion: float | None = number("pinion")
    spur: float | None = number("spur")
    internal_ratio: float | None = number("internal_ratio")
    tyre: Name | None = Field(default=None, description=MEANINGS["tyre"])
    tyre_diameter_mm: float | None = number("tyre_diameter_mm")
    tyre_runs: float | None = number("tyre_runs")
    fan: bool | None = Field(default=None, description=MEANINGS["fan"])
    pack: Name | None = Field(default=None, description=MEANINGS["pack"])
    timing_mark_deg: float | None = number("timing_mark_deg")
    esc_timing_deg: float | None = number("esc_timing_deg")
    run_time_s: float | None = number("run_time_s")
    laps: float | None = number("laps")
    lap_times_s: tuple[LapTime, ...] = Field(default=(), description=QUANTITIES["lap_times_s"].meaning)
    best_lap_s: float | None = number("best_lap_s")
    average_lap_s: float | None = number("average_lap_s")
    ambient_c: float | None = number("ambient_c")
    track_c: float | None = number("track_c")
    start_temp_c: float | None = number("start_temp_c")
    finish_reading_c: float | None = number("finish_reading_c")
    finish_reading_after_s: float | None = number("finish_reading_after_s")
    esc_temp_c: float | None = number("esc_temp_c")
    charge_used_mah: float | None = number("charge_used_mah")
    incident: Text | None = Field(default=None, description=MEANINGS["incident"])
    result: Text | None = Field(default=None, description=MEANINGS["result"])
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class Cooling(Record):
    """One more reading of the can, some time after a track run's finish."""

    track_run_id: Id = Field(description="The track run it was read after.")
    after_s: float = number("after_s", ...)
    temp_c: float = number("temp_c", ...)
    fan: bool | None = Field(default=None, description=MEANINGS["cooling_fan"])


class Gear(Record):
    """A pinion or spur the user owns; diametral pitch is kept as its module."""

    kind: Literal["pinion", "spur"] = Field(description=MEANINGS["gear"])
    teeth: float = number("teeth", ...)
    module: float = number("module", ...)
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class SetupEntry(Record):
    """One line of the setup log. An entry without an outcome is open."""

    written_at: Stamp = Field(description=MEANINGS["written_at"])
    event_id: Id | None = Field(default=None, description=MEANINGS["event"])
    track: Name | None = Field(default=None, description=MEANINGS["track"])
    car_id: Id | None = Field(default=None, description=MEANINGS["car"])
    motor_id: Id | None = Field(default=None, description=MEANINGS["motor"])
    what: Name = Field(description=MEANINGS["what"])
    was: Text | None = Field(default=None, description=MEANINGS["was"])
    now: Text | None = Field(default=None, description=MEANINGS["now"])
    why: Text | None = Field(default=None, description=MEANINGS["why"])
    outcome: Text | None = Field(default=None, description=MEANINGS["outcome"])
