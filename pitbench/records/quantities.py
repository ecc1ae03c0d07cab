"""Every number a person writes down: its name, unit, one line of meaning and its two ranges.

Outside `possible` a number is refused; outside `likely` it is a suspect that can be kept. Forms, sheets, checks and
the docs read this table; no range or unit stands a second time elsewhere. Without pydantic: screens may read it early.
"""

from dataclasses import dataclass

Range = tuple[float, float]


@dataclass(frozen=True)
class Quantity:
    """One numeric field: `label` is what a form calls it, `decimals` how many places are shown."""

    name: str
    label: str
    unit: str
    meaning: str
    possible: Range
    likely: Range
    decimals: int = 0
    whole: bool = False


def _table(*quantities: Quantity) -> dict[str, Quantity]:
    return {quantity.name: quantity for quantity in quantities}


TEMPERATURE: Range = (-30.0, 200.0)
TIMING: Range = (-30.0, 120.0)
USUAL_TIMING: Range = (15.0, 65.0)
PERCENT: Range = (0.0, 100.0)

QUANTITIES = _table(
    # conditions
    Quantity("test_voltage_v", "test voltage", "V", "Voltage the tester puts on the motor.", (0.5, 60), (3, 9), 2),
    Quantity("spin_s", "spin time", "s", "How long the motor spun before the figures were read.", (1, 3600), (2, 180)),
    Quantity("ambient_c", "ambient", "°C", "Air temperature where the motor is.", (-30, 70), (-5, 48), 1),
    Quantity("motor_temp_c", "motor temperature", "°C", "Can temperature at the reading.", TEMPERATURE, (-5, 90), 1),
    Quantity(
        "poles_assumed",
        "poles assumed",
        "",
        "Pole count the tester worked the speed out with.",
        (2, 40),
        (2, 8),
        0,
        True,
    ),
    Quantity(
        "timing_mark_deg", "timing mark", "°", "Where the end bell's timing scale is set.", (-90, 120), (0, 65), 1
    ),
    # speed
    Quantity(
        "kv_rpm_per_v", "KV", "rpm/V", "No-load speed per volt at the test voltage.", (100, 100_000), (1000, 12_000)
    ),
    Quantity("rpm", "speed", "rpm", "No-load speed of the shaft.", (100, 300_000), (2000, 90_000)),
    Quantity("erpm", "electrical speed", "erpm", "No-load speed times pole pairs.", (100, 2_000_000), (2000, 180_000)),
    # current
    Quantity(
        "no_load_current_a", "no-load current", "A", "Current drawn while spinning free.", (0.01, 100), (0.5, 15), 2
    ),
    # timing
    Quantity(
        "timing_deg", "timing, total", "°", "Electrical advance as the tester states it.", TIMING, USUAL_TIMING, 1
    ),
    Quantity("timing_a_deg", "sensor A", "°", "Timing of Hall sensor A.", TIMING, USUAL_TIMING, 1),
    Quantity("timing_b_deg", "sensor B", "°", "Timing of Hall sensor B.", TIMING, USUAL_TIMING, 1),
    Quantity("timing_c_deg", "sensor C", "°", "Timing of Hall sensor C.", TIMING, USUAL_TIMING, 1),
    # unevenness
    Quantity(
        "pole_imbalance_pct",
        "pole imbalance",
        "%",
        "How unequally the rotor's poles are magnetised.",
        PERCENT,
        (0, 15),
        1,
    ),
    Quantity(
        "hall_level_spread_pct", "Hall level spread", "%", "How much the sensors' signals differ.", PERCENT, (0, 20), 1
    ),
    # resistance
    Quantity(
        "resistance_mohm",
        "resistance",
        "mΩ",
        "Winding, phase to phase; best measured cold.",
        (0.1, 10_000),
        (2, 150),
        1,
    ),
    Quantity(
        "resistance_temp_c",
        "winding at",
        "°C",
        "Winding temperature when the resistance was read.",
        TEMPERATURE,
        (-5, 90),
        1,
    ),
    # motors and class sheets
    Quantity("turns", "turns", "T", "Winding turns.", (0.5, 200), (3, 30), 1),
    Quantity("poles", "poles", "", "Magnet poles of the rotor, always even.", (2, 40), (2, 8), 0, True),
    Quantity("cells", "cells", "", "Cells in the class's pack.", (1, 14), (1, 4), 0, True),
    Quantity(
        "min_resistance_mohm",
        "least resistance",
        "mΩ",
        "Least winding resistance the class allows.",
        (0.1, 10_000),
        (2, 150),
        1,
    ),
    Quantity("max_timing_deg", "most timing", "°", "Most timing the class allows.", TIMING, USUAL_TIMING, 1),
    Quantity("max_rollout_mm", "longest rollout", "mm", "Longest rollout the class allows.", (1, 1000), (15, 150), 1),
    Quantity("min_fdr", "least FDR", "", "Least final drive ratio the class allows.", (0.5, 60), (2, 20), 2),
    # track runs
    Quantity("pinion", "pinion", "", "Teeth of the pinion.", (1, 200), (8, 60), 0, True),
    Quantity("spur", "spur", "", "Teeth of the spur.", (5, 400), (30, 140), 0, True),
    Quantity("internal_ratio", "internal ratio", "", "The gearbox's fixed ratio.", (0.2, 20), (1, 5), 2),
    Quantity("tyre_diameter_mm", "tyre diameter", "mm", "Tyre diameter as it is today.", (5, 500), (20, 200), 1),
    Quantity("tyre_runs", "tyre runs", "", "Runs the tyres have had before.", (0, 10_000), (0, 100), 0, True),
    Quantity("esc_timing_deg", "ESC timing", "°", "Timing the speed control adds.", (0, 120), (0, 60), 1),
    Quantity("run_time_s", "run time", "s", "From start to finish.", (1, 86_400), (60, 3600), 1),
    Quantity("laps", "laps", "", "Laps driven.", (0, 10_000), (1, 500), 0, True),
    Quantity("lap_times_s", "lap times", "s", "Time of every lap, in order.", (1, 3600), (4, 180), 2),
    Quantity("best_lap_s", "best lap", "s", "Time of the fastest lap.", (1, 3600), (4, 180), 2),
    Quantity("average_lap_s", "average lap", "s", "Mean time of a lap.", (1, 3600), (4, 180), 2),
    Quantity("track_c", "track", "°C", "Temperature of the track's surface.", (-30, 90), (-5, 70), 1),
    Quantity("start_temp_c", "start temperature", "°C", "Can temperature at the start.", TEMPERATURE, (-5, 80), 1),
    Quantity("finish_reading_c", "finish reading", "°C", "What the thermometer said.", TEMPERATURE, (5, 120), 1),
    Quantity("finish_reading_after_s", "read after", "s", "How long after the finish.", (0, 86_400), (0, 1800)),
    Quantity("esc_temp_c", "ESC", "°C", "Temperature of the speed control.", TEMPERATURE, (-5, 120), 1),
    Quantity("charge_used_mah", "charge used", "mAh", "Charge taken from the pack.", (0, 100_000), (20, 10_000)),
    # cooling readings
    Quantity("after_s", "read after", "s", "How long after the finish of the run.", (0, 86_400), (0, 7200)),
    Quantity("temp_c", "can", "°C", "Can temperature at that time.", TEMPERATURE, (-5, 120), 1),
    # gears
    Quantity("teeth", "teeth", "", "Teeth of the gear.", (1, 400), (8, 140), 0, True),
    Quantity("module", "module", "mm", "Pitch diameter per tooth.", (0.1, 5), (0.25, 1.5), 3),
    Quantity("dp", "diametral pitch", "", "Teeth per inch of pitch diameter.", (5.08, 254), (17, 100)),
    # settings of the team
    Quantity("volts_per_cell", "volts per cell", "V", "Pack voltage per cell under load.", (2.5, 4.5), (3.3, 4.25), 2),
    Quantity("leads_mohm", "leads", "mΩ", "Wires, connectors and speed control in series.", (0, 500), (2, 60), 1),
    Quantity("ceiling_c", "temperature limit", "°C", "Finish temperature you will not exceed.", (30, 200), (50, 120)),
)

