"""Load logs with known KV and resistance: stretches at full throttle between stretches that are not."""

import numpy as np

KV, OHM = 3900.0, 0.032
COLUMNS = ("time_s", "voltage_v", "current_a", "rpm", "throttle_pct", "motor_temp_c", "esc_temp_c")


def load_log(pulls=12, seed=1, kv=KV, ohm=OHM, headers=COLUMNS, sep=","):
    """The text of a log at 20 samples a second; rpm = KV·(V − i·R), read with a little noise."""
    draw = np.random.default_rng(seed)
    part, full = 40, 40
    count = pulls * (part + full)
    at = np.arange(count)
    at_full = at % (part + full) >= part
    since = at % (part + full) - part
    throttle = np.where(at_full, 100.0, 30.0 + 10 * np.sin(at / 7))
    bumps = np.clip(draw.normal(0, 3, count), -8, 8)  # the track is not smooth: tells at once whether speed comes late
    current = np.where(at_full, 18 + 20 * np.exp(-since / 12.0) + bumps, 6.0)
    voltage = 7.9 - 0.02 * current - at / count * 0.3
    rpm = kv * (voltage * throttle / 100 - current * ohm)
    columns = (
        0.05 * at,
        voltage + draw.normal(0, 0.005, count),
        current + draw.normal(0, 0.05, count),
        rpm + draw.normal(0, 40, count),
        throttle,
        30 + 40 * at / count,
        28 + 20 * at / count,
    )
    rows = [sep.join(f"{number:.3f}" for number in row) for row in zip(*columns, strict=True)]
    return "\n".join([sep.join(headers), *rows]) + "\n"
