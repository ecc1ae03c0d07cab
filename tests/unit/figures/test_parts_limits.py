"""Where parts must say what the ranking says: all in the remainder, or all in one kind of part."""

from dataclasses import replace

import numpy as np
import pytest

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE
from pitbench.figures.readings import Parts
from tests.unit.figures.made import compared

BELIEVED = {KV: (3920.0, 1.5, 0.2), CURRENT: (4.0, 7.0, 1.0), RESISTANCE: (11.6, 2.0, 0.7)}
TESTED = np.array([(0, 0, 0), (1, 1, 1), (2, 2, 2), (0, 1, 2), (1, 2, 0)])
UNTESTED = np.array([(2, 0, 1), (0, 2, 1)])


def read(motor, session, nature, seed=0):
    """Three runs of each pair of motor and session, from how far each pair's motor lies off in sd [pairs × 3]."""
    rng = np.random.default_rng(seed)
    motor, session, nature = (np.repeat(each, 3, axis=0) for each in (motor, session, nature))
    evening = rng.normal(0, (0.3, 1.0, 1.0), (session.max() + 1, 3))[session]
    values = {
        name: level * np.exp(0.01 * (sd * nature[:, at] + evening[:, at] + noise * rng.standard_normal(motor.size)))
        for at, (name, (level, sd, noise)) in enumerate(BELIEVED.items())
    }
    return compared(values, motor.tolist(), session.tolist())


def built(asked, of, share):
    """The same runs as of builds, with one share for all figures."""
    return replace(asked, parts=Parts(of, (3, 3, 3), dict.fromkeys(MEASURED, share)))


@pytest.fixture(scope="module")
def evenings():
    """Five builds on two evenings, as motors."""
    nature = np.random.default_rng(5).standard_normal((5, 3))
    return read(np.tile(np.arange(5), 2), np.repeat([0, 1], 5), np.tile(nature, (2, 1)))


def percent(values):
    """Draws in percent about their mean motor."""
    found = 100 * np.log(values)
    return found - found.mean(axis=1, keepdims=True)


def alike(one, other):
    """Draws of the same thing, as far as other quadrature points and normals leave them so."""
    sd = other.std(axis=0)
    assert one.mean(axis=0) == pytest.approx(other.mean(axis=0), abs=0.08 * sd.max())
    assert one.std(axis=0) == pytest.approx(sd, rel=0.12)


@pytest.mark.parametrize("name", BELIEVED)
def test_all_in_the_remainder_is_the_ranking(evenings, name):
    """No part tells of another build: tested ones are drawn as motors are, the others as wide as motors are apart."""
    found = draw(built(evenings, np.concatenate([TESTED, UNTESTED]), (0.0, 0.0, 0.0, 1.0)))
    alike(percent(found.values[name][:, :5]), percent(draw(evenings).values[name]))
    each = 100 * np.log(found.values[name])
    away = each[:, 5:] - each[:, :5].mean(axis=1, keepdims=True)
    apart = found.estimates[name].spreads[0]
    assert away.std(axis=0) == pytest.approx(apart * np.sqrt(1 + 1 / 5), rel=0.12)  # about the mean of five others
    assert np.corrcoef(away.T)[0, 1] == pytest.approx(1 / 6, abs=0.1)  # which is all they share


@pytest.mark.parametrize("name", BELIEVED)
def test_all_in_one_kind_is_a_ranking_of_that_kind(name):
    """Builds of one stator, each on an evening of its own beside another's, are one motor, untested ones too."""
    nature = np.random.default_rng(6).standard_normal((3, 3))
    session, build = np.array([0, 0, 0, 1, 1]), np.arange(5)
    stator = TESTED[:, 0]
    as_builds = read(build, session, nature[stator])
    as_motors = replace(
        as_builds,
        n_motors=3,
        runs=replace(as_builds.runs, motor=stator[as_builds.runs.motor].tolist()),
        readings={each: replace(found, motor=stator[found.motor]) for each, found in as_builds.readings.items()},
    )
    builds = draw(built(as_builds, np.concatenate([TESTED, UNTESTED]), (1.0, 0.0, 0.0, 0.0))).values[name]
    assert np.ptp(builds[:, [0, 3, 6]], axis=1) == pytest.approx(0, abs=1e-6 * builds.mean())
    alike(percent(builds[:, :3]), percent(draw(as_motors).values[name]))