# What is not a number: the same one line of meaning for forms and docs.
MEANINGS = {
    "motor": "Name of the motor, as written on its can.",
    "class": "Class the motor is run in.",
    "taken_at": "When the figures were read, local time.",
    "session": "Name of the bench session; runs of one sitting share one tester bias.",
    "tester": "Which tester took the figures.",
    "sensored": "Whether the tester used the Hall sensors.",
    "stator": "Stator with its winding.",
    "rotor": "Rotor with its magnets.",
    "end_bell": "End bell with the Hall sensor board.",
    "fitted": "Yes: these parts stay in the motor; no: they were only tried.",
    "since": "From when on the motor is built like this.",
    "check_motor": "A motor run in every bench session to see the tester drift.",
    "in_use": "Whether the motor takes part in rankings.",
    "owner": "Whose motor it is; blank: yours. Rankings compare yours.",
    "excluded_why": "Why this run is left out of every figure.",
    "note": "Anything worth remembering.",
    "event": "Name of the race day or weekend.",
    "date": "Its first day.",
    "track": "Where it was run.",
    "surface": "What the track is made of and how it was.",
    "start_times": "When your rounds start, like: qualifier 1 11:20, main 14:30.",
    "started_at": "When the run started, local time.",
    "track_run_id": "Id of the track run, where motor and time do not tell it.",
    "car": "Car the motor was in.",
    "round_kind": "Practice, qualifier or main.",
    "round": "Which one of the day, like 2 or A.",
    "tyre": "Tyre and compound.",
    "fan": "Whether a fan blew on the motor during the run.",
    "cooling_fan": "Whether a fan blew on the motor while it cooled.",
    "pack": "Pack that was in the car.",
    "incident": "Crash, traffic or stopped early; its laps stay out of pace.",
    "result": "What came of it, like third.",
    "written_at": "When it was changed.",
    "what": "What was changed.",
    "was": "What it was before.",
    "now": "What it is now.",
    "why": "Why it was changed.",
    "outcome": "What came of it; blank while it is open.",
    "gear": "Pinion or spur.",
    "esc_timing": "Whether the class allows the speed control to add timing.",
    "parts_mixed": "Whether parts of different motors may be mixed: yes, no, same model.",
    "gearing_limit": "What stops you gearing higher: none, heat, rules, gears, unknown.",
}
