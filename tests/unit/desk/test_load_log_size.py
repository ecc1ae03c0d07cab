"""An hour's log is worked out in a few times what numpy needs to read its numbers, and a long one in little memory."""

import tracemalloc
from time import perf_counter

import numpy as np
import pytest

from pitbench.desk.load.samples import samples_of
from pitbench.figures.load_log import analyse
from pitbench.sheets import load_log as sheet
from tests.unit.desk.load_logs import load_log

HOUR = 36_000
TIMES_NUMPY = 4
MOST_BYTES_A_ROW = 250
"""So a million rows stay below 300 MB, with what Python and numpy take themselves."""


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    path = tmp_path_factory.mktemp("log") / "hour.csv"
    path.write_text(load_log(pulls=HOUR // 80), encoding="utf-8")
    return path


def worked_out(path):
    head = sheet.look(path)
    read = sheet.read(path, head, sheet.mapped(head, {}, {}))
    samples = samples_of(read, {})
    read.samples.clear()
    return analyse(samples)


def seconds(work):
    begin = perf_counter()
    work()
    return perf_counter() - begin


def test_an_hour_is_worked_out_within_four_times_what_numpy_reads_it_in(path):
    """The least of five rounds, in turn: what else the computer does meanwhile slows both."""
    assert worked_out(path).separated
    rounds = [
        (seconds(lambda: np.loadtxt(path, delimiter=",", skiprows=1)), seconds(lambda: worked_out(path)))
        for _ in range(5)
    ]
    numpy_alone, ours = map(min, zip(*rounds, strict=True))
    assert ours < TIMES_NUMPY * numpy_alone


def test_memory_grows_little_with_the_rows(path):
    worked_out(path)
    tracemalloc.start()
    try:
        worked_out(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < MOST_BYTES_A_ROW * HOUR + 8e6
