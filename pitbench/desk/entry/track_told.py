"""What was changed in a track run's form and stands in no setup entry: offered for the log, one key writes it down."""

from typing import TYPE_CHECKING

from pitbench.desk.builds import in_order
from pitbench.desk.carried import log_told
from pitbench.desk.entry.track_filled import taken_over
from pitbench.desk.named import stored
from pitbench.desk.told import OF_THE_MOTOR, agrees, fields_named
from pitbench.desk.track_figures import finished_at
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.spoken import change_words
from pitbench.records.stamps import moment
from pitbench.records.typed import label_of, text_of
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook

if TYPE_CHECKING:
    from datetime import datetime

    from pitbench.records.frame import Record

OFFERED = ("pinion", "spur", "internal_ratio", "tyre", "timing_mark_deg", "esc_timing_deg")
"""A pack and a diameter change with every run."""
SHARED = ("event_id", "track", "car_id", "motor_id")
"""What an entry takes from the run."""


def untold(source: Source, run_id: str) -> list[Row]:
    """Setup entries that this run would make: what it was made with, where the last run of its motor and car and the
    log together say something else. One written while it ran may tell it already."""
    run = stored(source, "track_run", run_id)
    runs = sorted((r for r in source.rows("track_run") if r.get("car_id") == run.get("car_id")), key=in_order)
    earlier = [each for each in runs if in_order(each) < in_order(run)]
    start = moment(run["started_at"])
    before, after = (_stood(source, run, earlier, at) for at in (start, finished_at(run) or start))
    units, found = units_of(source), []
    for name in OFFERED:
        if name not in before or name not in run or any(agrees(name, run[name], s[name]) for s in (before, after)):
            continue
        row = {each: run[each] for each in SHARED if each in run}
        row |= {"written_at": run["started_at"], "what": _called(source, name)}
        found.append(row | {"was": text_of(name, before[name], units), "now": text_of(name, run[name], units)})
    return found


def _stood(source: Source, run: Row, earlier: list[Row], at: "datetime") -> Row:
    """What was on the car at that time; putting in this motor changes nothing of another motor's pinion and mark."""
    motor_id = run["motor_id"]
    stood = taken_over(source, source.row("motor", motor_id), earlier, at)
    said = {name for each in earlier if each["motor_id"] == motor_id for name in each}
    log = [told for _, told in log_told(source, run.get("car_id"), motor_id, at)]
    said |= {name for told in log for name in told.keys() & stood if agrees(name, stood[name], told[name])}
    return {name: value for name, value in stood.items() if name in said or name not in OF_THE_MOTOR}


def _called(source: Source, name: str) -> str:
    """As the log spelt it last."""
    spelt = (e for e in source.rows("setup_entry") if fields_named(e["what"], e.get("now", "")) == (name,))
    newest = max(spelt, key=in_order, default=None)
    return str(newest["what"]) if newest else label_of(name)


def told_words(entries: list[Row]) -> str:
    """What was changed, in a few words."""
    return ", ".join(change_words(entry) for entry in entries)


def tell_log(logbook: Logbook, run_id: str) -> str | None:
    """Write down what the run says of its car, as one action; the words of what was done, None where nothing is new."""
    rows = untold(logbook.snapshot(), run_id)
    entries: list[Record] = [model_of("setup_entry").of(row) for row in rows]
    words = f"setup entry: {told_words(rows)}"
    if entries:
        logbook.save(words, entries)
    return words if entries else None
