"""A small sample of the table of `link`. Wider than its limits by what so few seasons leave to chance."""

import pytest

from tests.benchmarks import link

SEASONS = 24


def test_without_a_link_seldom_one_is_found_which_runs_taken_as_independent_nearly_always_give():
    rows = [link.sample(link.WITHOUT[name], SEASONS // 2, link.REPORTED) for name in ("no link", "no link, few raced")]
    assert sum(row.any for row in rows) / 2 <= 0.07 + 2 * (0.05 * 0.95 / SEASONS) ** 0.5
    assert min(row.independent for row in rows) > 0.6
    assert min(row.best_skill for row in rows) > 0


@pytest.mark.parametrize(
    ("name", "least"), [("power tells pace, driver steady", 0.4), ("current tells temperature", 0.6)]
)
def test_with_a_link_it_is_found(name, least):
    assert link.sample(link.WITH[name], 8, link.REPORTED).right >= least
