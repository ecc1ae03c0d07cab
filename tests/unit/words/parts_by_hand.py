"""An answer about parts written by hand: three motors, a spare rotor, one swap made. No engine, so no figure of it."""

from dataclasses import replace

from pitbench.desk.answers import (
    BuildChance,
    BuildToTest,
    Move,
    PartsAnswer,
    PartWorth,
    Spread,
    SwapAdvice,
    SwapsAnswer,
)

KV, CURRENT, IMBALANCE = "kv_rpm_per_v", "no_load_current_a", "pole_imbalance_pct"
FIGURES = (KV, CURRENT, "resistance_mohm", "sensor_spread_deg", IMBALANCE, "hall_level_spread_pct")


def around(mean, half):
    return Spread(mean, mean - half, mean + half)


def part(kind, name, motor, moved=0, separated=False, **figures):
    return PartWorth(kind, name, motor, moved, separated, {each: figures.get(each) for each in FIGURES})


def build(names, tested, chance, score, even):
    """names: of its parts, in a text or a list."""
    return BuildChance(
        *(names.split() if isinstance(names, str) else names), tested, chance, score, score - 1.0, score + 1.0, even
    )


ROTORS = [
    part(
        "rotor", "R8", "Turnstone", 1, True,
        kv_rpm_per_v=around(5, 12), no_load_current_a=around(-0.03, 0.05), pole_imbalance_pct=around(-0.9, 1.0),
    ),
    part("rotor", "R6", "Whio", kv_rpm_per_v=around(2, 15), no_load_current_a=around(-0.02, 0.06)),
    part("rotor", "R3", "Plover", 2, True, kv_rpm_per_v=around(9, 10)),
    part("rotor", "R1", None, 1, True),
]  # fmt: skip
OTHERS = [
    part("stator", "S1", "Whio", resistance_mohm=around(-0.2, 0.1)),
    part("stator", "S6", "Turnstone", 0, True),
    part("stator", "S3", "Plover", 0, True),
    part("end_bell", "E2", "Whio", sensor_spread_deg=around(0.1, 0.2)),
    part("end_bell", "E6", "Turnstone", 0, True),
    part("end_bell", "E5", "Plover", 0, True),
]
BUILDS = [
    (build("S1 R8 E2", False, 0.38, 1.5, 1), None),
    (build("S1 R6 E2", True, 0.35, 1.2, 3), "Whio"),
    (build("S6 R6 E6", False, 0.11, 0.6, 2), None),
    (build("S6 R8 E6", True, 0.06, 0.1, 5), "Turnstone"),
    (build("S3 R1 E5", True, 0.03, -0.2, 12), None),
    (build("S3 R3 E5", True, 0.004, -0.4, 4), "Plover"),
    (build("S3 R6 E5", False, 0.004, -0.6, 6), None),
]
ADVICE = SwapAdvice(
    build=BuildToTest("S1", "R8", "E2", ""),
    motor="Whio",
    moves=[Move("rotor", "R8", "Turnstone")],
    beside="Turnstone",
    opens_it=True,
    rival="Whio",
    chance_better=0.41,
    gain_pct=0.4,
    runs=2,
    winding=False,
    minutes=15.0,
    unparted=["S1", "E2"],
)


def answer(**changes):
    """The answer, or one that differs in these fields."""
    parts = [*OTHERS[:3], *ROTORS, *OTHERS[3:]]
    whole = PartsAnswer(
        class_="club 13.5T",
        as_of="2026-05-17T09:20",
        swaps=SwapsAnswer(parts, [each for each, _ in BUILDS], ADVICE.build),
        in_motor=[motor for _, motor in BUILDS],
        power_pct=[around(0.9 - 0.1 * nth, 0.6) for nth in range(len(parts))],
        advice=ADVICE,
        even_chance=0.96,
        minutes=30.0,
    )
    return replace(whole, **changes)


def of(parts, builds, **changes):
    """An answer about these parts and (build, motor) alone, with nothing to try."""
    swaps = SwapsAnswer(list(parts), [each for each, _ in builds], None)
    motors = [motor for _, motor in builds]
    bare = {"power_pct": [None] * len(swaps.parts), "in_motor": motors, "advice": None, "even_chance": None}
    return answer(swaps=swaps, **{**bare, **changes})
