"""A simulator of logbooks as they are typed in: bench evenings drawn from what a motor is, and slips of the hand.

Knows nothing of how numbers are judged. A motor is flux, drag, copper and three sensors; a tester reads with noise,
reads a little off every session, and shows so many digits; clips and shaft sit anew for every clamping. Motors may
really change: bearings cleaned, flux lost, the sensor board moved, with or without a word in the setup log. Slips are
made on the text, key by key, on a keypad of its own.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

Row = dict[str, Any]
COPPER = 0.00393
MAGNET = -0.0011
PLACES = {
    "kv_rpm_per_v": 0,
    "rpm": 0,
    "no_load_current_a": 2,
    "motor_temp_c": 0,
    "ambient_c": 0,
    "timing_deg": 1,
    "timing_a_deg": 1,
    "timing_b_deg": 1,
    "timing_c_deg": 1,
    "pole_imbalance_pct": 1,
    "hall_level_spread_pct": 1,
    "resistance_mohm": 1,
    "resistance_temp_c": 0,
}
PAIRS = (
    ("timing_a_deg", "timing_b_deg"), ("timing_b_deg", "timing_c_deg"), ("ambient_c", "motor_temp_c"),
    ("pole_imbalance_pct", "hall_level_spread_pct"), ("kv_rpm_per_v", "rpm"), ("timing_deg", "timing_a_deg"),
)  # fmt: skip
"""Fields that stand side by side."""
KEYS = {"7": (0, 0), "8": (1, 0), "9": (2, 0), "4": (0, 1), "5": (1, 1), "6": (2, 1), "1": (0, 2), "2": (1, 2),
        "3": (2, 2), "0": (0.5, 3)}  # fmt: skip
"""Where a digit lies on the keypad."""


@dataclass(frozen=True)
class World:
    """What kind of logbooks. noise: how much noisier the tester is than usual; tail: degrees of freedom of its noise.

    session, clamping: times the usual spread. changes: chance that a motor changes between two sessions; told: that the
    setup log says so. marks: whether timing marks are written down. rpm: the tester shows rpm beside KV. dirty: share
    of rows with a slip that nobody saw. errors: how often each kind of slip is made. finger: chance that a wrong digit
    lies beside the right one.
    """

    name: str
    motors: tuple[int, int] = (3, 8)
    sessions: tuple[int, int] = (2, 6)
    runs: tuple[int, int] = (1, 3)
    classes: tuple[float, ...] = (13.5, 17.5, 21.5)
    noise: float = 1.0
    tail: float | None = None
    session: float = 1.0
    clamping: float = 1.0
    changes: float = 0.05
    told: float = 0.5
    marks: bool = True
    rpm: bool = False
    sensors: bool = True
    winding: float = 0.4
    dirty: float = 0.0
    errors: tuple[tuple[str, float], ...] = (
        ("digit", 30), ("swap", 20), ("missing", 12), ("extra", 12), ("comma", 8), ("ten", 4), ("fields", 4),
        ("fahrenheit", 6), ("poles", 4),
    )  # fmt: skip
    finger: float = 0.7


@dataclass(frozen=True)
class Nature:
    """One motor's constants; sensors: how far each lies off the mean, degrees."""

    kv: float
    amps: float
    ohms: float
    timing: float
    sensors: tuple[float, ...]
    imbalance: float
    level: float


@dataclass(frozen=True)
class Typing:
    """A logbook: motors, setup entries, and runs in time, each with its texts by column; changed: runs of motors that
    are no longer what they were."""

    motors: dict[str, Row]
    work: dict[str, list[str]]
    runs: list[Row]
    texts: list[dict[str, str]]
    changed: set[str]


def draw(world: World, seed: int) -> Typing:
    """One logbook without a slip."""
    rng = np.random.default_rng(seed)
    turns = float(rng.choice(world.classes))
    level = rng.normal(0, (0.03, 0.08, 0.05))
    names = [f"m{i}" for i in range(int(rng.integers(world.motors[0], world.motors[1] + 1)))]
    natures = {name: _nature(rng, turns, level) for name in names}
    motors = {name: {"id": name, "name": name, "class_id": "club", "turns": turns, "poles": 2.0} for name in names}
    work: dict[str, list[str]] = {}
    runs: list[Row] = []
    texts: list[dict[str, str]] = []
    changed: set[str] = set()
    others: set[str] = set()
    when = datetime(2025, 3, 1, 18)
    for evening in range(int(rng.integers(world.sessions[0], world.sessions[1] + 1))):
        when = datetime(2025, 3, 1, 18) + timedelta(days=int(7 * evening + rng.integers(0, 4)))
        here = [name for name in names if rng.random() < 0.75] or names[:1]
        for name in here:
            if evening and rng.random() < world.changes:
                natures[name] = _changed(rng, natures[name])
                others.add(name)
                if rng.random() < world.told:
                    work.setdefault(name, []).append((when - timedelta(hours=3)).isoformat(timespec="minutes"))
        for run, text in _evening(world, rng, natures, here, when, evening, len(runs)):
            runs.append(run)
            texts.append(text)
            changed |= {run["id"]} if run["motor_id"] in others else set()
    return Typing(motors, work, runs, texts, changed)


