"""One comparison: draws of what every motor truly has, at equal conditions.

This is the border to the engine: behind it `estimate` turns readings into draws, before it a ranking knows draws only.
Weights and margins of the user come later (`ranking`), so that changing them reuses the draws.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from pitbench.figures import criteria
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.conditions import Timing, Warmth
from pitbench.figures.contacts import bad_contact_chance, with_bad_contacts
from pitbench.figures.criteria import CURRENT, GOALS, KV, MEASURED, RESISTANCE, UNSEEN_PCT
from pitbench.figures.estimate import DRAWS, Estimate, estimates
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.laid_out import STATE, clipped_anew, laid_out, prior, state_levels
from pitbench.figures.load_evidence import Benched, informed
from pitbench.figures.load_power import LEADS_DOUBT, Power, power_at_load
from pitbench.figures.misfit import DOES_NOT_FIT
from pitbench.figures.normals import antithetic
from pitbench.figures.readings import Comparison, Parts, Readings
from pitbench.figures.shares import PART_FACTORS
from pitbench.figures.uncertainty import pooled_correlation, speed_per_amp_uncertainty

TIMING_SEED, REMAINDER_SEED = 78, 7000
"""Of the normals of the doubt about each motor's timing, and of what builds nobody tested are beside their parts."""


@dataclass(frozen=True)
class Evidence:
    """A figure no bench run reads: draws [draws × motors] and runs [motors], and σ of one run, in the figure's unit."""

    draws: Floats
    runs: Ints
    repeatability: float | None


@dataclass(frozen=True)
class Summary:
    """figures: of every motor in the figure's unit, None where no reading carries it; repeatability: σ of one reading.

    bench_leader: the motor with the highest chance of the highest speed per amp, and that chance.
    """

    figures: Mapping[str, Sequence[Interval | None]]
    repeatability: Mapping[str, float | None]
    bench_leader: tuple[int, float] | None
    does_not_fit: frozenset[int]


@dataclass(frozen=True)
class Drawn:
    """A comparison with its estimates, and values [draws × motors] and counts [motors] of every figure; of a comparison
    of parts, values and counts of every build that may be made.

    repeatability: σ of one run of the figures that came from elsewhere. unseen_pct: what the bench cannot see, percent
    of power: as believed, or as the track taught it.
    """

    asked: Comparison
    warmth: Warmth
    timing: Timing
    estimates: Mapping[str, Estimate]
    values: Mapping[str, Floats]
    power: Power
    counts: Mapping[str, Ints]
    repeatability: Mapping[str, float | None] = field(default_factory=dict)
    unseen_pct: float = UNSEEN_PCT

    def beside(self, found: Mapping[str, Evidence]) -> "Drawn":
        """The same comparison with figures from elsewhere, by name, of as many draws of the same motors."""
        return replace(
            self,
            values={**self.values, **{name: each.draws for name, each in found.items()}},
            counts={**self.counts, **{name: each.runs for name, each in found.items()}},
            repeatability={name: each.repeatability for name, each in found.items()},
        )

    def runs(self, name: str, motor: int) -> int:
        """Readings a figure stands on; one worked out from others stands on the runs that have both KV and current."""
        return int(self.counts[name][motor]) if name in self.counts else 0

    def known(self, name: str, motor: int) -> bool:
        """Whether readings carry the figure and not priors.

        Power needs KV and current of this motor and a resistance of some motor, else its level in watts were a guess.
        """
        if name not in ("load_power_w", "speed_per_amp"):
            return self.runs(name, motor) > 0
        both = self.runs(KV, motor) > 0 and self.runs(CURRENT, motor) > 0
        return both and (name == "speed_per_amp" or bool(self.counts[RESISTANCE].any()))

    @cached_property
    def summary(self) -> Summary:
        """Everything about the figures that no weight or margin changes."""
        return Summary(
            figures={name: _intervals(self, name) for name in GOALS},
            repeatability=_repeatability(self),
            bench_leader=_bench_leader(self),
            does_not_fit=frozenset(
                motor
                for name, found in self.estimates.items()
                for motor in _drawn_as(self.asked, self.asked.of(name))[found.weight < DOES_NOT_FIT].tolist()
            ),
        )

    @property
    def warmth_slope(self) -> tuple[float, float] | None:
        """Percent of KV per kelvin of measured temperature as learned, with its sd; None without any temperature."""
        slope = self.estimates[KV].slope_draws[:, 0]
        return None if self.warmth.motor_temp_c is None else (float(slope.mean()), float(slope.std()))


