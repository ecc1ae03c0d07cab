"""What a person writes down, as models: classes, motors, parts, builds, runs, events, gears, setup log, settings.

Fields come from the table of fields, each under the name of its column. A body below says what the code reads by name,
and what no person writes; no unit, range or formula belongs here.
"""

from typing import Annotated

from pydantic import Field

from pitbench.records.fields import RECORDS
from pitbench.records.frame import OF_TABLE, Id, Record, of_table

Finite = Annotated[float, Field(allow_inf_nan=False)]
Weight = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
_PLACE = "Place among runs of this motor at the very same time."


@of_table("class_sheet")
class ClassSheet(Record):
    """The user's own note of a class's limits, from their club's rule book."""

    name: str


@of_table("motor")
class Motor(Record):
    """One motor by name. Resistance written here is one reading of its first build."""

    name: str


@of_table("part")
class Part(Record):
    """A stator, rotor or end bell; names are unique within a kind."""

    kind: str
    name: str


@of_table("build")
class Build(Record):
    """A motor as assembled. `fitted` false: only what one bench run tried, not what the motor is from then on."""

    motor_id: str


@of_table("bench_run")
class BenchRun(Record):
    """One test of one motor on the bench, and the build it was made on."""

    motor_id: str
    build_id: Id = Field(description="The build that was tested, whatever was swapped later.")
    place: int = Field(default=0, ge=0, description=_PLACE)


@of_table("event")
class Event(Record):
    """A race day or weekend, known by its name and first date."""

    name: str


@of_table("car")
class Car(Record):
    """A car by name; its gearbox and tyres stand with each run."""

    name: str


@of_table("track_run")
class TrackRun(Record):
    """One outing on the track, and the build that was in the car."""

    motor_id: str
    build_id: Id = Field(description="The build that was run, whatever was swapped later.")
    place: int = Field(default=0, ge=0, description=_PLACE)


@of_table("cooling")
class Cooling(Record):
    """One more reading of the can, some time after a track run's finish."""


@of_table("load_log")
class LoadLog(Record):
    """What the log of a speed control came to, and a thinned trace of it; the raw log is never kept.

    figures are those of `desk.load.kept`; a figure that is unknown is not there. trace: columns of equal length, thin
    enough for a plot.
    """

    motor_id: str
    digest: str
    headers: tuple[str, ...] = Field(
        default=(), description="Headers of the file: its columns are known again by them."
    )
    columns: dict[str, str] = Field(default={}, description="Which of them was taken for which column.")
    figures: dict[str, Finite] = Field(default={}, description="What it came to, by name.")
    basis: str | None = Field(default=None, description="From which samples KV and resistance were told.")
    why: str | None = Field(default=None, description="Why KV and resistance could not be told.")
    doubts: tuple[str, ...] = Field(default=(), description="What was odd: a name, a colon, a clause.")
    trace: dict[str, tuple[Finite, ...]] = Field(default={}, description="Samples along the log, for plots.")


@of_table("gear")
class Gear(Record):
    """A pinion or spur the user owns; diametral pitch is kept as its module."""


@of_table("setup_entry")
class SetupEntry(Record):
    """One line of the setup log. An entry without an outcome is open."""


@of_table("settings")
class Settings(Record):
    """The team's settings, one record. Keys and theme belong to the hands and live elsewhere."""

    weights: dict[str, Weight] = Field(default={}, description="Weight of a figure beside the power at load.")
    margins: dict[str, Weight] = Field(default={}, description="Smallest difference of a figure worth acting on.")
    entry_line: tuple[str, ...] = Field(default=(), description="Order of the fields in the bench form.")
    hidden_fields: tuple[str, ...] = Field(default=(), description="Fields of the bench form that are never used.")
    hidden_track_fields: tuple[str, ...] = Field(
        default=(), description="Fields of the track run form that are never used."
    )


MODELS = {kind: OF_TABLE[kind] for kind in RECORDS}
