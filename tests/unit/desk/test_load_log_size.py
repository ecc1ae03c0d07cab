"""A long log is worked out in little memory. How long it takes: `tests.benchmarks.load_log_reading`."""

import tracemalloc

import pytest

from tests.benchmarks.load_log_reading import worked_out
from tests.unit.desk.load_logs import load_log

HOUR = 36_000
MOST_BYTES_A_ROW = 250
"""So a million rows stay below 300 MB, with what Python and numpy take themselves."""


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    path = tmp_path_factory.mktemp("log") / "hour.csv"
    path.write_text(load_log(pulls=HOUR // 80), encoding="utf-8")
    return path


def test_memory_grows_little_with_the_rows(path):
    assert worked_out(path).separated
    tracemalloc.start()
    try:
        worked_out(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < MOST_BYTES_A_ROW * HOUR + 8e6
