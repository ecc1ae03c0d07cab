"""What a new track run begins with: taken over from the last runs of its motor and its car, and from the setup log.

The motor brings its car, gears and timing; the car brings what is on it (tyres, fan, pack), whichever motor ran last;
what the log says later than those runs takes its place.
Texts are as a form holds them; beside each stands the stored number, so that taking over rounds nothing.
"""

from dataclasses import dataclass, field
from datetime import datetime

from pitbench.desk.builds import END_OF_TIME, in_order
from pitbench.desk.carried import log_told, with_the_log
from pitbench.desk.entry.bench_entry import newest_run
from pitbench.desk.entry.track_fields import PLAIN
from pitbench.desk.event_names import event_text
from pitbench.desk.forecasting.next_start import round_due
from pitbench.desk.named import name_of
from pitbench.desk.places import event_on
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import moment
from pitbench.records.typed import text_of
from pitbench.records.units import Units, units_of

MOTORS_OWN = ("car_id", "pinion", "spur", "internal_ratio", "timing_mark_deg", "esc_timing_deg")
CARS_OWN = ("internal_ratio", "spur", "tyre", "tyre_diameter_mm", "tyre_runs", "fan", "pack")


@dataclass
class Filled:
    """Texts by field, and the stored numbers they were made from."""

    texts: dict[str, str] = field(default_factory=dict)
    numbers: dict[str, float] = field(default_factory=dict)


def filled(source: Source, motor: Row | None, now: datetime, hidden: frozenset[str] = frozenset()) -> Filled:
    """What a run of this motor begins with, `hidden` fields apart: nobody would see them grow old."""
    runs = sorted(source.rows("track_run"), key=in_order)
    row = taken_over(source, motor, runs, now)
    event = event_on(source, now)
    if event is not None:
        row["event_id"] = event["id"]
    today = [run for run in runs if moment(run["started_at"]).date() == now.date()]
    row |= _ambient(today)
    taken = as_texts(source, row, units_of(source))
    alike = runs_alike(runs, event, now, row.get("car_id"))
    taken.texts["round"] = round_due(event, alike, now) if event or today else ""
    if motor is not None:
        taken.texts["motor"] = motor["name"]
    for name in hidden - {"motor"}:
        taken.texts.pop(name, None)
        taken.numbers.pop(name, None)
    return taken


def taken_over(source: Source, motor: Row | None, runs: list[Row], at: datetime) -> Row:
    """Fields of the motor's own last run, of the last run of the car it is in, and what the log said since, up to `at`;
    `runs`: those before, in time."""
    motor_id = (motor or {}).get("id")
    last = runs[-1] if runs else {}
    own = next((run for run in reversed(runs) if run["motor_id"] == motor_id), None)
    row = _some(own or last, MOTORS_OWN)
    if own is None:
        for name in ("timing_mark_deg", "esc_timing_deg"):
            row.pop(name, None)
        row |= _some((motor_id and newest_run(source, motor_id)) or {}, ("timing_mark_deg",))
    in_car = next((run for run in reversed(runs) if run.get("car_id") == row.get("car_id")), last)
    on_car = _some(in_car, CARS_OWN)
    if "tyre_runs" in on_car:
        on_car["tyre_runs"] += 1
    said_at = ((on_car, in_car), (row, own or last))
    since = {name: str(run.get("started_at", "")) for part, run in said_at for name in part}
    return _with_the_log(source, on_car | row, since, motor_id, runs, at)


def _with_the_log(
    source: Source, before: Row, since: dict[str, str], motor_id: str | None, runs: list[Row], at: datetime
) -> Row:
    """Other tyres bring what they were when they ran last: their diameter and their runs."""
    entries = log_told(source, before.get("car_id"), motor_id, at)
    made = with_the_log(before, since, entries)
    if made.get("tyre") == before.get("tyre"):
        return made
    tyre = name_key(made["tyre"])
    ran = next((run for run in reversed(runs) if name_key(run.get("tyre", "")) == tyre), {})
    known = _some(ran, ("tyre_diameter_mm", "tyre_runs"))
    if "tyre_runs" in known:
        known["tyre_runs"] += 1
    made = {name: value for name, value in made.items() if name not in ("tyre_diameter_mm", "tyre_runs")} | known
    put_on = max(entry["written_at"] for entry, said in entries if "tyre" in said)
    later = [(entry, said) for entry, said in entries if "tyre_diameter_mm" in said]
    return with_the_log(made, {**dict.fromkeys(made, END_OF_TIME), "tyre_diameter_mm": put_on}, later)


def _some(run: Row, names: tuple[str, ...]) -> Row:
    return {name: run[name] for name in names if name in run}


def _ambient(today: list[Row]) -> Row:
    """The air of the last run today."""
    return _some(next((run for run in reversed(today) if "ambient_c" in run), {}), ("ambient_c",))


def runs_alike(runs: list[Row], event: Row | None, now: datetime, car_id: str | None) -> list[Row]:
    """Runs whose rounds are counted on: of the event, else of that day; of the car, if there are any of it."""
    day = f"{now:%Y-%m-%d}"
    there = [run for run in runs if (run.get("event_id") == event["id"] if event else run["started_at"][:10] == day)]
    return [run for run in there if run.get("car_id") == car_id] or there


def _number_text(name: str, value: float, units: Units) -> str:
    """Every digit typed; of an inch those a caliper shows, the stored number stands beside."""
    return units.short(name, value) if units.unit(name) == "in" else units.in_field(name, value)


def as_texts(source: Source, row: Row, units: Units) -> Filled:
    """A stored run, or part of one, as texts of the form."""
    numbers = {name: value for name, value in row.items() if name in QUANTITIES and name != "lap_times_s"}
    texts = {name: _number_text(name, value, units) for name, value in numbers.items()}
    texts |= {name: text_of(name, row[name], units) for name in PLAIN if name in row and name not in QUANTITIES}
    if "car_id" in row:
        texts["car"] = name_of(source, "car", row["car_id"])
    event = source.row("event", row["event_id"]) if "event_id" in row else None
    if event is not None:
        texts["event"] = event_text(event, source.rows("event"))
    return Filled(texts, numbers)
