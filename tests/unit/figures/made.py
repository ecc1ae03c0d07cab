"""Comparisons made of numbers, reading by reading, for tests of the engine."""

from dataclasses import replace

import numpy as np

from pitbench.figures.comparison import Comparison, Readings
from pitbench.figures.conditions import RunConditions
from pitbench.figures.load_power import Load


def runs_of(motor, session, **known):
    """Conditions of runs [n], blank but for what is known."""
    n = len(motor)
    blank = {name: [None] * n for name in ("motor_temp", "ambient", "timing", "timing_mark")}
    return RunConditions(list(motor), list(session), **({"run_number": [0] * n} | blank | known))


def compared(read, motor, session=None, *, gearing="unknown", turns=None, **known):
    """What was read in runs [n], by figure; without `session` on one evening; conditions as known."""
    n = len(motor)
    session = [0] * n if session is None else session
    readings = {
        name: Readings(np.array(motor), np.array(session), np.array(value, dtype=float), np.ones(n), np.arange(n))
        for name, value in read.items()
    }
    load = Load(gearing, 7.6, 0.02, 3.7)
    return Comparison(max(motor) + 1, runs_of(motor, session, **known), readings, load, turns)


def only(asked, name, rows):
    """A comparison with some of the readings of one figure."""
    found = asked.of(name)
    columns = (found.motor, found.session, found.value, found.weight, found.run)
    return replace(asked, readings={**asked.readings, name: Readings(*(column[rows] for column in columns))})
