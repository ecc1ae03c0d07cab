"""Parts of a class: which builds may be made, what each part is worth, what was parted, what to test next."""

from datetime import datetime
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.comparing.ranking import rank
from pitbench.desk.exchange.loading import load_files
from pitbench.desk.parts.swaps import parts_answer
from pitbench.records.reading import Day
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook

DAY = Day(datetime(2026, 5, 20, 12, 0))
CLASSES = "class,turns,cells,parts_mixed,gearing_limit\nclub,13.5,2,{},heat\n"
MOTORS = """motor,class,stator,rotor,end_bell,model,check_motor
Heron,club,S1,R1,E1,first make,no
Plover,club,S2,R2,E2,first make,no
Siskin,club,S3,R3,E3,second make,no
"""
RUN = "{motor},2026-05-{day}T18:{minute:02d},bench box,3.7,{kv},{current},{winding},42.0,{imbalance},{parts}"
HEAD = (
    "motor,taken_at,tester,test_voltage_v,kv_rpm_per_v,no_load_current_a,resistance_mohm,timing_deg,"
    "pole_imbalance_pct,stator,rotor,end_bell"
)


def runs(day, *told):
    """Two runs of each motor in turn; told: motor, KV, current, winding, imbalance, parts where they are named."""
    lines = [
        RUN.format(
            motor=motor,
            day=day,
            minute=8 * i + 2 * nth,
            kv=kv + 4 * i,
            current=current,
            winding=winding,
            imbalance=imbalance,
            parts=parts,
        )
        for i in range(2)
        for nth, (motor, kv, current, winding, imbalance, parts) in enumerate(told)
    ]
    return "\n".join([HEAD, *lines, ""])


FIRST = runs(
    10,
    ("Heron", 3950, 4.0, 11.4, 2.0, ",,"),
    ("Plover", 3920, 4.2, 12.0, 1.0, ",,"),
    ("Siskin", 3930, 4.1, 12.1, 3.0, ",,"),
)
SWAPPED = "motor,since,stator,rotor,end_bell\nHeron,2026-05-11T10:00,,R2,\nPlover,2026-05-11T10:00,,R1,\n"
AFTER = runs(11, ("Heron", 3955, 4.0, 11.4, 1.0, ",,"), ("Plover", 3915, 4.2, 12.0, 2.0, ",,"))


def put(logbook, *texts, **how):
    """Load these texts; the problems found."""
    loaded = load_files(logbook, [read_sheet_text(f"{nth}.csv", text, DAY) for nth, text in enumerate(texts)], **how)
    return [fault for file in loaded.answer.files for fault in file.problems]


def book(*sheets, mixed="yes"):
    logbook = Logbook.in_memory(lambda: DAY.now)
    assert not put(logbook, CLASSES.format(mixed), MOTORS, *sheets)
    return logbook


def answer(*sheets, mixed="yes"):
    return parts_answer(book(*sheets, mixed=mixed).snapshot())


def triples(found):
    return {(build.stator, build.rotor, build.end_bell) for build in found.swaps.builds}


ALL = set(product(("S1", "S2", "S3"), ("R1", "R2", "R3"), ("E1", "E2", "E3")))
OWN = {("S1", "R1", "E1"), ("S2", "R2", "E2"), ("S3", "R3", "E3")}


@pytest.mark.parametrize("mixed", ["yes", ""])
def test_every_build_of_the_parts_there_are(mixed):
    found = answer(FIRST, mixed=mixed)
    assert triples(found) == ALL and len(found.swaps.builds) == 27
    assert {(b.stator, b.rotor, b.end_bell) for b in found.swaps.builds if b.tested} == OWN
    assert sum(build.chance_best for build in found.swaps.builds) == pytest.approx(1.0)
    scores = [build.score_pct for build in found.swaps.builds]
    assert scores == sorted(scores, reverse=True) and sum(scores) == pytest.approx(0.0, abs=1e-9)
    assert sorted(build.even_place for build in found.swaps.builds) == list(range(1, 28))


