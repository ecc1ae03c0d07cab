"""What chance would decide is fixed: the examples of hypothesis and new ids are the same whenever and wherever a test
runs, so that a green test stays green and a red one red."""

import os
import secrets
from random import Random

import pytest
from hypothesis import HealthCheck, register_random, settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is there: the tests' processes share the cores

settings.register_profile(
    "fixed", derandomize=True, database=None, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fixed")

ids = Random()
register_random(ids)  # begun anew for every example


@pytest.fixture(autouse=True)
def same_ids(request, monkeypatch):
    """What goes by ids where all else is equal comes in the same order in every run."""
    ids.seed(request.node.nodeid)
    monkeypatch.setattr(secrets, "token_hex", lambda size: f"{ids.getrandbits(8 * size):0{2 * size}x}")
