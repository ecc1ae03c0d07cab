"""The ranking does not hang on the order of loading: the same rows, a file each, in any order, give the same answer."""

from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.answers import plain
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.exchange.loading import load_files
from pitbench.desk.workshop import Workshop
from pitbench.records.reading import Day
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook

DAY = Day(datetime(2026, 5, 16, 14, 2))
MOTORS = "motor,class,stator,rotor,end_bell\nHeron,club,S1,R1,E1\nPlover,club,S2,R2,E2\n"
BENCH = "motor,taken_at,test_voltage_v,kv_rpm_per_v,no_load_current_a,stator,rotor,end_bell,fitted\n"
BUILDS = "motor,since,stator,rotor,end_bell\n"
HERONS = st.tuples(
    st.sampled_from(["S1", "S4", ""]), st.sampled_from(["R1", "R5", ""]), st.sampled_from(["E1", "E9", ""])
).map(",".join)
"""Parts by name, of which some or all are not said."""
RUN = st.tuples(
    st.sampled_from(["Heron", "Heron", "Plover"]),
    st.integers(1, 9),
    st.sampled_from([3940, 3950, 3960]),
    st.sampled_from([4.0, 4.1]),
    st.tuples(HERONS, st.sampled_from(["", "no", "yes"])).map(",".join),
)
BUILT = st.tuples(st.integers(1, 9), HERONS)


def run_row(motor, day, kv, amps, parts):
    return f"{BENCH}{motor},2026-05-0{day} 10:00,3.7,{kv},{amps},{parts if motor == 'Heron' else ',,,'}\n"


def load_texts(logbook, *texts):
    for text in texts:
        loaded = load_files(logbook, [read_sheet_text("a.csv", text, DAY)])
        assert not loaded.answer.files[0].problems


def answer_of(texts):
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        load_texts(logbook, MOTORS, *texts)
        return plain(rank(logbook.snapshot()))


@settings(max_examples=50, deadline=None)
@given(
    st.lists(RUN, max_size=6, unique_by=lambda run: run[:2]),
    st.lists(BUILT, max_size=3, unique_by=lambda built: built[0]),
    st.randoms(use_true_random=False),
)
def test_rows_loaded_one_by_one_in_any_order_rank_the_same(runs, builds, random):
    texts = [run_row(*run) for run in runs]
    texts += [f"{BUILDS}Heron,2026-05-0{day} 09:00,{parts}\n" for day, parts in builds]
    shuffled = random.sample(texts, len(texts))
    assert answer_of(texts) == answer_of(shuffled) == answer_of([*reversed(texts)])


def test_a_trial_of_three_parts_counts_for_their_build_whichever_was_loaded_first():
    tried = f"{BENCH}Heron,2026-05-01 10:00,3.7,3950,4.0,S1,R5,E1,no\n"
    later = f"{BENCH}Heron,2026-05-03 10:00,3.7,3960,4.0,,,,\n"
    plover = f"{BENCH}Plover,2026-05-03 10:00,3.7,3940,4.1,,,,\n"
    built = f"{BUILDS}Heron,2026-05-02 10:00,S1,R5,E1\n"
    for order in ((tried, later, plover, built), (built, plover, later, tried)):
        (heron,) = (motor for motor in answer_of(order)["motors"] if motor["motor"] == "Heron")
        assert heron["figures"]["kv_rpm_per_v"]["runs"] == 2


@pytest.mark.parametrize("fitted", ["", "yes"])
def test_a_run_that_named_one_part_has_the_others_from_the_build_of_its_time(fitted):
    run = f"{BENCH}Heron,2026-05-03 10:00,3.7,3950,4.0,,R1,,{fitted}\n"
    later = f"{BENCH}Heron,2026-05-04 10:00,3.7,3960,4.0,,,,\n"
    built = f"{BUILDS}Heron,2026-05-02 10:00,S4,R5,\n"
    names = []
    for order in ((run, later, built), (built, later, run), (later, built, run)):
        with Logbook.in_memory(lambda: DAY.now) as logbook:
            load_texts(logbook, MOTORS, *order)
            workshop = Workshop(logbook)
            runs = sorted(logbook.rows("bench_run"), key=lambda row: row["taken_at"])
            names.append([list(workshop.names(workshop.build(row["build_id"])).values()) for row in runs])
    assert names == [[["S4", "R1", "E1"], ["S4", "R1" if fitted else "R5", "E1"]]] * 3


@pytest.mark.parametrize("parts", [",,,", ",,,no", "S1,,,"])
def test_a_run_at_the_very_time_another_was_fitted_is_of_one_build_whichever_came_first(parts):
    run = f"Heron,2026-05-03 10:00,3.7,3950,4.0,{parts}\n"
    fitted = "Heron,2026-05-03 10:00,3.7,3960,4.1,S4,,,yes\n"
    later = f"{BENCH}Heron,2026-05-04 10:00,3.7,3955,4.0,,,,\n"
    plover = f"{BENCH}Plover,2026-05-03 10:00,3.7,3940,4.1,,,,\n"
    both = f"{BENCH}{run}{fitted}"
    at_once = answer_of([plover, later, both])
    assert at_once == answer_of([BENCH + run, plover, later, both]) == answer_of([BENCH + run, later, both, plover])
    (heron,) = (motor for motor in at_once["motors"] if motor["motor"] == "Heron")
    assert heron["figures"]["kv_rpm_per_v"]["runs"] == (2 if parts.startswith("S1") else 3)
