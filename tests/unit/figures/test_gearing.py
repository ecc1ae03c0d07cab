"""Gear sets: which exist, in what order, which are allowed. Handbook values stand in tests/reference."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures import gearing
from pitbench.figures.gearing import Drive, Gear

DRIVE = Drive(63.0, 1.9, max_rollout_mm=33.0, min_fdr=5.9)
METRIC, INCH = 0.4, gearing.module_of(64)
teeth = st.integers(10, 130)
gears = st.lists(st.builds(Gear, teeth, st.sampled_from([METRIC, INCH, 0.53, gearing.module_of(48), None])), max_size=8)


@given(teeth, teeth, st.floats(20, 120), st.floats(0.5, 5))
def test_rollout_is_tyre_circumference_over_the_ratio(pinion, spur, tyre, internal):
    found = gearing.gear_set(pinion, spur, Drive(tyre, internal), 0.5)
    assert found.rollout_mm * found.fdr == pytest.approx(pi * tyre)
    assert found.fdr * pinion == pytest.approx(spur * internal)
    assert found.centre_mm == pytest.approx((pinion + spur) / 4)
    assert gearing.module_of(gearing.module_of(tyre)) == pytest.approx(tyre)
    assert found.legal


@given(st.integers(2, 130), st.integers(2, 130))
def test_one_tooth_leads_to_the_neighbouring_set(pinion, spur):
    here, steps = gearing.gear_set(pinion, spur, DRIVE).rollout_mm, gearing.one_tooth(pinion, spur, DRIVE)
    changes = {(1, 0): steps.pinion_up, (-1, 0): steps.pinion_down, (0, 1): steps.spur_up, (0, -1): steps.spur_down}
    for (more_pinion, more_spur), change in changes.items():
        there = gearing.gear_set(pinion + more_pinion, spur + more_spur, DRIVE).rollout_mm
        assert here + change == pytest.approx(there)
        assert (change > 0) == (more_pinion > 0 or more_spur < 0)


def test_no_gear_is_smaller_than_one_tooth():
    assert gearing.one_tooth(1, 1, DRIVE).pinion_down is None and gearing.one_tooth(1, 1, DRIVE).spur_down is None


@given(gears, gears)
def test_sets_are_all_that_mesh_once_and_in_order(pinions, spurs):
    sets = gearing.all_sets(pinions, spurs, DRIVE)
    assert [each.rollout_mm for each in sets] == sorted(each.rollout_mm for each in sets)
    wanted = {
        (pinion.teeth, spur.teeth, pitch_name(pinion))
        for pinion in pinions
        for spur in spurs
        if pitch_name(pinion) == pitch_name(spur)
    }
    got = [(each.pinion, each.spur, pitch_name(Gear(1, each.module_mm))) for each in sets]
    assert len(got) == len(set(got)) and set(got) == wanted


def pitch_name(gear):
    names = {0.397: "64 DP", 0.4: "0.4", 0.529: "48 DP", 0.53: "48 DP"}
    return None if gear.module_mm is None else names[round(gear.module_mm, 3)]


def test_limits_of_the_class_are_marked():
    sets = gearing.all_sets([Gear(n, METRIC) for n in (24, 25, 26)], [Gear(78, METRIC)], DRIVE)
    assert [each.legal for each in sets] == [True, False, False]
    assert [each.under_fdr is None for each in sets] == [True, True, False]
    assert sets[2].under_fdr == pytest.approx(5.9 - 1.9 * 78 / 26)
    assert sets[1].over_rollout == pytest.approx(33.387371 - 33, abs=1e-6)


@pytest.mark.parametrize(("pinion", "spur", "internal"), [(25, 78, 1.9), (30, 90, 1.1), (31, 93, 2.6)])
def test_a_limit_met_exactly_is_kept(pinion, spur, internal):
    """5.928 as a person writes it, whatever the last binary digit of 78 / 25 × 1.9 is."""
    limit = round(spur / pinion * internal, 6)
    exact = gearing.gear_set(pinion, spur, Drive(60.0, internal, min_fdr=limit))
    assert exact.legal
    assert gearing.gear_set(pinion, spur, Drive(60.0, internal, max_rollout_mm=exact.rollout_mm)).legal
    assert not gearing.gear_set(pinion, spur, Drive(60.0, internal, min_fdr=limit + 0.0001)).legal


@given(gears, gears, st.floats(5, 200))
def test_nothing_owned_lies_nearer_than_the_nearest(pinions, spurs, wanted):
    sets = gearing.all_sets(pinions, spurs, DRIVE)
    found = gearing.nearest(sets, wanted)
    assert (found is None) == (not sets)
    if found:
        assert abs(found.rollout_mm - wanted) == min(abs(each.rollout_mm - wanted) for each in sets)


def test_of_two_as_near_the_shorter_is_taken():
    sets = gearing.all_sets([Gear(20), Gear(40)], [Gear(80)], Drive(80 / pi))
    assert [each.rollout_mm for each in sets] == pytest.approx([20, 40])
    assert gearing.nearest(sets, 30.0).pinion == 20


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: gearing.final_drive_ratio(0, 20), "one tooth or more"),
        (lambda: gearing.final_drive_ratio(60, -20), "one tooth or more"),
        (lambda: gearing.final_drive_ratio(78, 25, 0.0), "internal ratio must be above 0, not 0"),
        (lambda: gearing.rollout(-63.0, 5.0), "tyre diameter must be above 0, not -63"),
        (lambda: gearing.rollout(63.0, float("nan")), "final drive ratio must be above 0"),
        (lambda: gearing.module_of(0.0), "gear pitch must be above 0"),
    ],
)
def test_what_no_gear_or_tyre_can_be_is_refused(wrong, words):
    with pytest.raises(ValueError, match=words):
        wrong()
