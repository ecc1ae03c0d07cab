"""The cool-down clock in its first half minute, when a can has not yet begun to cool as the law says."""

import pytest

from pitbench.figures.clock import can_at, expected_at
from pitbench.figures.cooling import CanReadings, finish, learn


@pytest.mark.parametrize("after_s", [0.0, 5.0, 29.0])
def test_before_half_a_minute_a_can_is_as_at_half_a_minute(after_s):
    """Read at one minute at 70 °C, it is warmer at 30 s, and no warmer on paper before that."""
    found = finish(CanReadings([60.0], [70.0], 25.0), learn())
    assert can_at(found, [after_s])[0] == can_at(found, [30.0])[0] != can_at(found, [31.0])[0]
    assert expected_at(found, after_s) == expected_at(found, 30.0) > expected_at(found, 60.0)
