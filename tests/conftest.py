"""One hypothesis profile for all tests: the same examples on every machine, so that a red test stays red."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "fixed", derandomize=True, database=None, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fixed")