def test_parts_that_may_not_be_mixed_stay_together():
    assert triples(answer(FIRST, mixed="no")) == OWN
    swapped = answer(FIRST, SWAPPED, AFTER, mixed="no")
    assert triples(swapped) == OWN  # as they were first put together, whatever they are now
    assert swapped.in_motor.count(None) == 2


def test_one_model_stays_among_itself():
    of_first = set(product(("S1", "S2"), ("R1", "R2"), ("E1", "E2")))
    assert triples(answer(FIRST, mixed="same model")) == of_first | {("S3", "R3", "E3")}


def test_another_class_and_other_turns_lend_no_parts():
    other = "motor,class,turns,stator\nRuff,stock,21.5,S9\nSora,club,17.5,S8\n"
    found = triples(answer(FIRST, other))
    assert {build for build in found if "S9" in build or "Ruff rotor" in build} == set()
    assert {build for build in found if "S8" in build} == {("S8", "Sora rotor", "Sora end bell")}


def test_a_part_out_of_any_motor_is_a_spare_and_can_be_built_in():
    new = "motor,since,stator,rotor,end_bell\nSiskin,2026-05-11T10:00,,R7,\n"
    found = answer(FIRST, new)
    spare = next(part for part in found.swaps.parts if part.part == "R3")
    assert (spare.in_, spare.moved) == (None, 1)
    assert ("S1", "R3", "E1") in triples(found) and ("S1", "R7", "E1") in triples(found)


def test_motors_not_in_use_tell_but_lend_nothing():
    gone = "motor,class,in_use,stator,rotor,end_bell\nRuff,club,no,S9,R9,E9\n"
    sheet = runs(12, ("Ruff", 3990, 3.9, 11.0, 1.0, ",,"), ("Heron", 3950, 4.0, 11.4, 2.0, ",,"))
    found = answer(FIRST, gone, sheet)
    assert triples(found) == ALL and "S9" not in {part.part for part in found.swaps.parts}


def test_what_never_moved_is_not_parted_and_one_swap_parts_the_rotors():
    before, after = answer(FIRST), answer(FIRST, SWAPPED, AFTER)
    assert not any(part.separated or part.moved for part in before.swaps.parts)
    parted = {part.part for part in after.swaps.parts if part.separated}
    assert parted == {"R1", "R2"}
    assert {part.part: (part.in_, part.moved) for part in after.swaps.parts if part.moved} == {
        "R1": ("Plover", 1),
        "R2": ("Heron", 1),
    }


def width(found, part, figure):
    spread = next(each for each in found.swaps.parts if each.part == part).figures[figure]
    return spread.high90 - spread.low90


def test_a_swap_narrows_what_the_rotors_are_worth():
    before, after = answer(FIRST), answer(FIRST, SWAPPED, AFTER)
    assert width(after, "R1", "kv_rpm_per_v") < 0.8 * width(before, "R1", "kv_rpm_per_v")
    worth = {part.part: part.figures for part in after.swaps.parts}
    assert worth["R1"]["pole_imbalance_pct"].mean > worth["R2"]["pole_imbalance_pct"].mean + 0.5  # it went along


def test_worths_are_differences_and_null_where_nobody_measured():
    found = answer(FIRST)
    for kind in ("stator", "rotor", "end_bell"):
        own = [part.figures for part in found.swaps.parts if part.kind == kind]
        for figure in ("kv_rpm_per_v", "no_load_current_a", "resistance_mohm", "load_power_w", "speed_per_amp"):
            assert sum(each[figure].mean for each in own) == pytest.approx(0.0, abs=1e-6)
        assert all(
            each["hall_level_spread_pct"] is each["track_pace_s"] is each["sensor_spread_deg"] is None for each in own
        )


