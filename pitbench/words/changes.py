"""What a change brought, in one or two sentences, and the outcome that is offered for it."""

from collections.abc import Sequence

from pitbench.desk.answers import Change, ChangeOnBench, ChangeOnTrack, Judged, Spread
from pitbench.records.spoken import FIGURES, capital, change_words, counted_words, listed, work_words
from pitbench.records.units import Units
from pitbench.words.ranking import in_100, is_coin_toss

NO_CHANGES = "No change is written down yet."
SURE, LIKELY = 0.90, 0.70
"""Chances from which an outcome is offered as it is, and from which it is offered with its chance. Ours."""
SMALL_PCT = 0.5
"""A margin of power at load, percent: what lies within it either way is no difference."""
ENOUGH = 2
"""Bench runs on a side that as a rule tell something."""
SAID = {
    "no_load_current_a": ("current", " A", 2, 0.0),
    "kv_rpm_per_v": ("KV", " rpm/V", 0, 0.0),
    "resistance_mohm": ("winding", " mΩ", 2, 0.2),
    "sensor_spread_deg": ("sensor spread", "°", 1, 0.5),
    "pole_imbalance_pct": ("pole imbalance", " points", 1, 1.0),
    "hall_level_spread_pct": ("Hall level spread", " points", 1, 1.0),
}
"""How a figure is said: its name, unit and decimals, and from which change on it is named at all, about a margin."""
ALWAYS = ("no_load_current_a", "kv_rpm_per_v")


BENCH_WOULD_TELL = "runs on both sides of it would, on the bench or on the track."
TRACK_WOULD_TELL = "track runs before it and after it would, on the same day."


def change_lines(found: Judged, units: Units) -> list[str]:
    """A change whole, for the command line."""
    change = found.change
    about = (f"{capital(change_words(_row(change)))}", change.motor, change.event, change.written_at.replace("T", " "))
    return [", ".join(text for text in about if text), *(f"  {text}" for text in brought_words(found, units))]


def _row(change: Change) -> dict[str, str]:
    told = {"what": change.what, "was": change.was, "now": change.now}
    return {name: text for name, text in told.items() if text}


def brought_words(found: Judged, units: Units) -> list[str]:
    """What bench and track say of it, a sentence or two each; what would tell, where neither does."""
    bench, track = found.change.bench, found.change.track
    said = [bench_words(bench, found.power_pct, found.bench_with)] if bench else []
    said += [track_words(track, found.track_with, units)] if track else []
    if said:
        return said
    return ["No telling: " + (TRACK_WOULD_TELL if found.car_change else BENCH_WOULD_TELL)]


def tells_track(found: Judged) -> bool:
    """Whether something is made of the track runs around it."""
    track = found.change.track
    return track is not None and track.track_pace_s.mean is not None


def in_short(found: Judged) -> str:
    """The same for one line among others; empty where nothing is told."""
    bench, track = found.change.bench, found.change.track
    if not found.car_change and bench and bench.chance_helped is not None and found.power_pct:
        return f"{found.power_pct.mean:+.1f} % at load, {_chance(bench.chance_helped)}"
    if track and track.chance_helped is not None and track.track_pace_s.mean is not None:
        return f"{track.track_pace_s.mean:+.2f} s a lap, {_chance(track.chance_helped, SURE)}"
    return ""


def newest_words(found: Sequence[Judged], units: Units) -> list[str]:
    """What the newest change of a motor itself brought, on its page: one sentence, nothing without one."""
    of_motor = [each for each in found if not each.car_change]
    if not of_motor:
        return []
    row = _row(of_motor[-1].change)
    return [f"{capital(work_words(row))}. {brought_words(of_motor[-1], units)[0]}"]


def bench_words(bench: ChangeOnBench, power_pct: Spread | None, beside: Sequence[str] = ()) -> str:
    """The bench before and after."""
    counted = f"Bench{_beside(beside)}, {_counts(bench.before, bench.after)}"
    if not (bench.before and bench.after):
        return f"{counted}: no telling; {_missing(bench)}"
    said = [text for name in SAID if (text := _figure(name, bench.figures[name]))]
    if power_pct is not None and power_pct.mean is not None and bench.chance_helped is not None:
        small = ", too little to matter" if _within_a_margin(power_pct) else ""
        chance = f"{_chance(bench.chance_helped)}{small}"
        said.append(f"power at load {power_pct.mean:+.1f} % ({_range(power_pct, 1)}): {chance}")
    elif said:
        said[-1] += ". KV and current on both sides would tell whether it helped"
    return f"{counted}: {', '.join(said)}." if said else f"{counted}: no figure was read on both sides."


def _counts(before: int, after: int) -> str:
    runs = "run" if before == 1 else "runs"
    return f"{before or 'no'} {runs} before and {after or 'none'} after"


