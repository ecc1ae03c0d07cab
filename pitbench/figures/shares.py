"""How the spread between builds is shared out among their parts: believed shares, which yield to what moved parts show.

The builds of one comparison have one spread; each part takes a share of its variance, and the remainder what is left.
A share is drawn about what is believed, so that a logbook whose motors are made otherwise is not held to the table.
"""

from statistics import NormalDist

import numpy as np

from pitbench.figures.arrays import Floats

PART_FACTORS = 3
"""Stator, rotor and end bell: with parts, the last factors of a layout, whose first one is the build."""
DOUBT, REMAINDER_DOUBT = 1.0, 1.5
"""Standard deviation of the log of each part's share, and of the remainder's, before they are made to add up to one.
Ours: chosen on simulated pools of parts whose shares were as believed, all equal, or all in the remainder."""


def roots(believed: Floats, cube: Floats) -> Floats:
    """Square roots of shares [g × k × 4] for g figures at k points of the unit cube [k × 4].

    believed [g × 4] of the remainder, stator, rotor and end bell; what is believed to cause nothing causes nothing.

    >>> roots(np.array([[0.25, 0.0, 0.75, 0.0]]), np.full((1, 4), 0.5)).round(3).tolist()
    [[[0.5, 0.0, 0.866, 0.0]]]
    """
    normal = NormalDist()
    doubt = np.array([REMAINDER_DOUBT, *(DOUBT,) * PART_FACTORS])
    factor = np.exp(doubt * np.array([[normal.inv_cdf(each) for each in point] for point in cube.tolist()]))
    share = believed[:, None, :] * factor
    return np.asarray(np.sqrt(share / share.sum(axis=2, keepdims=True)))


def by_factor(spreads: Floats, root: Floats | None) -> Floats:
    """Spread of every factor, from those of builds, sessions and states [… × spreads] and shares' roots [… × 4]."""
    if root is None:
        return spreads
    build = spreads[..., :1]
    return np.asarray(np.concatenate([build * root[..., :1], spreads[..., 1:], build * root[..., 1:]], axis=-1))