def _nature(rng: np.random.Generator, turns: float, level: np.ndarray) -> Nature:
    kv_off, amps_off, ohm_off = rng.normal(0, (0.015, 0.07, 0.02)) + level
    return Nature(
        kv=3950 * 13.5 / turns * np.exp(kv_off),
        amps=4.0 * 13.5 / turns * np.exp(amps_off),
        ohms=12.0 * (turns / 13.5) ** 2 * np.exp(ohm_off),
        timing=float(rng.normal(7, 1.2)),
        sensors=tuple(float(each) for each in rng.normal(0, 0.4, 3)),
        imbalance=float(rng.gamma(4, 0.6)),
        level=float(rng.gamma(4, 0.9)),
    )


def _changed(rng: np.random.Generator, nature: Nature) -> Nature:
    kind = rng.integers(3)
    if kind == 0:  # bearings cleaned, or worn
        return replace(nature, amps=nature.amps * float(np.exp(rng.normal(-0.04, 0.05))))
    if kind == 1:  # flux lost
        lost = float(abs(rng.normal(0.004, 0.006)))
        return replace(nature, kv=nature.kv * (1 + lost), amps=nature.amps * (1 + 1.5 * lost))
    return replace(nature, sensors=tuple(each + float(rng.normal(0, 0.25)) for each in nature.sensors))


def _evening(
    world: World, rng: np.random.Generator, natures: dict[str, Nature], here: list[str], when: datetime, evening: int,
    count: int,
) -> list[tuple[Row, dict[str, str]]]:  # fmt: skip
    """All runs of one evening, motors in turn."""
    air = float(rng.normal(21, 4))
    mood = rng.normal(0, np.array((0.003, 0.02, 0.02)) * world.session)
    mark = float(rng.choice((30.0, 35.0, 40.0), p=(0.15, 0.7, 0.15)))
    seats = {name: rng.normal(0, np.array((0.0025, 0.0125, 0.0175)) * world.clamping) for name in here}
    set_off = {name: float(rng.normal(0, 0.35)) for name in here}
    repeats = int(rng.integers(world.runs[0], world.runs[1] + 1))
    rise = {name: float(abs(rng.normal(5, 1.5))) for name in here}
    found = []
    for number in range(repeats):
        for name in here:
            at = when + timedelta(minutes=4 * len(found))
            seen = _read(
                world, rng, natures[name], mood + seats[name], mark, set_off[name], air, rise[name] + 3 * number
            )
            if number or rng.random() > world.winding:
                seen = {k: v for k, v in seen.items() if not k.startswith("resistance")}
            text = {k: f"{v:.{PLACES[k]}f}" for k, v in seen.items()}
            row = {"id": f"r{count + len(found)}", "motor_id": name, "build_id": f"b{name}", "tester": "box"}
            row |= {"taken_at": at.isoformat(timespec="minutes"), "session": f"s{evening}", "test_voltage_v": 3.7}
            row |= {"timing_mark_deg": mark} if world.marks else {}
            found.append((row | {k: float(v) for k, v in text.items()}, text))
    return found


