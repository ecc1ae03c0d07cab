"""A load log in words, shared by the command and the log's page.

Words only what the answer holds. KV is the loaded one, and says so.
"""

from pitbench.desk.answers import LoadLogAnswer, Warming
from pitbench.records.harmless import harmless
from pitbench.records.spoken import counted_words
from pitbench.records.stamps import shown_stamp
from pitbench.records.units import Units

NINE_IN_TEN = 1.645
"""Standard errors to either side that hold the true figure nine times in ten (of a normal spread)."""
WHY = {
    "no_speed": "the log has no speed",
    "no_full_throttle": "it never reached full throttle, and has no duty to make up for that",
    "battery_current": "it never reached full throttle, and with its duty the motor's own current would be needed",
    "too_few": "it was at full throttle too short or too seldom",
    "no_spread": "the current was much the same throughout",
    "not_separated": "the current varied too little to tell the one from the other",
    "no_resistance": "the resistance came out at 0 or below, so something in the log is not what it says",
}
LEFT_OUT = {
    "part_throttle": "not at full throttle",
    "unsettled": "still changing",
    "unlikely": "far off the others",
    "repeated": "there twice",
    "unreadable": "unreadable",
}


def load_log_words(answer: LoadLogAnswer, units: Units) -> list[str]:
    """What the log tells, what it came to, and what was odd about it."""
    lines = [headline(answer), counted(answer)]
    lines += [words for words in (at_full(answer), used_up(answer), *warmth(answer, units)) if words]
    lines += doubts(answer)
    stands = "stored" if answer.stored else "stands in the logbook already, nothing was added"
    return [*lines, f"{harmless(answer.file)} {stands}, {tied(answer)}."]


def headline(answer: LoadLogAnswer) -> str:
    """KV under load and the resistance, or why they cannot be told."""
    return f"{answer.motor} under load: {told(answer)}."


def told(answer: LoadLogAnswer) -> str:
    """KV and resistance, each with what holds the true one nine times in ten, or why they cannot be told."""
    kv, ohm = answer.kv_rpm_per_v, answer.resistance_mohm
    if kv.mean is None or kv.se is None or ohm.mean is None or ohm.se is None:
        return f"no KV and no resistance, {WHY.get(answer.why or '', answer.why or '')}"
    resistance = f"{ohm.mean:.1f} ±{NINE_IN_TEN * ohm.se:.1f} mΩ with leads and speed control"
    return f"KV {kv.mean:.0f} ±{NINE_IN_TEN * kv.se:.0f} at work, {resistance}"


def counted(answer: LoadLogAnswer) -> str:
    """How many samples counted, and why the others did not."""
    left = answer.left_out
    counts = [f"{count} {said}" for name, said in LEFT_OUT.items() if (count := getattr(left, name))]
    gaps = f", {counted_words(answer.gaps, 'gap')}" if answer.gaps else ""
    others = f"; left out: {', '.join(counts)}" if counts else ""
    return f"{answer.used} of {counted_words(answer.rows, 'row')} used over {answer.seconds:.0f} s{gaps}{others}."


def at_full(answer: LoadLogAnswer) -> str:
    """Power, current and speed at full throttle; empty where it was never there."""
    full = answer.full_throttle
    if full.current_a is None:
        return ""
    power = f"{full.shaft_power_w:.0f} W at the shaft" if full.shaft_power_w is not None else ""
    taken = f"{full.power_in_w:.0f} W taken" if full.power_in_w is not None else ""
    speed = f"{full.rpm[0]:.0f} to {full.rpm[1]:.0f} rpm" if full.rpm else ""
    current = f"{full.current_a[0]:.1f} to {full.current_a[1]:.1f} A"
    said = ", ".join(filter(None, (power, taken, current, speed)))
    return f"Full throttle for {full.seconds:.1f} s: {said}."


def used_up(answer: LoadLogAnswer) -> str:
    """Charge and energy."""
    charge, energy = answer.charge_mah, answer.energy_wh
    parts = [f"{charge:.0f} mAh" if charge is not None else "", f"{energy:.1f} Wh" if energy is not None else ""]
    said = " and ".join(filter(None, parts))
    return f"{said} from the pack." if said else ""


def warmth(answer: LoadLogAnswer, units: Units) -> list[str]:
    """Temperatures of motor and speed control."""
    of = {"Motor": answer.motor_temp_c, "Speed control": answer.esc_temp_c}
    return [f"{what} {_warming(course, units)}." for what, course in of.items() if course.highest is not None]


def _warming(course: Warming, units: Units) -> str:
    start, end, highest = course.start, course.end, course.highest
    if start is None or end is None or highest is None:
        return "unknown"
    rising = " at the end" if units.degrees(highest) == units.degrees(end) else f", {units.degrees(end)} at the end"
    return f"{units.degrees(start)} to {units.degrees(highest)}{rising}"


def doubts(answer: LoadLogAnswer) -> list[str]:
    """What was odd, a sentence each."""
    return [f"! {harmless(doubt.what)} {harmless(doubt.why)}." for doubt in answer.doubts]


def tied(answer: LoadLogAnswer) -> str:
    """To what it is tied."""
    if answer.run is not None:
        return f"with the run of {shown_stamp(answer.run)}"
    return "written on the bench" if answer.bench else f"with {answer.motor} alone; --run STARTED_AT ties it to a run"
