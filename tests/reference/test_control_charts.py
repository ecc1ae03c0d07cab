"""Published control charts: the moving average of NIST's handbook, and how often a chart speaks."""

import numpy as np
import pytest

from pitbench.figures.control import chart

# NIST/SEMATECH e-Handbook 6.3.2.4 (found): EWMA with weight 0.3 about 50, s = 2.0539, asymptotic limits.
EWMA_X = (52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)  # fmt: skip  # noqa: E501
EWMA_Z = (50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99)  # fmt: skip  # noqa: E501

# NIST/SEMATECH e-Handbook 6.3.2.3 (found): 20 means of four about 325, sigma of a mean 0.635; the page's CUSUM speaks
# from group 14 on.
SHIFTED = (324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35)  # fmt: skip  # noqa: E501

# NIST/SEMATECH e-Handbook 6.3.2.3.1 (found; in control 371): average run length of a 3-sigma chart by shift in sigma.
RUN_LENGTH = {0.0: 371, 1.0: 44.0, 1.5: 14.97, 2.0: 6.3, 3.0: 2.0, 4.0: 1.19}


def test_moving_average(published):
    found = chart(EWMA_X, np.full(20, 2.0539**2), centre=50.0, weight=0.3)
    published("moving average", found.smoothed, EWMA_Z, 0.005)
    many = chart(np.full(60, 50.0), np.full(60, 2.0539**2), centre=50.0, weight=0.3)
    published("limits, after 60 points", [50 + many.limit[-1], 50 - many.limit[-1]], [52.5884, 47.4115], 0.0002)
    assert not found.off and np.all(np.abs(found.smoothed - 50) <= found.limit)


def test_a_shift_is_seen_where_the_cusum_sees_it():
    found = chart(SHIFTED, np.full(20, 0.635**2), centre=325.0)
    outside = np.flatnonzero(np.abs(found.smoothed - 325) > found.limit) + 1
    assert outside.tolist() in (list(range(13, 21)), list(range(14, 21)))


@pytest.mark.parametrize("shift", sorted(RUN_LENGTH))
def test_run_length_of_single_points(published, shift):
    """With weight 1 the chart is the 3-sigma chart; the share of points outside is one over its run length."""
    rng = np.random.default_rng(int(10 * shift))
    points = shift + rng.standard_normal((4000, 100))
    limit = chart(points[0], np.ones(100), centre=0.0, weight=1.0).limit
    share = float((np.abs(points) > limit).mean())
    published(f"share outside at {shift} sigma", share, 1 / RUN_LENGTH[shift], relative=0.08 if not shift else 0.02)
