"""Gear trains, gear pairs and pitches of handbooks, and the arithmetic of rollout."""

from math import pi

from pitbench.figures.gearing import MM_PER_INCH, centre_distance, final_drive_ratio, module_of, rollout

# T. H. Wentzell, Machine Design, examples 11.1 (p. 217) and 11.3 (p. 231): found as worked copies.
DOUBLE_REDUCTION = {"driven and driving": ((60, 20), (60, 20)), "rpm": 3600.0, "torque": 200.0}
GEAR_PAIR = {"pinion": 16, "gear": 32, "diametral_pitch": 8.0}

# Definition of the module (ISO 54; diametral pitch as AGMA has it), one inch = 25.4 mm exactly (NIST SP 811): derived.
MODULES = {16: 1.5875, 20: 1.27, 24: 1.0583333, 32: 0.79375, 48: 0.5291667, 64: 0.396875}
CENTRES = ((48, 25, 78, 27.252083), (64, 30, 93, 24.407812))

# Derived from the definitions, recomputed.
ROLLOUT = {"tyre": 63.0, "spur": 78, "pinion": 25, "internal": 1.9}


def test_double_reduction(published):
    """What is behind the first pair is the internal ratio of a gearbox."""
    (first, second), rpm, torque = DOUBLE_REDUCTION.values()
    ratio = final_drive_ratio(*first, final_drive_ratio(*second))
    published("ratio", ratio, 9.0, 1e-12)
    published("output speed, rpm", rpm / ratio, 400.0, 1e-9)
    published("output torque, lbf in", torque * ratio, 1800.0, 1e-9)


def test_gear_pair(published):
    pinion, gear, module = GEAR_PAIR["pinion"], GEAR_PAIR["gear"], module_of(GEAR_PAIR["diametral_pitch"])
    published("ratio", final_drive_ratio(gear, pinion), 2.0, 1e-12)
    published("module, mm", module, 3.175, 1e-12)
    published("pitch diameters, in", [module * n / MM_PER_INCH for n in (pinion, gear)], [2.0, 4.0], 1e-9)
    published("circular pitch, in", pi * module / MM_PER_INCH, 0.39, 0.005)
    published("centre distance, mm", centre_distance(module, pinion, gear), 76.2, 1e-9)
    published("centre distance, in", centre_distance(module, pinion, gear) / MM_PER_INCH, 3.0, 1e-9)


def test_module_and_diametral_pitch(published):
    for pitch, module in MODULES.items():
        published(f"module of {pitch} DP, mm", module_of(pitch), module, 1e-6)
    for pitch, pinion, spur, centre in CENTRES:
        got = centre_distance(module_of(pitch), pinion, spur)
        published(f"centre distance {pinion}/{spur} at {pitch} DP, mm", got, centre, 1e-6)


def test_rollout(published):
    fdr = final_drive_ratio(ROLLOUT["spur"], ROLLOUT["pinion"], ROLLOUT["internal"])
    length = rollout(ROLLOUT["tyre"], fdr)
    published("final drive ratio", fdr, 5.928, relative=1e-6)
    published("rollout, mm", length, 33.387371, relative=1e-6)
