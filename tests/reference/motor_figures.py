"""Published and derived values for the figures of one bench run and the three-constant motor, each with its source."""

# M. Drela, First-Order DC Electric Motor Model, MIT Aero & Astro (2007), sections 2-3. The best-efficiency form was
# read there, the other forms are recalled from memory; the numbers were derived for two made-up motors and agreed with
# numerical maximisation.
THREE_CONSTANT_MOTORS = (
    {
        "given": {"voltage": 7.4, "kv": 2500.0, "no_load_current": 3.0, "resistance": 0.02},
        "torque_constant": 0.00381972,
        "no_load_rpm": 18350.0,
        "stall_current": 370.0,
        "stall_torque": 1.40183674,
        "best_efficiency_current": 33.3166625,
        "best_efficiency": 0.82801804,
        "most_power_current": 186.5,
        "most_power": 673.445,
    },
    {
        "given": {"voltage": 12.0, "kv": 850.0, "no_load_current": 0.6, "resistance": 0.13},
        "torque_constant": 0.01123447,
        "no_load_rpm": 10133.7,
        "stall_current": 92.30769231,
        "stall_torque": 1.030287,
        "best_efficiency_current": 7.44208408,
        "best_efficiency": 0.84525485,
        "most_power_current": 46.45384615,
        "most_power": 273.33477692,
    },
)

# Fitzgerald, Kingsley & Umans, Electric Machinery, 6th ed., example 7.9, p. 389 (found as a worked copy). The book
# prints Km 0.22 and 61 W; the unrounded values were recomputed from its data.
FITZGERALD_7_9 = {
    "no_load": {"voltage": 50.0, "current": 1.25, "rpm": 2100.0},
    "resistance": 1.03,
    "at": {"voltage": 48.0, "rpm": 1700.0},
    "km_printed": 0.22,
    "loss_printed_w": 61.0,
    "kv": 43.1101,
    "kv_naive": 42.0,
    "loss_w": 60.891,
    "current_a": 8.3166,
    "shaft_power_constant_i0_w": 278.663,
}

# Annealed copper: IEC 60028 (0.00393 per K at 20 °C), recalled from memory: no resistance would be left at −234.45 °C.
COPPER_K_FROM_ALPHA = 234.45

# Basic Electrical Engineering, example 2.18, p. 32 (found as a worked copy): 3.42 ohm at 20 °C, 4.22 ohm hot. The
# book's own constant gives 59.59 K; with 0.00393 per K the recomputed rise is 59.521 K.
WINDING_RISE = {"cold": 3.42, "hot": 4.22, "rise_alpha": 59.521}

# Sintered NdFeB, remanence read on a supplier page, ranges of IEC 60404-8-1 / MMPA 0100-00.
NDFEB = {
    "remanence_kg": {20.0: 13.82, 150.0: 11.69},
    "per_k_percent": -0.119,
    "range_percent": (-0.13, -0.09),
}

# Geometry of three Hall sensors with placement errors (derived); effects from memory of Samoylenko, Han & Jatskevich,
# IEEE Trans. Energy Conversion 23 (2008).
HALL = {"errors": (2.0, -3.0, 1.0), "steps": (59.0, 56.0, 65.0, 59.0, 56.0, 65.0)}

# NIST SP 811 (2008), Appendix B.8 (recalled, agrees with scipy.constants).
RAD_S_PER_RPM = 0.10471975511965977
