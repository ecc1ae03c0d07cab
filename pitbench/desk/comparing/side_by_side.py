"""Two to four motors side by side: figure by figure, is that difference real? One comparison of their whole class.

The draws are those of the ranking, so that both state the same numbers. Only where a motor is named that the ranking
leaves out (not in use, somebody else's) is it taken into the comparison, which then is another one. Runs behind the
figures: `runs_beside`.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from pitbench.desk.answers import Basis, CompareAnswer, Difference, FigureBeside, FigureOf, SideBySide
from pitbench.desk.classes import class_asked, takes_part
from pitbench.desk.comparing.drawing import basis_of, drawn_of, figure_of, track_of
from pitbench.desk.comparing.gather import Gathered, gather
from pitbench.desk.comparing.runs_beside import runs_beside
from pitbench.desk.forecasting.forecast import motor_of
from pitbench.desk.named import class_sheet_of
from pitbench.desk.sessions import timely
from pitbench.desk.states import last_on_the_bench, stands_since, work_since
from pitbench.figures.as_set import timing_as_set
from pitbench.figures.beside import apart
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import GOALS, SEPARATED
from pitbench.figures.intervals import Interval, intervals
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import FIGURES, counted_words, listed
from pitbench.store.logbook import Snapshot

TIMING, POWER = "timing_deg", "load_power_w"
COMPARED = (*FIGURES, TIMING)
"""What motors are compared in: the figures of a ranking, and the timing they are set to."""
LEAST, MOST = 2, 4
UNKNOWN = FigureOf(None, None, None, 0)


def side_by_side(snapshot: Snapshot, names: Sequence[str], class_name: str | None = None) -> SideBySide:
    """Motors by name, in the order they are named; the class is theirs (class_name: which it has to be).

    Refusal for names nobody knows or named twice, fewer than two, more than four, and motors of different classes.
    The same records always give the same numbers, in whatever order they came in.
    """
    motors = _motors(snapshot, names)
    class_name = _one_class(snapshot, motors, class_name)
    guests = [motor for motor in motors if not takes_part(motor)]
    gathered = gather(snapshot, class_name, guests={motor["id"] for motor in guests})
    track = track_of(snapshot, gathered)
    drawn = drawn_of(snapshot, gathered, snapshot.team(), track)[0] if gathered.motors else None
    beside = _Beside(motors, gathered, drawn)
    figures = {name: beside.figure(name) for name in COMPARED}
    ranked = {motor["id"] for motor in gathered.motors}
    shown = [motor for motor in motors if motor["id"] in ranked]
    basis = basis_of(drawn, track) if drawn else Basis(leads_mohm=snapshot.team().leads_mohm)
    last_on = last_on_the_bench(snapshot)
    since, worked = stands_since(snapshot, last_on), work_since(snapshot, last_on)
    return SideBySide(
        answer=CompareAnswer(beside.names, basis, figures),
        class_=gathered.class_row["name"] if gathered.class_row else None,
        power_pct=beside.power_pct(),
        likelier=beside.likelier,
        runs=runs_beside(gathered, drawn, track, shown, snapshot.rows("build")),
        why_not={each.motor: each.why for each in gathered.not_ranked if each.motor in beside.names},
        guests=[motor["name"] for motor in guests],
        since={motor["name"]: since[motor["id"]] for motor in motors if motor["id"] in since},
        worked={motor["name"]: worked[motor["id"]] for motor in motors if motor["id"] in worked},
    )


def _motors(snapshot: Snapshot, names: Sequence[str]) -> list[Row]:
    """The motors meant."""
    if not LEAST <= len(names) <= MOST:
        raise Refusal(f"{counted_words(len(names), 'motor')} named to stand side by side; two to four would be right.")
    motors = [motor_of(snapshot, name) for name in names]
    for at, motor in enumerate(motors):
        if motor in motors[:at]:
            raise Refusal(f"{motor['name']} is named twice; another motor to stand beside it would be right.")
    return motors


def _one_class(snapshot: Snapshot, motors: Sequence[Row], wanted: str | None) -> str:
    """The class of all of them."""
    classes = [_class_of(snapshot, motor) for motor in motors]
    other = next((at for at, name in enumerate(classes) if name != classes[0]), None)
    if other is not None:
        one, two = (f"{motors[at]['name']} is in {classes[at] or 'no class'}" for at in (0, other))
        raise Refusal(f"{one} and {two}; motors of one class would be right.")
    if wanted is not None:
        sheet = class_asked(snapshot, timely(snapshot.rows("bench_run")), wanted)
        if name_key(sheet["name"] if sheet else "") != name_key(classes[0]):
            named, are = listed([motor["name"] for motor in motors]), classes[0] or "no class"
            right = f'--class "{classes[0]}"' if classes[0] else '--class ""'
            raise Refusal(f"{named} are in {are}, not in {wanted or 'no class'}; {right} would be right.")
    return classes[0]


def _class_of(snapshot: Snapshot, motor: Row) -> str:
    sheet = class_sheet_of(snapshot, motor)
    return "" if "binned_at" in sheet else str(sheet.get("name", ""))


class _Beside:
    """The figures of some motors out of the draws of their class."""

    def __init__(self, motors: Sequence[Row], gathered: Gathered, drawn: Drawn | None) -> None:
        places = {motor["id"]: at for at, motor in enumerate(gathered.motors)}
        self.names = [str(motor["name"]) for motor in motors]
        self.likelier: dict[str, dict[tuple[str, str], str]] = {name: {} for name in COMPARED}
        self._drawn, self._gathered = drawn, gathered
        self._places = [places.get(motor["id"]) for motor in motors]

    def figure(self, name: str) -> FigureBeside:
        """One figure; a motor of which no reading carries it is not known."""
        drawn = self._drawn
        if drawn is None:
            return self._told(name, {})
        if name == TIMING:
            return self._timing(drawn)
        known = {at: place for at, place in enumerate(self._places) if place is not None and drawn.known(name, place)}
        values = {
            at: (drawn.values[name][:, place], drawn.summary.figures[name][place], drawn.runs(name, place))
            for at, place in known.items()
        }
        return self._told(name, values)

    def _timing(self, drawn: Drawn) -> FigureBeside:
        """What each was last set to."""
        runs = self._gathered.runs
        state = np.array([self._gathered.state_of.get(run["id"], 0) for run in runs], dtype=np.int64)
        found = timing_as_set(drawn.asked.runs, state, drawn.asked.n_motors, n_draws=drawn.power.watts.shape[0])
        if found is None:
            return self._told(TIMING, {})
        draws, counts = found
        told = intervals(draws)
        return self._told(
            TIMING,
            {
                at: (draws[:, place], told[place], int(counts[place]))
                for at, place in enumerate(self._places)
                if place is not None and counts[place]
            },
        )

    def power_pct(self) -> FigureBeside:
        """Power at load as the ranking shows it, in percent of the mean of the motors compared."""
        drawn = self._drawn
        if drawn is None:
            return self._told(POWER, {})
        percent = 100 * (drawn.power.watts / drawn.power.watts.mean(axis=1, keepdims=True) - 1)
        told = intervals(percent)
        return self._told(
            POWER,
            {
                at: (percent[:, place], told[place], drawn.runs(POWER, place))
                for at, place in enumerate(self._places)
                if place is not None and drawn.known(POWER, place)
            },
        )

    def _told(self, name: str, values: "Mapping[int, tuple[np.ndarray, Interval | None, int]]") -> FigureBeside:
        """values: draws, interval and runs of the motors the figure is known of, by their place among those named."""
        figures = [figure_of(*values[at][1:]) if at in values else UNKNOWN for at in range(len(self.names))]
        pairs = [(one, two) for one in range(len(self.names)) for two in range(one + 1, len(self.names))]
        return FigureBeside(figures, [self._difference(name, values, *pair) for pair in pairs])

    def _difference(
        self, name: str, values: "Mapping[int, tuple[np.ndarray, Interval | None, int]]", one: int, two: int
    ) -> Difference:
        of = (self.names[one], self.names[two])
        if one not in values or two not in values:
            return Difference(of, None, None, None, None, None)
        found = apart(values[one][0], values[two][0], GOALS[name].better if name in GOALS else 0)
        between, better = found.difference, None
        if found.likelier is not None and found.chance is not None:
            self.likelier[name][of] = of[found.likelier]
            better = of[found.likelier] if found.chance >= SEPARATED else None
        return Difference(of, between.mean, between.low90, between.high90, better, found.chance)
