"""Published heating and cooling, and the conjugate regression behind the heat forecast."""

from dataclasses import replace

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import curve_fit

from pitbench.figures import cooling, heat_cells
from pitbench.figures.clock import COOL_WITHIN_K, can_at, ready_after
from pitbench.figures.heating import EMPTYING_PER_S, heated, left, of_five_minutes, warmed
from pitbench.figures.rest_grid import Curves

# Cengel, Heat and Mass Transfer: A Practical Approach, example 4-1 (found as a worked copy): a thermocouple bead,
# 1 mm, k 35, density 8500, heat capacity 320, h 210 (SI). The book prints 10 s, its own numbers give 9.941.
BEAD = {"diameter": 0.001, "conductivity": 35.0, "per_kelvin": 8500 * 320.0, "h": 210.0, "tau": 2.15873, "t_99": 9.941}

# OpenStax, Calculus vol. 1, 6.8: coffee at 200 °F, 180 °F after 2 min, room 70 °F (statement from memory, answers
# derived): minutes to 175 °F and 155 °F.
COFFEE = {
    "room": 70.0,
    "start": 200.0,
    "later": 180.0,
    "rate_a_minute": 0.083527,
    "minutes": {175.0: 2.56, 155.0: 5.09},
}

# Theraja & Theraja, A Textbook of Electrical Technology, vol. III, p. 1809 (found as a worked copy): example 45.13,
# rises of 25 and 37.5 K after 1 and 2 h, cooling from the final rise to 40 °C at 30 °C in 1.5 h; example 45.15, rises
# of 15 and 25 K, then 1 h of overload with a final rise of 90 K.
HEAT_RUNS = (
    {"rises": (25.0, 37.5), "final": 50.0, "tau_h": 1.4427},
    {"rises": (15.0, 25.0), "final": 45.0, "tau_h": 2.47},
)

# NIST/ITL Statistical Reference Datasets, nonlinear regression, Misra1a (data and certified values found).
MISRA_X = (77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0)
MISRA_Y = (10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78)

# Posterior of a straight line with a normal prior and known noise; derived (Bishop, Pattern Recognition and Machine
# Learning, 3.50 to 3.59, checked by augmented least squares).
LINE = {
    "x": (0.0, 1.0, 2.0, 3.0),
    "y": (1.0, 3.0, 2.0, 5.0),
    "noise_var": 0.5,
    "prior_mean": (0.0, 1.0),
    "prior_var": (4.0, 1.0),
    "mean": (1.02887139, 1.12598425),
    "covariance": ((0.30446194, -0.12598425), (-0.12598425, 0.08661417)),
    "predicted": (5.5328084, 1.1824147),
}

# IEC 60034-1, 4.2.2, duty type S2 (definition found): at rest until within 2 K of the coolant.
S2_WITHIN_K = 2.0


def test_thermocouple_bead(published):
    radius = BEAD["diameter"] / 2
    tau = BEAD["per_kelvin"] * radius / 3 / BEAD["h"]
    published("time constant", tau, BEAD["tau"], 1e-5)
    published("99 % of a step", float(warmed(BEAD["t_99"], tau)), 0.99, 5e-5)
    published("and what is left of it", float(left(BEAD["t_99"], tau)), 0.01, 5e-5)


def test_coffee(published):
    over = COFFEE["start"] - COFFEE["room"]
    tau = 60 / COFFEE["rate_a_minute"]
    published("at 2 min, °F", COFFEE["room"] + over * float(left(120.0, tau)), COFFEE["later"], 1e-3)
    for fahrenheit, minutes in COFFEE["minutes"].items():
        at = COFFEE["room"] + over * float(left(minutes * 60, tau))
        published(f"at {minutes} min, °F", at, fahrenheit, 0.06)


def test_coffee_on_the_clock(published):
    """Two readings tell the cooling of one body: the clock's median follows the law. In °F, as the law has no unit."""
    rest = cooling.learn()
    one = (rest.curves.share == 0) & (rest.curves.slowing < 0.1)
    rest = replace(rest, weight=np.where(one, rest.weight, 0.0))
    two = cooling.CanReadings([60.0, 60.0 + 120.0], [COFFEE["start"], COFFEE["later"]], COFFEE["room"])
    found = can_at(cooling.finish(two, rest), [60 + 60 * minutes for minutes in COFFEE["minutes"].values()])
    published("medians, °F", [each.median for each in found], list(COFFEE["minutes"]), 0.6)


