"""What motors give over their speed at a stated voltage: the constants each is laid out from, and the lines of it.

Constants are those of the ranking, so that one figure is one number; of a motor without a winding resistance, those of
its newest load log that told them. `models_of` is asked once, `laid_out` at every key.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

from pitbench.desk.answers import RankAnswer, RankedMotor
from pitbench.desk.comparing.load_logs import TOLD, working_current
from pitbench.desk.run_figures import kv_of
from pitbench.records.kinds import Row

if TYPE_CHECKING:
    from pitbench.desk.comparing.gather import Gathered
    from pitbench.figures.losses import LossSplit
    from pitbench.figures.motor_curves import Curves
    from pitbench.figures.motor_model import MotorConstants
    from pitbench.store.logbook import Snapshot

ONE_CELL_V = 3.7
"""The bench's voltage where nobody wrote it down."""
LEAST_V, MOST_V, STEP_V = 1.0, 60.0, 0.1
STEPS_RPM = (100, 200, 500, 1000, 2000, 5000, 10000)


@dataclass(frozen=True)
class Split:
    """Loss torque without load parted by two voltages in V: what does not depend on speed, N·m, and what every rpm
    adds to it."""

    voltages: tuple[float, float]
    drag: float
    per_rpm: float


@dataclass(frozen=True)
class Model:
    """What one motor is laid out from. kv: no-load, at the bench's voltage, rpm/V; constant: its back-EMF constant,
    or the one under load of a log; resistance: ohm, with leads (of a log also the control, warm); current: no-load at
    `tested_rpm`, A; share: of the loss there that grows with speed squared; split: where two voltages were run; log:
    when the load log was written that told constant and resistance, None where the bench did."""

    motor: str
    kv: float
    constant: float
    resistance: float
    current: float
    tested_rpm: float
    share: float
    split: Split | None = None
    log: str | None = None


@dataclass(frozen=True)
class NoModel:
    """A motor that cannot be laid out: `why` it is not ranked, else the figures it lacks; what is known of it."""

    motor: str
    why: str | None = None
    lacks: tuple[str, ...] = ()
    kv: float | None = None
    current: float | None = None


@dataclass(frozen=True)
class Models:
    """Every motor of a class by name, best first, those with a load log that told once more by it, and what they share:
    voltages in V, working current in A and whether load logs saw it, leads in mΩ as believed, conditions of KV."""

    motors: Mapping[str, Model | NoModel]
    by_log: Mapping[str, Model]
    voltage: float
    test_voltage: float
    at_work: tuple[float, float] | None
    work_seen: bool
    leads_mohm: float
    timing_deg: float | None
    motor_temp_c: float | None


@dataclass(frozen=True)
class At:
    """One point: rpm, A, N·m, W, efficiency 0 to 1; whether the current is one it works at."""

    rpm: float
    current: float
    torque: float
    power: float
    efficiency: float
    works: bool = False


@dataclass(frozen=True)
class LaidOut:
    """A motor at a voltage. line: from standstill to spinning free; best, strongest: of most efficiency, most power;
    work: speeds from and to which it works, slowest first, None where it never draws such a current."""

    model: Model
    line: Sequence[At]
    best: At
    strongest: At
    work: tuple[At, At] | None

    @property
    def free(self) -> At:
        """Spinning free."""
        return self.line[-1]


def models_of(snapshot: "Snapshot", class_name: str, rank: RankAnswer) -> Models:
    """What the motors of a class are laid out from; rank: its ranking."""
    from pitbench.desk.comparing.gather import gather
    from pitbench.desk.comparing.readings import loss_share_of

    gathered = gather(snapshot, class_name)
    place = {motor["id"]: at for at, motor in enumerate(gathered.motors)}
    share = loss_share_of(gathered, place)[0] if gathered.motors else None
    of = {motor["name"]: motor for motor in gathered.motors}
    basis, team = rank.basis, snapshot.team()
    leads = team.leads_mohm if basis.leads_mohm is None else basis.leads_mohm
    found: dict[str, Model | NoModel] = {}
    by_log: dict[str, Model] = {}
    for ranked in rank.motors:
        motor = of.get(ranked.motor)
        if motor is None or share is None:
            continue
        log = _told(gathered, motor)
        bench, logged = (_model(gathered, motor, ranked, rank, (share, leads), each) for each in (None, log))
        if log is not None and isinstance(logged, Model):
            by_log[ranked.motor] = logged
        found[ranked.motor] = logged if isinstance(bench, NoModel) and log is not None else bench
    found |= {each.motor: NoModel(each.motor, why=each.why) for each in rank.not_ranked}
    cells = (gathered.class_row or {}).get("cells", 2)
    return Models(
        found,
        by_log,
        basis.voltage_v or team.volts_per_cell * cells,
        rank.test_voltage_v or ONE_CELL_V,
        basis.current_a,
        working_current(gathered.logs) is not None,
        leads,
        basis.timing_deg,
        basis.motor_temp_c,
    )