def draw(comparison: Comparison, *, n_draws: int = DRAWS) -> Drawn:
    """Estimate every figure of a comparison. Deterministic: the same comparison always gives the same draws."""
    warmth, timing, layouts = laid_out(comparison)
    priors = [prior(comparison, name, warmth, layout) for name, layout in zip(MEASURED, layouts, strict=True)]
    found = estimates(layouts, priors, n_draws=n_draws, seeds=range(len(layouts)))
    by_name = dict(zip(MEASURED, found, strict=True))
    contacts = _bad_contacts(comparison, by_name[RESISTANCE])
    if comparison.parts is not None:
        by_name[RESISTANCE] = _stators_with_bad_contacts(by_name[RESISTANCE], contacts)
        by_name = {name: _of_builds(comparison.parts, each, seed) for seed, (name, each) in enumerate(by_name.items())}
    by_name = {name: _in_their_states(comparison, each) for name, each in by_name.items()}
    motor, _ = comparison.drawn_as
    doubt = antithetic(n_draws, comparison.n_motors, TIMING_SEED)
    off = np.zeros((n_draws, comparison.n_drawn))  # a build nobody tested is thought of at the common timing
    off[:, : motor.size] = (timing.away_deg + timing.doubt_deg * doubt)[:, motor]
    values = {name: _in_unit(name, _at_common_timing(name, each, off)) for name, each in by_name.items()}
    if comparison.parts is None:
        values[RESISTANCE] = with_bad_contacts(values[RESISTANCE], contacts[motor])
        values |= _after_logs(comparison, values)
    power = power_at_load(values[KV], values[CURRENT], values[RESISTANCE] / 1000, comparison.load)
    values["load_power_w"] = power.watts
    values["speed_per_amp"] = values[KV] / values[CURRENT]
    return Drawn(comparison, warmth, timing, by_name, values, power, _counts(comparison))


def _after_logs(comparison: Comparison, values: Mapping[str, Floats]) -> dict[str, Floats]:
    """KV and resistance as load logs move them, of motors as they are now; nothing without any."""
    if comparison.logs is None or not comparison.logs.motor.size or comparison.every_state:
        return {}
    load = comparison.load
    offset = 1000 * load.leads, 1000 * LEADS_DOUBT * load.leads
    bench = Benched(values[KV], values[CURRENT], values[RESISTANCE], load.test_voltage, offset)
    kv, resistance = informed(bench, comparison.logs)
    return {KV: kv, RESISTANCE: resistance}


def _in_their_states(comparison: Comparison, found: Estimate) -> Estimate:
    """What values are drawn of, each with its state; without any work done on one, what was found."""
    if not any(comparison.states):
        return found
    motor, state = comparison.drawn_as
    level = state_levels(comparison)[motor, state]
    whole, *others = found.effects
    with_state = whole[:, motor] + others[STATE - 1][:, level]
    if comparison.every_state:
        return replace(found, effects=(with_state, *others), usual=found.usual[motor])
    untested = whole[:, comparison.n_motors :]
    return replace(found, effects=(np.concatenate([with_state, untested], axis=1), *others))


def _of_builds(parts: Parts, found: Estimate, seed: int) -> Estimate:
    """Every build that may be made: what its parts add and its remainder."""
    of, (remainder, *others) = parts.of, found.effects
    untested = of.shape[0] - remainder.shape[1]
    unread = found.between[:, None] * antithetic(remainder.shape[0], untested, REMAINDER_SEED + seed)
    whole = np.concatenate([remainder, unread], axis=1)
    for kind, effect in enumerate(part_effects(found)):
        whole += effect[:, of[:, kind]]
    usual = np.concatenate([found.usual, np.tile(found.usual.mean(axis=0), (untested, 1))])
    return replace(found, effects=(whole, *others), usual=usual)


def part_effects(found: Estimate) -> tuple[Floats, ...]:
    """Draws of what every stator, rotor and end bell adds [draws × parts of the kind], of a comparison of parts."""
    return found.effects[-PART_FACTORS:]


def _bad_contacts(comparison: Comparison, estimated: Estimate) -> Floats:
    """Chance of every motor, or of every stator, that its winding was read at a bad contact [motors or stators]."""
    found, parts = comparison.of(RESISTANCE), comparison.parts
    of = found.motor if parts is None else parts.of[found.motor, 0]
    n = comparison.n_motors if parts is None else parts.sizes[0]
    clamping = clipped_anew(comparison, found.motor * (int(found.session.max(initial=0)) + 1) + found.session)
    return bad_contact_chance(of, clamping, 100 * np.log(found.value), estimated.weight, n)