def _read(
    world: World, rng: np.random.Generator, n: Nature, off: np.ndarray, mark: float, set_off: float, air: float,
    rise: float,
) -> dict[str, float]:  # fmt: skip
    """One reading, as exact as the tester is."""

    def noise(sd: float) -> float:
        tail = world.tail
        drawn = rng.standard_normal() if tail is None else rng.standard_t(tail) * np.sqrt((tail - 2) / tail)
        return float(world.noise * sd * drawn)

    degrees = mark + n.timing + set_off
    warm = (air + rise - 25) * 0.6
    kv = n.kv / (1 + MAGNET * warm) * np.exp(0.005 * (degrees - 42) + off[0] + noise(0.002))
    amps = n.amps * np.exp(0.02 * (degrees - 42) + off[1] + noise(0.01))
    sensors = [degrees + each + noise(0.12) for each in n.sensors]
    cold = air + float(rng.normal(0, 0.5))
    seen = {
        "kv_rpm_per_v": kv,
        "no_load_current_a": amps,
        "motor_temp_c": air + rise + noise(0.7),
        "ambient_c": air,
        "timing_deg": float(np.mean(sensors)) + noise(0.1),
        "pole_imbalance_pct": max(0.0, n.imbalance + noise(0.3)),
        "hall_level_spread_pct": max(0.0, n.level + noise(0.3)),
        "resistance_mohm": n.ohms * (1 + COPPER * (cold - 20)) * np.exp(off[2] + noise(0.01)),
        "resistance_temp_c": cold,
    }
    if world.sensors:
        seen |= dict(zip(("timing_a_deg", "timing_b_deg", "timing_c_deg"), sensors, strict=True))
    if world.rpm:
        seen["rpm"] = kv * 3.7
    return {name: float(value) for name, value in seen.items()}


# slips


def slip(world: World, rng: np.random.Generator, texts: dict[str, str]) -> tuple[str, dict[str, str]] | None:
    """A kind of slip and the texts it changed; None where it cannot be made in the field that was hit."""
    kinds, odds = zip(*world.errors, strict=True)
    kind = str(rng.choice(kinds, p=np.array(odds) / sum(odds)))
    if kind == "poles":
        hit = [name for name in ("kv_rpm_per_v", "rpm") if name in texts]
        setting = int(rng.choice((4, 6, 8)))
        return kind, {name: f"{float(texts[name]) * 2 / setting:.0f}" for name in hit}
    return made_slip(kind, rng, texts, PAIRS, world.finger)


def made_slip(
    kind: str, rng: np.random.Generator, texts: dict[str, str], pairs: tuple[tuple[str, str], ...], finger: float
) -> tuple[str, dict[str, str]] | None:
    """One slip of that kind; pairs: fields that stand side by side."""
    if kind == "fields":
        return _two_fields(rng, texts, pairs)
    warm = [name for name in texts if name.endswith("_c")]
    if kind == "fahrenheit" and not warm:
        return None
    name = str(rng.choice(warm if kind == "fahrenheit" else list(texts)))
    made = _slipped(kind, texts[name], rng, finger)
    return (kind, {name: made}) if made is not None and float(made) != float(texts[name]) else None


def _two_fields(
    rng: np.random.Generator, texts: dict[str, str], pairs: tuple[tuple[str, str], ...]
) -> tuple[str, dict[str, str]] | None:
    there = [(a, b) for a, b in pairs if a in texts and b in texts]
    if not there:
        return None
    a, b = there[int(rng.integers(len(there)))]
    return None if texts[a] == texts[b] else ("fields", {a: texts[b], b: texts[a]})


def _slipped(kind: str, text: str, rng: np.random.Generator, finger: float) -> str | None:
    digits = [i for i, each in enumerate(text) if each.isdigit()]
    at = int(rng.choice(digits))
    if kind == "digit":
        return text[:at] + _key(text[at], rng, finger) + text[at + 1 :]
    if kind == "swap":
        place = int(rng.integers(len(digits)))
        if place == len(digits) - 1:
            return None
        i, j = digits[place], digits[place + 1]
        return text[:i] + text[j] + text[i + 1 : j] + text[i] + text[j + 1 :]
    if kind == "missing":
        made = (text[:at] + text[at + 1 :]).strip(".")
        return made or None
    if kind == "extra":
        more = text[at] if rng.random() < 0.75 else _key(text[at], rng, 1.0)
        return text[:at] + more + text[at:]
    if kind == "comma":
        return text.replace(".", "") if "." in text else None
    if kind == "ten":
        return f"{float(text) * (10 if rng.random() < 0.5 else 0.1):g}"
    return f"{float(text) * 1.8 + 32:.0f}"


def _key(digit: str, rng: np.random.Generator, finger: float) -> str:
    """Another key than the one meant: one beside it, or any."""
    x, y = KEYS[digit]
    near = [key for key, (i, j) in KEYS.items() if 0 < (i - x) ** 2 + (j - y) ** 2 <= 1.25]
    others = [key for key in KEYS if key != digit]
    return str(rng.choice(near if rng.random() < finger else others))