def test_two_reading_heat_runs(published):
    for run in HEAT_RUNS:
        tau = run["tau_h"] * 3600
        rises = [run["final"] * float(warmed(hours * 3600.0, tau)) for hours in (1, 2)]
        published("rises after one and two hours", rises, run["rises"], 0.035)  # time constants are printed to 0.005 h
    published("rise after 1 h of overload, K", 90 * float(warmed(3600.0, tau)), 30.0, 0.05)
    published("left of 50 K after 1.5 h, time constant 0.93 h", 50 * float(left(1.5, 0.93)), 40.0 - 30, 0.05)


def test_misra1a(published):
    """Final rise and time constant of the heating law where it is seen over its first third only."""
    (final, rate), _ = curve_fit(lambda t, b, k: b * warmed(t, 1 / k), MISRA_X, MISRA_Y, p0=(250, 5e-4))
    published("final rise", final, 238.94212918, relative=1e-5)
    published("rate", rate, 0.00055015643181, relative=1e-5)
    off = np.array(MISRA_Y) - 238.94212918 * warmed(np.array(MISRA_X), 1 / 0.00055015643181)
    published("residual sum of squares", float(off @ off), 0.12455138894, relative=1e-8)


def test_heating_law_by_integration(published):
    """scipy's ODE solver on C·dT/dt = P·(1 − λt) − G·(T − Ta), started warm, heat falling while it runs; rise, start
    left over and length law at once."""
    heat, loss, power, ambient, start = 85.0, 0.5, 30.0, 24.0, 33.0
    tau = heat / loss

    def over(seconds, from_c, watts):
        found = solve_ivp(
            lambda at, t: (watts * (1 - EMPTYING_PER_S * at) - loss * (t - ambient)) / heat,
            (0, seconds),
            [from_c],
            rtol=1e-10,
            atol=1e-10,
        )
        return found.y[0, -1]

    five = power / loss * float(heated(300.0, tau))
    for seconds in (60.0, 240.0, 300.0, 480.0):
        warm = (start - ambient) * float(left(seconds, tau))
        law = ambient + warm + five * float(of_five_minutes(seconds, np.array(tau)))
        published(f"finish after {seconds:.0f} s", law, over(seconds, start, power), 1e-6)
    published("at rest for 10 min", ambient + five * float(left(600.0, tau)), over(600.0, ambient + five, 0.0), 1e-6)


def test_bayesian_line(published, monkeypatch):
    """The grid's linear model with one noise, rollout as the line's x, no motors and no events."""
    x, y = np.array(LINE["x"]), np.array(LINE["y"])
    given = heat_cells.Columns(
        fixed=np.column_stack([np.ones(4), x, np.zeros((4, heat_cells.PLAIN - 2))]),
        event=np.zeros(4, dtype=int),
        events=np.zeros((4, 0)),
        off=np.repeat((y - LINE["prior_mean"][0] - LINE["prior_mean"][1] * x)[:, None], heat_cells.TAU.size, axis=1),
        jacobian=np.zeros((4, heat_cells.TAU.size)),
        reading_var=np.zeros(4),
        motors=0,
    )
    monkeypatch.setattr(heat_cells, "PRIOR_SD", np.sqrt([*LINE["prior_var"], *[1.0] * (heat_cells.PLAIN - 2)]))
    found = heat_cells.cells(given, np.ones(4), sigma=np.array([LINE["noise_var"] ** 0.5]))
    mean, covariance = found.coefficients[0, :2] + LINE["prior_mean"], found.covariance[0, :2, :2]
    published("posterior mean", mean, LINE["mean"], relative=1e-6)
    published("posterior covariance", covariance, LINE["covariance"], relative=1e-6)
    at = np.array([1.0, 4.0])
    published("predicted at 4", at @ mean, LINE["predicted"][0], relative=1e-6)
    published("its variance", at @ covariance @ at + LINE["noise_var"], LINE["predicted"][1], relative=1e-6)


def test_cool_as_the_standard_has_it(published):
    """Duty type S2 starts within 2 K of the coolant; the clock asked for 2 K says so, and for the usual 3 K sooner."""
    tau = 600.0
    curve = Curves(np.array([tau]), np.array([80.0]), np.zeros(1), np.array([1e-6]))
    exact = cooling.guessed(69.0, 0.005, 24.0, cooling.Rest(np.ones(1), curve, np.zeros(1), 1.0, 9))
    published("within 2 K, s", ready_after(exact, S2_WITHIN_K), 60 + tau * np.log(45 / S2_WITHIN_K), 0.5)
    published("within 3 K, s", ready_after(exact), 60 + tau * np.log(45 / COOL_WITHIN_K), 0.5)
