"""What one comparison is asked about: the readings of the motors compared, by figure, and the conditions of their runs.

Columns and nothing worked out. How they become layouts of the engine stands in `laid_out`, what it answers in
`comparison`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.conditions import RunConditions
from pitbench.figures.load_evidence import LogReadings
from pitbench.figures.load_power import Load


@dataclass(frozen=True)
class Readings:
    """Readings of one figure in its own unit, in columns [n]: motor, session, value, weight, run, state.

    run: place of its run in the conditions of the bench runs, −1 for a reading made without a run. state: how many
    pieces of work had been done on its motor before; empty: none on any motor.
    """

    motor: Ints
    session: Ints
    value: Floats
    weight: Floats
    run: Ints
    state: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    @classmethod
    def of(cls, rows: Sequence[tuple[int, int, float, float, int]]) -> "Readings":
        """From rows of (motor, session, value, weight, run)."""
        columns = np.array(rows, dtype=float).reshape(-1, 5).T
        motor, session, run = (columns[i].astype(np.int64) for i in (0, 1, 4))
        return cls(motor, session, columns[2], columns[3], run)


NO_READINGS = Readings.of([])


@dataclass(frozen=True)
class Parts:
    """of [builds × 3]: stator, rotor and end bell of every build that may be made, each kind counted from 0.

    The builds that were tested stand first, and are the motors of the comparison. sizes: parts of each kind. shares: of
    stator, rotor, end bell and remainder in the variance between builds, by figure, in place of what is believed.
    """

    of: Ints
    sizes: tuple[int, int, int]
    shares: Mapping[str, tuple[float, float, float, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class Comparison:
    """Motors 0 to n_motors − 1 in canonical order, conditions of the bench runs, readings by figure, working point.

    Rows stand in canonical order too, so that the order of the logbook never changes a number. Resistances: at 20 °C.
    states [motors]: how many pieces of work were done on each motor up to now; empty: none. What is compared is the
    motor as it is now; with `every_state` every motor in every state, motor by motor, the oldest state first. parts:
    what the motors are built from; then a motor is a build, and draws are of every build that may be made, in every
    state only where all of them were tested. logs: what load logs told of these motors as they are now; a comparison of
    parts leaves them out.
    """

    n_motors: int
    runs: RunConditions
    readings: Mapping[str, Readings]
    load: Load
    turns: float | None = None
    least_resistance_mohm: float | None = None
    states: Sequence[int] = ()
    parts: Parts | None = None
    every_state: bool = False
    logs: LogReadings | None = None

    @property
    def n_drawn(self) -> int:
        """How many motors, or builds, values are drawn of."""
        if self.every_state:
            return self.n_motors + sum(self.states)
        return self.n_motors if self.parts is None else int(self.parts.of.shape[0])

    @property
    def drawn_as(self) -> tuple[Ints, Ints]:
        """Motor and state of everything that values are drawn of, where these are the motors compared."""
        motor = np.arange(self.n_motors)
        states = np.asarray(self.states, dtype=np.int64) if len(self.states) else np.zeros_like(motor)
        if not self.every_state:
            return motor, states
        counts = states + 1
        of = np.repeat(motor, counts)
        return of, np.arange(of.size) - np.repeat(np.cumsum(counts) - counts, counts)

    def of(self, name: str) -> Readings:
        """The readings of a figure, none where nobody took any."""
        return self.readings.get(name, NO_READINGS)
