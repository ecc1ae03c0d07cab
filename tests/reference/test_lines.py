"""Published straight lines, and the doubt about them."""

import numpy as np

from pitbench.figures.quantiles import t_point
from pitbench.figures.sweep import fit_line

# NIST/ITL Statistical Reference Datasets, linear regression, Norris (data and certified values found): y, x.
NORRIS = (
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5), (668.5, 666.3),
    (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4), (0.1, 0.6), (778.1, 775.5),
    (668.8, 666.9), (339.3, 338.0), (448.9, 447.5), (10.8, 11.6), (557.7, 556.0), (228.3, 228.1), (998.0, 995.8),
    (888.8, 887.6), (119.6, 120.2), (0.3, 0.3), (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2),
    (998.5, 999.0), (778.9, 779.0), (10.2, 11.1), (117.6, 118.3), (228.9, 229.2), (668.4, 669.1), (449.2, 448.9),
    (0.2, 0.5),
)  # fmt: skip

# NIST/SEMATECH e-Handbook 2.3.6.7.3, CALIBRATIONLINE.DAT (found): references, and what was measured on four passes.
LINE_WIDTHS = (6.19, 9.17, 1.99, 7.77, 4.0, 10.77, 4.78, 2.99, 6.98, 9.98)
MEASURED = (
    (6.31, 9.27, 2.21, 8.0, 4.27, 10.93, 4.95, 3.24, 7.14, 10.23),
    (6.27, 9.21, 2.19, 7.81, 4.15, 10.73, 4.87, 3.17, 7.07, 10.02),
    (6.31, 9.34, 2.22, 7.95, 4.15, 10.92, 5.0, 3.21, 7.18, 10.07),
    (6.28, 9.23, 2.2, 7.84, 4.15, 10.89, 5.0, 3.21, 7.2, 10.17),
)

# JCGM 100:2008 (GUM), annex H.3: corrections of a thermometer (data and results found; s from memory).
TEMPERATURE = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
CORRECTION = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)


def test_norris(published):
    y, x = np.array(NORRIS).T
    line = fit_line(x, y)
    published("intercept", line.at(0.0), -0.262323073774029, relative=1e-9)
    published("slope", line.slope, 1.00211681802045, relative=1e-9)
    published("its standard error", line.slope_doubt, 0.000429796848199937, relative=1e-9)
    published("residual sd", line.sd, 0.884796396144373, relative=1e-9)
    assert line.freedom == 34


def test_line_widths(published):
    line = fit_line(LINE_WIDTHS * 4, np.ravel(MEASURED))
    published("intercept", line.at(0.0), 0.2357623, 5e-8)
    published("slope", line.slope, 0.9870377, 5e-8)
    published("its standard error", line.slope_doubt, 0.00344058, 5e-9)
    published("covariance", -line.middle_x * line.slope_doubt**2, -7.649453e-05, 5e-12)


def test_gum_h3(published):
    line = fit_line(np.array(TEMPERATURE) - 20, CORRECTION)
    published("intercept at 20 degrees", line.at(0.0), -0.1712, 5e-5)
    published("slope", line.slope, 0.00218, 5e-6)
    published("its uncertainty", line.slope_doubt, 0.00067, 5e-6)
    published("s", line.sd, 0.0035, 5e-5)
    published("correction at 30 degrees", line.at(10.0), -0.1494, 5e-5)
    of_middle, of_slope = line.sd / len(TEMPERATURE) ** 0.5, (10 - line.middle_x) * line.slope_doubt
    published("its uncertainty", np.hypot(of_middle, of_slope), 0.0041, 5e-5)


def test_gum_h1(published):
    """JCGM 100:2008 (GUM), annex H.1: the length of a gauge block in nm. From memory.

    Its effective degrees of freedom and its combined uncertainty are no figures of ours and are taken as printed.
    """
    published("coverage factor, 99 %, 16", t_point(0.995, 16), 2.92, 0.005)
    published("expanded uncertainty", t_point(0.995, 16) * 32, 93, 0.5)