def test_a_trial_run_counts_for_the_build_it_was_made_with():
    trial = runs(11, ("Heron", 3990, 3.9, 11.4, 1.0, ",R2,"), ("Siskin", 3930, 4.1, 12.1, 3.0, ",,"))
    found = answer(FIRST, trial)
    tested = {(b.stator, b.rotor, b.end_bell) for b in found.swaps.builds if b.tested}
    assert tested == OWN | {("S1", "R2", "E1")}
    assert next(part for part in found.swaps.parts if part.part == "R2").moved == 1
    assert [
        motor for build, motor in zip(found.swaps.builds, found.in_motor, strict=True) if build.rotor == "R2" and motor
    ] == ["Plover"]


def test_advice_names_where_from_where_to_and_what_to_run_beside():
    """The fast one has the most even rotor too, and each motor was run often, so that a swap is what tells."""
    often = [FIRST.replace("-10T", f"-{day:02d}T") for day in range(1, 10)]
    found = answer(*often, FIRST)
    advice = found.advice
    assert advice is not None and found.swaps.test_next == advice.build
    home = {part.part: part.in_ for part in found.swaps.parts}
    assert advice.moves and all(home[move.part] == move.from_ != advice.motor for move in advice.moves)
    assert {advice.build.stator, advice.build.rotor, advice.build.end_bell} >= {move.part for move in advice.moves}
    assert advice.beside in ("Heron", "Plover", "Siskin") and 0 < advice.chance_better < 1 and advice.gain_pct > 0
    assert set(advice.unparted) == {advice.build.stator, advice.build.rotor, advice.build.end_bell}
    minutes = 15 * len({advice.motor, *(move.from_ for move in advice.moves)}) / 2
    assert advice.minutes == minutes + 2 * (5 + 2 * advice.runs + 2 * advice.winding)


def test_the_check_motor_is_not_taken_apart():
    checked = MOTORS.replace("Siskin,club,S3,R3,E3,second make,no", "Siskin,club,S3,R3,E3,second make,yes")
    logbook = book(FIRST)
    assert not put(logbook, checked, replace=True)
    advice = parts_answer(logbook.snapshot()).advice
    assert advice is not None
    assert "Siskin" not in {advice.motor, *(move.from_ for move in advice.moves)}


def test_nothing_run_and_nothing_to_mix():
    nothing = parts_answer(book().snapshot())
    assert nothing.swaps.builds == [] and nothing.swaps.test_next is None and len(nothing.swaps.parts) == 9
    assert all(spread is None for part in nothing.swaps.parts for spread in part.figures.values())
    alone = parts_answer(Logbook.in_memory().snapshot())
    assert alone.swaps.parts == [] and alone.as_of is None


def test_where_runs_usually_read_nothing_that_counts_at_load_no_swap_is_advised():
    """One in six reads a KV, the others the imbalance alone: a further run would say nothing of power."""
    head = "motor,taken_at,pole_imbalance_pct,kv_rpm_per_v"
    told = [
        f"{motor},2026-05-{day}T19:00,2,{3950 if day == 10 else ''}"
        for motor in ("Heron", "Plover")
        for day in range(10, 16)
    ]
    found = answer("\n".join([head, *told, ""]))
    assert len(found.swaps.builds) == 27 and found.advice is None and found.swaps.test_next is None


@settings(max_examples=8)
@given(st.permutations(range(len(AFTER.splitlines()) - 1)))
def test_the_order_of_the_logbook_changes_no_number(order):
    head, *lines = AFTER.splitlines()
    mixed_up = "\n".join([head, *(lines[i] for i in order), ""])
    assert answer(FIRST, SWAPPED, mixed_up) == answer(FIRST, SWAPPED, AFTER)


def test_a_swap_stands_among_the_next_tests_only_where_parts_are_moved():
    said, moved = book(FIRST, mixed="no"), book(FIRST, SWAPPED, AFTER)
    assert rank(said.snapshot()).next_test is None or rank(said.snapshot()).next_test.test != "swap"
    team = moved.snapshot().team()
    assert team.test_minutes == 30
    found = rank(moved.snapshot()).next_test
    assert found is None or found.minutes <= 30
