"""Published random-effects data sets with their estimates, each with its source."""

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
