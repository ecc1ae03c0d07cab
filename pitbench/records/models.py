"""What a person writes down on the bench side: class sheets, motors, parts, builds, bench runs, the team's settings.

The track side stands in `track`; MODELS has both.

Fields have the names of the sheets' columns; units, meanings and ranges stand in `quantities`. No formula belongs here.
"""

from typing import Annotated, Literal

from pydantic import Field

from pitbench.records.frame import Id, Name, Poles, Record, Stamp, Text, number
from pitbench.records.quantities import MEANINGS
from pitbench.records.team import AS_BY_DEFAULT as _SET
from pitbench.records.track import Car, Cooling, Event, Gear, GearingLimit, SetupEntry, TrackRun

PartKind = Literal["stator", "rotor", "end_bell"]


Weight = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]


class ClassSheet(Record):
    """The user's own note of a class's limits, from their club's rule book."""

    name: Name = Field(description=MEANINGS["class"])
    turns: float | None = number("turns")
    cells: float | None = number("cells")
    min_resistance_mohm: float | None = number("min_resistance_mohm")
    max_timing_deg: float | None = number("max_timing_deg")
    max_rollout_mm: float | None = number("max_rollout_mm")
    min_fdr: float | None = number("min_fdr")
    esc_timing: bool | None = Field(default=None, description=MEANINGS["esc_timing"])
    parts_mixed: Literal["yes", "no", "same model"] | None = Field(default=None, description=MEANINGS["parts_mixed"])
    gearing_limit: GearingLimit | None = Field(default=None, description=MEANINGS["gearing_limit"])
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class Motor(Record):
    """One motor by name. Resistance written here is one reading of its first build."""

    name: Name = Field(description=MEANINGS["motor"])
    class_id: Id | None = Field(default=None, description=MEANINGS["class"])
    turns: float | None = number("turns")
    poles: Poles = number("poles")
    resistance_mohm: float | None = number("resistance_mohm")
    resistance_temp_c: float | None = number("resistance_temp_c")
    check_motor: bool = Field(default=False, description=MEANINGS["check_motor"])
    in_use: bool = Field(default=True, description=MEANINGS["in_use"])
    owner: Name | None = Field(default=None, description=MEANINGS["owner"])
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class Part(Record):
    """A stator, rotor or end bell; names are unique within a kind."""

    kind: PartKind = Field(description="Stator, rotor or end bell.")
    name: Name = Field(description="Name of the part, as written on it.")


class Build(Record):
    """A motor as assembled. `fitted` false: only what one bench run tried, not what the motor is from then on."""

    motor_id: Id = Field(description=MEANINGS["motor"])
    since: Stamp | None = Field(default=None, description=MEANINGS["since"])
    stator_id: Id | None = Field(default=None, description=MEANINGS["stator"])
    rotor_id: Id | None = Field(default=None, description=MEANINGS["rotor"])
    end_bell_id: Id | None = Field(default=None, description=MEANINGS["end_bell"])
    fitted: bool = Field(default=True, description=MEANINGS["fitted"])
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class BenchRun(Record):
    """One test of one motor on the bench, and the build it was made on."""

    motor_id: Id = Field(description=MEANINGS["motor"])
    build_id: Id = Field(description="The build that was tested, whatever was swapped later.")
    taken_at: Stamp = Field(description=MEANINGS["taken_at"])
    place: int = Field(default=0, ge=0, description="Place among runs of this motor at the very same time.")
    session: Name | None = Field(default=None, description=MEANINGS["session"])
    tester: Name | None = Field(default=None, description=MEANINGS["tester"])
    test_voltage_v: float | None = number("test_voltage_v")
    sensored: bool | None = Field(default=None, description=MEANINGS["sensored"])
    spin_s: float | None = number("spin_s")
    ambient_c: float | None = number("ambient_c")
    motor_temp_c: float | None = number("motor_temp_c")
    kv_rpm_per_v: float | None = number("kv_rpm_per_v")
    rpm: float | None = number("rpm")
    erpm: float | None = number("erpm")
    poles_assumed: Poles = number("poles_assumed")
    no_load_current_a: float | None = number("no_load_current_a")
    timing_mark_deg: float | None = number("timing_mark_deg")
    timing_deg: float | None = number("timing_deg")
    timing_a_deg: float | None = number("timing_a_deg")
    timing_b_deg: float | None = number("timing_b_deg")
    timing_c_deg: float | None = number("timing_c_deg")
    pole_imbalance_pct: float | None = number("pole_imbalance_pct")
    hall_level_spread_pct: float | None = number("hall_level_spread_pct")
    resistance_mohm: float | None = number("resistance_mohm")
    resistance_temp_c: float | None = number("resistance_temp_c")
    note: Text | None = Field(default=None, description=MEANINGS["note"])


class Settings(Record):
    """The team's settings, one record. Keys and theme belong to the hands and live elsewhere."""

    temperature_unit: Literal["C", "F"] = Field(default=_SET.temperature_unit, description="Temperatures in °C or °F.")
    length_unit: Literal["mm", "in"] = Field(default=_SET.length_unit, description="Lengths in mm or inch.")
    day_first: bool = Field(default=_SET.day_first, description="7/3 is the 7th of March; no: the 3rd of July.")
    volts_per_cell: float = number("volts_per_cell", _SET.volts_per_cell)
    leads_mohm: float = number("leads_mohm", _SET.leads_mohm)
    ceiling_c: float = number("ceiling_c", _SET.ceiling_c)
    weights: dict[str, Weight] = Field(default={}, description="Weight of a figure beside the power at load.")
    margins: dict[str, Weight] = Field(default={}, description="Smallest difference of a figure worth acting on.")
    entry_line: tuple[str, ...] = Field(default=(), description="Order of the fields in the bench form.")
    hidden_fields: tuple[str, ...] = Field(default=(), description="Fields of the bench form that are never used.")
    hidden_track_fields: tuple[str, ...] = Field(
        default=(), description="Fields of the track run form that are never used."
    )


BENCH_FIGURES = (
    "kv_rpm_per_v",
    "rpm",
    "erpm",
    "no_load_current_a",
    "timing_deg",
    "timing_a_deg",
    "timing_b_deg",
    "timing_c_deg",
    "pole_imbalance_pct",
    "hall_level_spread_pct",
    "resistance_mohm",
)

MODELS: dict[str, type[Record]] = {
    "class_sheet": ClassSheet,
    "motor": Motor,
    "part": Part,
    "build": Build,
    "bench_run": BenchRun,
    "event": Event,
    "car": Car,
    "track_run": TrackRun,
    "cooling": Cooling,
    "gear": Gear,
    "setup_entry": SetupEntry,
    "settings": Settings,
}
