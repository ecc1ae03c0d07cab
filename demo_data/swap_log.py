"""What the setup log says of every swap of parts: what went where, and what the runs of that evening said of it."""

from datetime import datetime, timedelta

import numpy as np
from motor_nature import MOTORS, SWAPS, Build, Swap, build_at

SEEN_KV, SEEN_A = 8, 0.06  # what a racer takes for a difference between two runs and two more
SAID = {
    (0, 0): "no difference",
    **dict.fromkeys(((1, 0), (0, -1), (1, -1)), "better"),
    **dict.fromkeys(((-1, 0), (0, 1), (-1, 1)), "worse"),
    (1, 1): "faster, draws more",
    (-1, -1): "slower, draws less",
}


def swap_rows(bench: list[dict[str, object]]) -> list[dict[str, object]]:
    """What the setup log says of every swap, in the order of the clock."""
    return [
        {
            "written_at": swap.since,
            "motor": swap.motor,
            "what": swap.kind.replace("_", " "),
            "was": getattr(build_before(swap), swap.kind),
            "now": swap.part,
            "why": swap.why,
            "outcome": swap.outcome or came_of(swap, bench),
        }
        for swap in SWAPS
    ]


def build_before(swap: Swap) -> Build:
    plan = next(motor for motor in MOTORS if motor.name == swap.motor)
    return build_at(plan, datetime.fromisoformat(swap.since) - timedelta(minutes=1))


def came_of(swap: Swap, bench: list[dict[str, object]]) -> str:
    """What a racer writes who looks at the means of the motor's runs of that evening before and after."""
    runs = [row for row in bench if row["motor"] == swap.motor and str(row["taken_at"])[:10] == swap.since[:10]]
    before = [row for row in runs if str(row["taken_at"]) < swap.since][-2:]
    after = [row for row in runs if str(row["taken_at"]) > swap.since][:2]
    faster, more = (
        float(np.mean([float(str(row[name])) for row in after]) - np.mean([float(str(row[name])) for row in before]))
        for name in ("kv_rpm_per_v", "no_load_current_a")
    )
    read = f"KV {round(faster):+d}, {more:+.2f} A".replace("-", "−")
    return f"{SAID[seen(faster, SEEN_KV), seen(more, SEEN_A)]}, {read}"


def seen(change: float, least: float) -> int:
    return (change > least) - (change < -least)
