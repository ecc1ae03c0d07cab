"""What chance would decide is fixed: the examples of hypothesis and new ids are the same whenever and wherever a test
runs, so that a green test stays green and a red one red. And nothing is compiled twice: six processes run the tests,
and many of these start commands."""

import gc
import os
import secrets
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, register_random, settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is there: the tests' processes share the cores

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # for the other processes; git ignores what they leave
sys.dont_write_bytecode = False

settings.register_profile(
    "fixed", derandomize=True, database=None, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fixed")

ids = Random()
register_random(ids)  # begun anew for every example


def pytest_collection(session):
    """Of the whole suite each process compiles a share of its own first, and finds the others' compiled."""
    shared = getattr(session.config, "workerinput", None)
    if shared and not session.config.option.file_or_dir:
        here = Path(__file__).parent
        nth = int(shared["workerid"].removeprefix("gw"))
        for path in sorted(here.rglob("test_*.py"))[nth :: shared["workercount"]]:
            with suppress(Exception):  # told where the file is collected
                import_module(".".join(path.relative_to(here.parent).with_suffix("").parts))


def pytest_collection_finish():
    """All modules and tests stay to the end: no look for garbage goes through them again."""
    gc.freeze()


@pytest.fixture(autouse=True)
def same_ids(request, monkeypatch):
    """What goes by ids where all else is equal comes in the same order in every run."""
    ids.seed(request.node.nodeid)
    monkeypatch.setattr(secrets, "token_hex", lambda size: f"{ids.getrandbits(8 * size):0{2 * size}x}")
