"""The rows of the calibration table: kinds of simulated bench days by name."""

from dataclasses import replace
from functools import partial

from tests.benchmarks import hard_days as hard
from tests.benchmarks.bench_days import World

CLOSE = World(motor_pct=(0.8, 4.0, 1.5), session_pct=(0.2, 1.0, 1.0), noise_pct=(0.15, 0.8, 0.7), tail=5.0, linked=True)
"""Motors alike, a good tester with now and then a reading far off."""
WIDE = World(motor_pct=(2.5, 10.0, 4.0), session_pct=(0.6, 3.0, 3.0), noise_pct=(0.3, 1.5, 1.5))
"""Motors, sessions and readings all further apart than believed."""
STATED = World(noise_pct=(0.2, 1.0, 1.0))
FIVE = {"runs": 5, "sessions": (1, 2, 3)}
ROWS = {
    "stated priors, 2 runs": World(),
    "stated priors, 5 runs": World(**FIVE),
    "stated priors, 2 runs, no R": World(resistance=False),
    "stated priors, 5 runs, no R": World(resistance=False, **FIVE),
    "motors alike, 2 runs": CLOSE,
    "motors alike, 5 runs": replace(CLOSE, **FIVE),
    "motors alike, 2 runs, no R": replace(CLOSE, resistance=False),
    "motors far apart, 2 runs": WIDE,
    "motors far apart, 5 runs": replace(WIDE, **FIVE),
    "tester twice as noisy, 2 runs": replace(STATED, noise_factor=2.0),
    "tester twice as noisy, 5 runs": replace(STATED, noise_factor=2.0, **FIVE),
    "one run 8 sigma off, 3 runs": replace(STATED, outlier=True, runs=3),
    "one run 8 sigma off, 5 runs": replace(STATED, outlier=True, **FIVE),
    "identical pair, 2 runs": World(motors=(2,), identical=True),
    "identical pair, 5 runs": World(motors=(2,), identical=True, **FIVE),
    "identical pair, 2 runs, no R": World(motors=(2,), identical=True, resistance=False),
    "identical pair, 5 runs, no R": World(motors=(2,), identical=True, resistance=False, **FIVE),
    "timing set to even out KV, 5 runs": World(timing_known=1.0, evened=True, **FIVE),
}

for _sigmas in (0.0, 0.5, 1.0, 2.0):
    _clamped = replace(STATED, hidden=(partial(hard.clamped, sigmas=_sigmas),))
    ROWS |= {
        f"clampings {_sigmas:g} sigma, 5 runs": replace(_clamped, runs=5, sessions=(1, 2)),
        f"clampings {_sigmas:g} sigma, own evenings, 5 runs": replace(_clamped, runs=5, sessions=(3,), evenings="own"),
    }

ONE_EVENING = replace(STATED, runs=3, sessions=(1,))
TIMED = replace(STATED, timing_known=1.0, timing_sd=2.0, timing_noise=0.5, **FIVE)
DRIFT = replace(STATED, runs=5, sessions=(1, 2))
ROWS |= {
    "hard: timing noise 0.5 deg": TIMED,
    "hard: timing noise 0.5 deg, KV 0.9 % a deg": replace(TIMED, hidden=(partial(hard.timing_tells, kv_pct=0.9),)),
    "hard: winding typed with every run, 2 runs": replace(STATED, typed=(hard.winding_copied,), sessions=(1,)),
    "hard: winding typed with every run, 5 runs": replace(STATED, typed=(hard.winding_copied,), sessions=(1,), runs=5),
    "hard: clips 2 % off, readings agree": replace(ONE_EVENING, hidden=(partial(hard.clips, pct=2.0, noise=0.3),)),
    "hard: R of one off by 1.5 mohm": replace(ONE_EVENING, hidden=(partial(hard.winding_off, mohm=1.5),)),
    "hard: R of one off by 0.5 mohm": replace(ONE_EVENING, hidden=(partial(hard.winding_off, mohm=0.5),)),
    "hard: R of one read 10 K warm": replace(ONE_EVENING, hidden=(partial(hard.winding_warm, kelvin=10.0),)),
    "hard: drift 2 sigma an hour, in turn": replace(DRIFT, hidden=(partial(hard.drifting, sigmas=2.0),)),
    "hard: drift 2 sigma an hour, blocks": replace(DRIFT, blocks=True, hidden=(partial(hard.drifting, sigmas=2.0),)),
    "hard: drift 3 sigma an hour, blocks": replace(DRIFT, blocks=True, hidden=(partial(hard.drifting, sigmas=3.0),)),
    "hard: one on another evening": replace(
        STATED, runs=3, sessions=(2,), evenings="one apart", session_pct=(0.6, 4.0, 4.0)
    ),
    "hard: leads 35 for 20 mohm": replace(STATED, runs=3, hidden=(partial(hard.other_leads, ohm=0.035),)),
    "hard: one very bad motor": replace(CLOSE, motors=(4, 6), runs=3, hidden=(hard.one_bad_motor,)),
    "hard: warmth that lags": replace(STATED, hidden=(hard.lagging,), **FIVE),
    "hard: heavy-tailed noise": replace(STATED, tail=3.0, **FIVE),
    "hard: rounded readings": replace(STATED, typed=(hard.rounded,), runs=3),
    "hard: twelve identical motors": replace(STATED, motors=(12,), identical=True, runs=3),
}