def _model(
    gathered: "Gathered",
    motor: Row,
    ranked: RankedMotor,
    rank: RankAnswer,
    believed: tuple[float, float],
    log: Row | None,
) -> Model | NoModel:
    """By this log, else by the bench; believed: share of the loss at one cell that grows with speed squared, leads."""
    from pitbench.figures import losses, motor_model

    kv, current, ohm = (ranked.figures[name].mean for name in ("kv_rpm_per_v", "no_load_current_a", "resistance_mohm"))
    share, leads = believed
    lacks = [
        name
        for name, value in (("KV", kv), ("no-load current", current), ("winding resistance", log or ohm))
        if not value
    ]
    if lacks or not kv or not current:
        return NoModel(motor["name"], lacks=tuple(lacks), kv=kv, current=current)
    tested = rank.test_voltage_v or ONE_CELL_V
    if log is not None:
        constant, resistance = (float(log["figures"][name]) for name in ("kv_rpm_per_v", "resistance_mohm"))
        winding = resistance / 1000
    else:
        winding = (ohm or 0.0) / 1000
        constant = motor_model.back_emf_kv(kv * tested, tested, current, winding)
        resistance = winding * 1000 + leads
    parted = _split(gathered, motor, winding)
    at = kv * tested
    return Model(
        motor["name"],
        kv,
        constant,
        resistance / 1000,
        current,
        at,
        parted[1].share(at) if parted else losses.share_at(tested, share),
        Split(parted[0], parted[1].drag, parted[1].by_speed * pi / 30) if parted else None,
        log["logged_at"] if log else None,
    )


def _told(gathered: "Gathered", motor: Row) -> Row | None:
    """The newest load log of a motor, as it is built now, that told Kv and resistance."""
    logs = [log for log in gathered.logs if log["motor_id"] == motor["id"]]
    return next((log for log in reversed(logs) if all(name in log.get("figures", {}) for name in TOLD)), None)


def _split(gathered: "Gathered", motor: Row, winding: float) -> "tuple[tuple[float, float], LossSplit] | None":
    """The losses of a motor in its present state parted, with lowest and highest voltage; None at one voltage."""
    import numpy as np

    from pitbench.figures.loss_share import LEAST_APART_V
    from pitbench.figures.losses import split

    read = [
        (run["test_voltage_v"], kv, run["no_load_current_a"])
        for run in gathered.as_built
        if run["motor_id"] == motor["id"]
        and gathered.state_of.get(run["id"], 0) == gathered.state_now.get(motor["id"], 0)
        and "test_voltage_v" in run
        and "no_load_current_a" in run
        and (kv := kv_of(run, motor)) is not None
    ]
    voltages = [voltage for voltage, _, _ in read]
    if not read or max(voltages) - min(voltages) < LEAST_APART_V:
        return None
    voltage, kv, current = np.array(read, dtype=float).T
    parted = split(kv * voltage, voltage, current, winding)
    return None if parted is None else ((min(voltages), max(voltages)), parted)


def laid_out(model: Model, voltage: float, at_work: tuple[float, float] | None) -> LaidOut:
    """A motor over its speed at a voltage."""
    from pitbench.figures.motor_curves import curves

    constants, share = _constants(model, voltage)
    found = curves(constants, voltage, share)
    line = _points(found, at_work)
    work = found.between(at_work) if at_work else None
    ends = tuple(_at(model, voltage, rpm) for rpm in work) if work else None
    return LaidOut(
        model,
        line,
        max(line, key=lambda at: at.efficiency),
        max(line, key=lambda at: at.power),
        (ends[0], ends[1]) if ends else None,
    )


def at_speeds(model: Model, voltage: float, speeds: Sequence[float], at_work: tuple[float, float] | None) -> list[At]:
    """A motor at these speeds in rpm; those it never reaches are left out."""
    import numpy as np

    from pitbench.figures.motor_curves import curves

    constants, share = _constants(model, voltage)
    return _points(curves(constants, voltage, share, np.array(speeds, dtype=float)), at_work)


def at_current(model: Model, voltage: float, current: float) -> At | None:
    """A motor drawing a current in A; None where it would stand still or run free."""
    from pitbench.figures import motor_model

    constants, _ = _constants(model, voltage)
    if not constants.no_load_current <= current < motor_model.stall_current(constants, voltage):
        return None
    return _at(model, voltage, float(motor_model.speed_rpm(constants, voltage, current)))


def speeds_of(laid: Sequence[LaidOut], most: int) -> list[float]:
    """About `most` round speeds worth a line each, in rpm, fastest first: from the fastest free one down to the least
    of most power."""
    top, low = max(each.free.rpm for each in laid), min(each.strongest.rpm for each in laid)
    step = next((step for step in STEPS_RPM if (top - low) / step <= most), STEPS_RPM[-1])
    return [float(step * nth) for nth in range(int(top // step), max(int(low // step) - 1, 0), -1)]


def _at(model: Model, voltage: float, rpm: float) -> At:
    return at_speeds(model, voltage, [rpm], None)[0]


def _constants(model: Model, voltage: float) -> "tuple[MotorConstants, float]":
    from pitbench.figures.motor_curves import at_voltage
    from pitbench.figures.motor_model import MotorConstants

    tested = MotorConstants(model.constant, model.current, model.resistance)
    return at_voltage(tested, model.tested_rpm, model.share, voltage)


def _points(found: "Curves", at_work: tuple[float, float] | None) -> list[At]:
    low, high = at_work or (1.0, 0.0)
    columns = (found.rpm, found.current, found.torque, found.power, found.efficiency)
    rows = zip(*(column.tolist() for column in columns), strict=True)
    return [At(rpm, amps, torque, watts, part, low <= amps <= high) for rpm, amps, torque, watts, part in rows]
