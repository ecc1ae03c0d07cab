"""Published data sets of random effects with their estimates, each with its source."""

import numpy as np

# Dyestuff: Davies & Goldsmith (1972); data as in lme4. REML and ML values from the lme4 book (Bates), found in a
# transcribed regression test; criterion to four digits and batch effects recalled from memory.
DYESTUFF = {
    "batches": (
        (1545, 1440, 1440, 1520, 1580),
        (1540, 1555, 1490, 1560, 1495),
        (1595, 1550, 1605, 1510, 1560),
        (1445, 1440, 1595, 1465, 1545),
        (1595, 1630, 1515, 1635, 1625),
        (1520, 1455, 1450, 1480, 1445),
    ),
    "reml": {"spread": 42.0006, "noise": 49.5101, "mean": 1527.5, "se": 19.3834, "criterion": 319.6543},
    "ml": {"spread": 37.2602, "noise": 49.5101, "mean": 1527.5, "se": 17.6938, "criterion": 327.3271},
    "reml_effects": (-17.6069, 0.3913, 28.5622, -23.0845, 56.7332, -44.9953),
}

# Penicillin: Davies & Goldsmith (1972); data as in lme4, rows plates a to x, columns samples A to F. REML values from
# the lme4 book (found); ML values and conditional effects recomputed from the balanced layout, not read.
PENICILLIN = {
    "plates": (
        (27, 23, 26, 23, 23, 21),
        (27, 23, 26, 23, 23, 21),
        (25, 21, 25, 24, 24, 20),
        (26, 23, 25, 23, 23, 20),
        (25, 22, 26, 22, 23, 20),
        (24, 22, 25, 23, 22, 19),
        (24, 20, 23, 21, 22, 19),
        (26, 22, 26, 24, 24, 21),
        (24, 21, 24, 22, 22, 20),
        (24, 21, 24, 23, 22, 19),
        (26, 23, 26, 24, 24, 21),
        (25, 22, 26, 24, 24, 20),
        (26, 24, 26, 24, 25, 22),
        (26, 23, 26, 23, 23, 20),
        (26, 23, 25, 24, 24, 22),
        (25, 22, 25, 23, 23, 20),
        (25, 21, 24, 23, 23, 20),
        (25, 22, 24, 23, 23, 19),
        (24, 21, 23, 21, 21, 19),
        (26, 23, 26, 24, 24, 21),
        (25, 21, 24, 22, 22, 18),
        (25, 22, 25, 22, 22, 20),
        (24, 21, 24, 22, 24, 19),
        (24, 21, 24, 22, 21, 18),
    ),
    "reml": {"spreads": (0.8467, 1.9316), "noise": 0.5499, "mean": 22.9722, "se": 0.8086, "criterion": 330.8606},
    "ml": {"spreads": (0.8456, 1.7706), "noise": 0.5499, "criterion": 332.1883},
    "reml_sample_effects": (2.1871, -1.0105, 1.9379, -0.0969, -0.0138, -3.0037),
    "reml_first_plates": (0.8045, 0.8045, 0.1817, 0.3374, 0.0260, -0.4412),
}

# Machines: Milliken & Johnson (1992); Pinheiro & Bates, Mixed-Effects Models in S and S-PLUS (2000), 1.3; data and ML
# estimates of model fm10 of the lme4 book found. Rows workers 1 to 6, columns machines A to C, three scores each.
MACHINES = {
    "scores": (
        ((52.0, 52.8, 53.1), (62.1, 62.6, 64.0), (67.5, 67.2, 66.9)),
        ((51.8, 52.8, 53.1), (59.7, 60.0, 59.0), (61.5, 61.7, 62.3)),
        ((60.0, 60.2, 58.4), (68.6, 65.8, 69.7), (70.8, 70.6, 71.0)),
        ((51.1, 52.3, 50.3), (63.2, 62.8, 62.2), (64.1, 66.2, 64.0)),
        ((50.9, 51.8, 51.4), (64.8, 65.0, 65.4), (72.1, 72.0, 71.1)),
        ((46.4, 44.8, 49.2), (43.7, 44.2, 43.0), (62.0, 61.4, 60.5)),
    ),
    "ml": {
        "worker": 4.3645,
        "cell": 3.397,
        "noise": 0.9616,
        "fixed": (52.3556, 7.9667, 13.9167),
        "se": (2.2692, 1.9873, 1.9873),
        "criterion": 225.2694,
    },
}

# Box, Hunter & Hunter, Statistics for Experimenters (1978), pp. 247-250: reading, additive, car, driver. Data found,
# sums of squares
# from memory, means of each level recomputed.
LATIN_SQUARE = (
    (21, 1, 1, 1), (26, 2, 2, 1), (20, 4, 3, 1), (25, 3, 4, 1),
    (23, 4, 1, 2), (26, 3, 2, 2), (20, 1, 3, 2), (27, 2, 4, 2),
    (15, 2, 1, 3), (13, 4, 2, 3), (16, 3, 3, 3), (16, 1, 4, 3),
    (17, 3, 1, 4), (15, 1, 2, 4), (20, 2, 3, 4), (20, 4, 4, 4),
)  # fmt: skip

# NIST/SEMATECH e-Handbook 7.4.4 (found): five batches, three determinations each.
RANDOM_BATCHES = {"batches": ((74, 76, 75), (68, 71, 72), (75, 77, 77), (72, 74, 73), (79, 81, 79))}

# NIST/SEMATECH e-Handbook 2.4.4.1 to 2.4.4.3, data MPC441.DAT (found): day averages of two runs of six days, and
# short-term standard deviations with 5 degrees of freedom each.
NIST_2441 = {
    "short_term_sd": (0.1024, 0.0943, 0.0622, 0.0702, 0.0627, 0.0622, 0.0996, 0.0533, 0.0364, 0.0768, 0.1042, 0.0868),
    "day_average": (
        (96.0771, 95.9976, 96.0148, 96.0397, 96.0407, 96.0445),
        (96.0793, 96.1115, 96.0803, 96.0411, 96.0988, 96.0482),
    ),
    "level_1_sd": 0.07871,
    "level_1_squares": 0.37176,
    "level_2_sd": 0.02742,
    "level_2_by_run": (0.02728, 0.02756),
    "level_3_sd": 0.02885,
    "variance_component_days": -0.00028072,
}


def readings_2441():
    """Six readings a day with the published averages and standard deviations: values [72], day of each, run of each."""
    pattern = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0]) * np.sqrt(5 / 6)
    means = np.ravel(NIST_2441["day_average"])
    value = np.concatenate([mean + sd * pattern for mean, sd in zip(means, NIST_2441["short_term_sd"], strict=True)])
    day = np.repeat(np.arange(12), 6)
    return value, day, day // 6