def _stators_with_bad_contacts(found: Estimate, chance: Floats) -> Estimate:
    """Windings of builds, some of which were read at a bad contact: the stator has the winding."""
    *others, stator, rotor, end_bell = found.effects
    stator = 100 * np.log(with_bad_contacts(np.exp(stator / 100), chance))
    return replace(found, effects=(*others, stator, rotor, end_bell))


def _at_common_timing(name: str, found: Estimate, off: Floats) -> Floats:
    """Levels of the motors, each so many degrees off the common timing [draws × motors]."""
    levels, slopes = found.levels(), criteria.slopes_of(name)
    if "timing" in slopes:
        levels -= found.slope_draws[:, [slopes.index("timing")]] * off
    return levels


def _counts(comparison: Comparison) -> dict[str, Ints]:
    """Readings of every figure by motor, or by build; by state where every state is drawn."""
    drawn = {name: _drawn_as(comparison, comparison.of(name)) for name in MEASURED}
    kv, current = comparison.of(KV), comparison.of(CURRENT)
    both = drawn[KV][(kv.run >= 0) & np.isin(kv.run, current.run)]
    drawn["load_power_w"] = drawn["speed_per_amp"] = both
    return {name: np.bincount(found, minlength=comparison.n_drawn) for name, found in drawn.items()}


def _drawn_as(comparison: Comparison, found: Readings) -> Ints:
    """Which of what is drawn every reading is one of [n]."""
    if not comparison.every_state:
        return found.motor
    first = np.searchsorted(comparison.drawn_as[0], found.motor)
    return np.asarray(first + found.state if found.state.size else first)


def _in_unit(name: str, draws: Floats) -> Floats:
    """Draws in the figure's unit, in place of those given; an unevenness cannot be negative."""
    if not MEASURED[name].relative:
        return np.maximum(draws, 0.0, out=draws)
    np.divide(draws, 100, out=draws)
    return np.exp(draws, out=draws)


# What a ranking says about the figures themselves, whatever weight they have.


def _intervals(drawn: Drawn, name: str) -> list[Interval | None]:
    known = [drawn.known(name, motor) for motor in range(drawn.asked.n_drawn)]
    if not any(known):
        return [None] * len(known)
    return [found if has else None for found, has in zip(intervals(drawn.values[name]), known, strict=True)]


def _bench_leader(drawn: Drawn) -> tuple[int, float] | None:
    """Among two or more motors that were measured."""
    speed_per_amp = drawn.values["speed_per_amp"]
    known = [motor for motor in range(speed_per_amp.shape[1]) if drawn.known("speed_per_amp", motor)]
    if len(known) < 2:
        return None
    chance = np.bincount(speed_per_amp.argmax(axis=1), minlength=speed_per_amp.shape[1]) / speed_per_amp.shape[0]
    leader = max(known, key=lambda motor: (chance[motor], -motor))
    return leader, float(chance[leader])


def _repeatability(drawn: Drawn) -> dict[str, float | None]:
    """σ of one reading in the figure's unit; None where no repeat says anything."""
    sigma: dict[str, float | None] = dict.fromkeys(GOALS) | dict(drawn.repeatability)
    for name, found in drawn.estimates.items():
        if found.freedom >= 1:
            sigma[name] = found.noise * (float(drawn.values[name].mean()) / 100 if MEASURED[name].relative else 1.0)
    u_kv, u_current = sigma[KV], sigma[CURRENT]
    if u_kv and u_current:
        kv, current = (float(drawn.values[name].mean()) for name in (KV, CURRENT))
        relative = speed_per_amp_uncertainty(kv, u_kv, current, u_current, _correlation_of_repeats(drawn))
        sigma["speed_per_amp"] = relative * float(drawn.values["speed_per_amp"].mean())
    return sigma


def _correlation_of_repeats(drawn: Drawn) -> float:
    """How KV and current of one run go together, within states and sessions; both are always read in a run."""
    kv, current = drawn.asked.of(KV), drawn.asked.of(CURRENT)
    current_of_run = np.full(len(drawn.asked.runs.motor), np.nan)
    current_of_run[current.run] = current.value
    both = ~np.isnan(current_of_run[kv.run])
    state = kv.state if kv.state.size else np.zeros_like(kv.motor)
    group = (kv.motor * (int(kv.session.max(initial=0)) + 1) + kv.session) * (int(state.max(initial=0)) + 1) + state
    return pooled_correlation(kv.value[both], current_of_run[kv.run[both]], group[both])
