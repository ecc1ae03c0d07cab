"""Which samples of a load log say what: bad ones, the standstill, full throttle, what is settled, and pulls.

Thresholds are ours: chosen on open logs and simulated ones (docs/figures.md), without a source.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.load_line import MOST_LAG, Chosen

if TYPE_CHECKING:
    from pitbench.figures.load_log import Samples

FULL = 0.995
"""Full throttle means full: letting 0.95 in lowered Kv by 16 % on thirteen open bench logs."""
GAP = 5
"""Sample times without a row that are a gap."""
SETTLE_S = 0.08
"""How long after throttle reached full the current still jumps."""
LONGEST_INTERVAL_S = 0.5
"""With rows further apart, a shift of channels and the time to settle are small parts of a row and do not show."""
BLOCK_S = 4.0
"""What counts as one pull where throttle was never full."""
LEAST_DUTY, LEAST_SHARE = 0.05, 0.1
"""Duty, and speed as a share of its 98 % point, under which a control still starts the motor. Where no current flows
back, the control lets go of a motor faster than it is fed: with current under that share it may spin free."""
STILL_ROWS, OFFSET_DOUBT_A = 10, 0.2
"""Rows at rest that tell what current reads there, and what is doubted of it where there are fewer."""


def interval(time: Floats) -> float:
    """Seconds between rows, the median; infinite under two rows."""
    return float(np.median(np.diff(time))) if time.size > 1 else np.inf


def good(*channels: Floats) -> Bools:
    """Rows whose numbers are all known and none of which lies further than twice the middle 96 % beyond it."""
    found = np.ones(channels[0].size, dtype=bool)
    for channel in channels:
        known = channel[np.isfinite(channel)]
        if known.size:
            low, high = np.percentile(known, (2, 98))
            reach = 2 * (high - low) + 1e-9 + 0.05 * abs(high)
            found &= (channel >= low - reach) & (channel <= high + reach)
        else:
            found &= False
    return found


def standstill(of: "Samples", rpm: Floats) -> tuple[float, float]:
    """What current reads in A when nothing turns and nothing is asked for, nor in the rows beside, and one standard
    error of it; (0, OFFSET_DOUBT_A) where the car never stood."""
    still = (rpm == 0) & ~(np.abs(of.throttle) > 0.02) & ~(np.abs(of.duty) > 0.02) & np.isfinite(of.current_a)
    still[1:-1] &= still[:-2] & still[2:]
    if still.sum() < STILL_ROWS:
        return 0.0, OFFSET_DOUBT_A
    low, middle, high = np.percentile(of.current_a[still], (16, 50, 84)).tolist()
    return middle, 1.2533 * (high - low) / 2 / float(still.sum()) ** 0.5


def full_throttle(of: "Samples") -> Bools:
    """Rows at full throttle: throttle and duty, where known, full, and one of them known."""
    throttle, duty = np.abs(of.throttle), np.abs(of.duty)
    return ~(throttle < FULL) & ~(duty < FULL) & (np.isfinite(throttle) | np.isfinite(duty))


def driven(of: "Samples", known: Bools) -> Bools:
    """Rows in which duty × voltage is what the windings get; known: rows nothing of which is unlikely."""
    if not known.any():
        return known
    (least, most), fast = np.percentile(of.current_a[known], (2, 98)), np.percentile(of.rpm[known], 98)
    rows = (of.duty >= LEAST_DUTY) & (of.rpm >= LEAST_SHARE * fast)
    return rows if least < -LEAST_SHARE * most else rows & (of.current_a >= LEAST_SHARE * most)


@dataclass(frozen=True)
class Stretches:
    """Rows of one kind [n], whose row before is of their stretch, and the number of each one's stretch."""

    member: Bools
    follows: Bools
    number: Ints


def stretches(time: Floats, member: Bools) -> Stretches:
    """Runs of rows of one kind, parted also by gaps."""
    follows = np.zeros(member.size, dtype=bool)
    follows[1:] = member[1:] & member[:-1] & (np.diff(time) <= GAP * interval(time))
    return Stretches(member, follows, np.cumsum(member & ~follows) - 1)


def settled(time: Floats, within: Stretches) -> Bools:
    """Rows with a row of their stretch before them, and SETTLE_S or more after its first; all where rows are so far
    apart that hardly one of them falls into that time."""
    first = np.flatnonzero(within.member & ~within.follows)
    if not first.size or interval(time) > LONGEST_INTERVAL_S:
        return within.member
    since = time - time[first[np.maximum(within.number, 0)]]
    return within.follows & (since >= SETTLE_S)


def chosen(time: Floats, rows: Bools, within: Stretches, usable: Bools, blocks: bool) -> Chosen:
    """The rows of a line. Where rows are close each needs a usable row on either side, and in a pull two of it before:
    with a lag the first still turns as it did before. Rows far apart do not explain one another, and show no lag.

    usable: rows that may explain their neighbours; blocks: pulls are BLOCK_S of time, else the stretches themselves.
    """
    before, after = np.zeros(time.size, dtype=bool), np.zeros(time.size, dtype=bool)
    close = interval(time) <= LONGEST_INTERVAL_S
    if close:
        before[1:] = within.follows[1:] & usable[:-1]
        after[:-1] = within.follows[1:] & usable[1:]
        rows = rows & before & after
        if not blocks:
            rows[1:] &= within.follows[:-1]
        rows[: MOST_LAG + 2] = rows[-MOST_LAG - 2 :] = False
    at = np.flatnonzero(rows)
    label = np.floor(time[at] / BLOCK_S) if blocks else within.number[at]
    return Chosen(at, np.unique(label, return_inverse=True)[1], before[at], after[at], close)
