"""Every run behind the figures of motors side by side: as read, and as it compares.

Which runs there are follows from what was drawn; a run that is left out or waits is in neither.
"""

from collections.abc import Mapping, Sequence
from math import exp, isnan
from typing import TYPE_CHECKING

from pitbench.desk import run_figures
from pitbench.desk.answers import RunRead
from pitbench.desk.builds import BuildHistory
from pitbench.desk.comparing.gather import Gathered
from pitbench.desk.comparing.pace import reading_of
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import CURRENT, KV
from pitbench.figures.equalised import equalised
from pitbench.records.kinds import Row
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_evidence import TrackEvidence

Runs = Mapping[str, Mapping[str, Sequence[RunRead]]]


def runs_beside(
    gathered: Gathered,
    drawn: Drawn | None,
    track: "TrackEvidence | None",
    motors: Sequence[Row],
    builds: Sequence[Row],
) -> Runs:
    """By figure and motor's name, the oldest first; power at load is read in no run. builds: all there are."""
    found: dict[str, dict[str, list[RunRead]]] = {}
    names = {motor["id"]: str(motor["name"]) for motor in motors}
    if drawn is not None:
        found |= _on_the_bench(gathered, drawn, names)
    if track is not None:
        found |= _on_the_track(track, names, BuildHistory(builds))
    return {figure: {name: _in_time(runs) for name, runs in own.items()} for figure, own in found.items()}


def _in_time(runs: Sequence[RunRead]) -> list[RunRead]:
    """What is written on the motor itself first."""
    return sorted(runs, key=lambda run: time_key(run.at) if run.at else "")


def _on_the_bench(gathered: Gathered, drawn: Drawn, names: Mapping[str, str]) -> dict[str, dict[str, list[RunRead]]]:
    compared = equalised(drawn)
    found: dict[str, dict[str, list[RunRead]]] = {}
    for figure in drawn.estimates:
        readings = drawn.asked.of(figure)
        of_figure: dict[str, list[RunRead]] = {name: [] for name in names.values()}
        columns = (readings.motor, readings.run, readings.value, compared[figure])
        for motor, run, read, as_compared in zip(*(column.tolist() for column in columns), strict=True):
            name = names.get(gathered.motors[motor]["id"])
            if name is not None:
                row = gathered.runs[run] if run >= 0 else None
                of_figure[name].append(
                    RunRead(row["id"] if row else None, row["taken_at"] if row else "", read, as_compared)
                )
        found[figure] = of_figure
    found["speed_per_amp"] = {name: _per_amp(found, name) for name in names.values()}
    found["timing_deg"] = {name: [] for name in names.values()}
    for run in gathered.runs:
        timing = run_figures.timing_of(run)
        if run["motor_id"] in names and timing is not None:
            found["timing_deg"][names[run["motor_id"]]].append(RunRead(run["id"], run["taken_at"], timing))
    return found


def _per_amp(found: Mapping[str, Mapping[str, Sequence[RunRead]]], name: str) -> list[RunRead]:
    """Of the runs that read both."""
    current = {each.run_id: each for each in found[CURRENT][name]}
    return [
        RunRead(kv.run_id, kv.at, kv.read / amps.read, (kv.compared or kv.read) / (amps.compared or amps.read))
        for kv in found[KV][name]
        if (amps := current.get(kv.run_id)) is not None
    ]


def _on_the_track(
    track: "TrackEvidence", names: Mapping[str, str], history: BuildHistory
) -> dict[str, dict[str, list[RunRead]]]:
    """Pace of the motors as they are built now; finish temperatures, one minute after the finish, of every run."""
    pace, heat = track.pace, track.heat
    in_force = {motor_id: history.in_force(motor_id) for motor_id in names}
    now = {motor_id: pace.builds.get(build["id"]) for motor_id, build in in_force.items() if build is not None}
    found: dict[str, dict[str, list[RunRead]]] = {
        figure: {name: [] for name in names.values()} for figure in ("track_pace_s", "finish_temp_c")
    }
    for run in pace.rows:
        against = pace.against_its_day(run["id"])
        reading = reading_of(run)
        if pace.pace and reading and against and now.get(run["motor_id"]) == pace.builds[run["build_id"]]:
            compared = pace.pace.lap_s * exp(against.percent.mean / 100)
            own = found["track_pace_s"][names[run["motor_id"]]]
            own.append(RunRead(run["id"], run["started_at"], reading.lap_s, compared))
    for run, finish_c in zip(heat.runs, heat.columns.finish_c, strict=True):
        if run["motor_id"] in names and not isnan(finish_c):
            own = found["finish_temp_c"][names[run["motor_id"]]]
            own.append(RunRead(run["id"], run["started_at"], finish_c))
    return found