def _missing(bench: ChangeOnBench) -> str:
    if not bench.before:
        return "only putting it back would tell."
    return f"{counted_words(ENOUGH, 'run')} now would tell."


def _beside(others: Sequence[str]) -> str:
    return f", together with {listed(list(dict.fromkeys(others)))}" if others else ""


def _figure(name: str, found: Spread) -> str:
    """How far a figure moved; level where its interval holds nought, and then only current and KV are told."""
    if found.mean is None or found.low90 is None or found.high90 is None:
        return ""
    called, unit, decimals, least = SAID[name]
    if found.low90 <= 0 <= found.high90 or abs(found.mean) < least:
        return f"{called} level" if name in ALWAYS else ""
    more = "more" if found.mean > 0 else "less"
    ends = sorted((abs(found.low90), abs(found.high90)))
    far = f"{abs(found.mean):.{decimals}f}{unit} {more}"
    return f"{called} {far} ({ends[0]:.{decimals}f} to {ends[1]:.{decimals}f})"


def _range(found: Spread, decimals: int) -> str:
    return f"{found.low90:+.{decimals}f} to {found.high90:+.{decimals}f}"


def _chance(helped: float, luck: float = LIKELY) -> str:
    """What the chance says, in either direction; below `luck` it may be luck, one near even is a coin toss."""
    chance, what = (helped, "it helped") if helped >= 0.5 else (1 - helped, "it made it worse")
    if is_coin_toss(helped):
        return "a coin toss whether it helped"
    return f"{in_100(chance)} that {what}" if chance >= luck else f"may be luck ({in_100(chance)} that {what})"


def track_words(track: ChangeOnTrack, beside: Sequence[str], units: Units) -> str:
    """The track before and after."""
    counted = f"Track{_beside(beside)}, {track.before or 'no'} before and {track.after or 'none'} after"
    said = [text for text in (_pace(track), _heat(track.finish_temp_c, units)) if text]
    if said:
        return f"{counted}: {'; '.join(said)}."
    if not (track.before and track.after):
        return f"{counted}: no telling{' yet' if track.before else ''}."
    return f"{counted}: no telling; other motors beside it would tell."


def _pace(track: ChangeOnTrack) -> str:
    pace = track.track_pace_s
    if pace.mean is None or track.chance_helped is None:
        return ""
    if max(track.chance_helped, 1 - track.chance_helped) < LIKELY:
        return f"no step in pace to be seen, {_range(pace, 2)} s a lap"
    way = "faster" if pace.mean < 0 else "slower"
    return f"{abs(pace.mean):.2f} s a lap {way} ({_range(pace, 2)}), {_chance(track.chance_helped, SURE)}"


def _heat(found: Spread, units: Units) -> str:
    """Only where the finish is plainly hotter or cooler."""
    if found.mean is None or found.low90 is None or found.high90 is None or found.low90 <= 0 <= found.high90:
        return ""
    ends = sorted((abs(found.low90), abs(found.high90)))
    way = "hotter" if found.mean > 0 else "cooler"
    near, far = (units.apart(end) for end in ends)
    return f"{units.apart(abs(found.mean))} {way} at the finish ({near.split()[0]} to {far})"


def offered(found: Judged) -> str:
    """The outcome that one key takes; empty where nothing can be told yet.

    What was done to a motor is judged by the bench first, what was done to the car by the track alone.
    """
    bench, track = found.change.bench, found.change.track
    by_bench, by_track = _offered_by_bench(bench, found.power_pct), _offered_by_track(track)
    return by_track if found.car_change else by_bench or by_track


def _offered_by_bench(bench: ChangeOnBench | None, power_pct: Spread | None) -> str:
    if bench is None or bench.chance_helped is None or power_pct is None or power_pct.mean is None:
        return ""
    if _within_a_margin(power_pct):
        return f"no difference, {FIGURES['load_power_w']} {_range(power_pct, 1)} %"
    outcome = _outcome(bench.chance_helped)
    return f"{outcome} {FIGURES['load_power_w']} {power_pct.mean:+.1f} %" if outcome else ""


def _within_a_margin(power_pct: Spread) -> bool:
    """Whether it is no more than a margin either way, nine times in ten."""
    return max(-(power_pct.low90 or 0), power_pct.high90 or 0) < SMALL_PCT


def _offered_by_track(track: ChangeOnTrack | None) -> str:
    if track is None or track.chance_helped is None or track.track_pace_s.mean is None:
        return ""
    outcome = _outcome(track.chance_helped)
    return f"{outcome} {abs(track.track_pace_s.mean):.2f} s a lap" if outcome else ""


def _outcome(helped: float) -> str:
    chance, word = (helped, "better") if helped >= 0.5 else (1 - helped, "worse")
    return f"{word}," if chance >= SURE else f"{word}, {in_100(chance)}:" if chance >= LIKELY else ""
