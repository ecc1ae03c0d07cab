"""Parts and builds: which build is in force, whose part is where, trials, gaps, and names given late."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.builds import (
    BuildHistory,
    own_part_name,
    parts_of,
    parts_said,
    parts_text,
    rehoused,
)
from pitbench.desk.workshop import Workshop
from pitbench.records.models import BenchRun, Motor
from pitbench.records.names import LONGEST_NAME, Gap
from pitbench.store.logbook import Logbook

HERON, PLOVER = Motor(name="Heron"), Motor(name="Plover")
H, P = HERON.row(), PLOVER.row()
JANUARY, MAY, JUNE, JULY = "2026-01-01", "2026-05-01T10:00", "2026-06-01T10:00", "2026-07-01T10:00"


@pytest.fixture
def shop() -> Workshop:
    """Two motors from the beginning: Heron S1 R1 E1, Plover S2 R2 and an end bell of its own."""
    with Logbook.in_memory() as logbook:
        logbook.save("two motors", [HERON, PLOVER])
        shop = Workshop(logbook.snapshot())
    shop.first_build(H, {"stator": "S1", "rotor": "R1", "end_bell": "E1"})
    shop.first_build(P, {"stator": "S2", "rotor": "R2"})
    return shop


def names(shop: Workshop, build) -> str:
    return " ".join(str(name) if not isinstance(name, Gap) else "-" for name in shop.names(build).values())


def test_a_motor_nobody_described_has_its_own_parts(shop):
    assert names(shop, shop.history.in_force(P["id"])) == "S2 R2 Plover end bell"
    siskin = Motor(name="Siskin").row()
    assert names(shop, shop.build_at(siskin, MAY)) == "Siskin stator Siskin rotor Siskin end bell"
    assert shop.own_parts_only(siskin)
    assert not shop.own_parts_only(H)


def test_the_name_of_an_own_part_fits_even_behind_the_longest_name():
    assert len(own_part_name("x" * LONGEST_NAME, "end_bell")) == LONGEST_NAME


def test_parts_not_named_stay_and_the_build_in_force_is_that_of_the_time(shop):
    shop.fit(H, MAY, {"rotor": "R5"})
    shop.fit(H, JULY, {"end_bell": "E9"})
    in_force = {stamp: names(shop, shop.history.in_force(H["id"], stamp)) for stamp in (JANUARY, MAY, JUNE, JULY)}
    assert in_force == {JANUARY: "S1 R1 E1", MAY: "S1 R5 E1", JUNE: "S1 R5 E1", JULY: "S1 R5 E9"}
    assert shop.history.in_force(H["id"]) == shop.history.in_force(H["id"], JULY)
    assert names(shop, shop.history.in_force(H["id"], f"{MAY}:00")) == "S1 R5 E1", "seconds of nought are the same time"


def test_names_of_parts_are_unique_within_a_kind_and_matched_without_case(shop):
    assert shop.parts.part("rotor", " r1 ") == shop.parts.part("rotor", "R1")
    assert shop.parts.part("rotor", "S1") != shop.parts.part("stator", "S1")


def test_a_part_fitted_elsewhere_leaves_a_gap_until_it_is_filled(shop):
    shop.fit(P, MAY, {"rotor": "R1"})
    assert shop.history.missing(H["id"], JANUARY) == []
    assert shop.history.missing(H["id"], MAY) == ["rotor"]
    assert shop.history.missing(P["id"]) == []
    shop.fit(H, JUNE, {"rotor": "R9"})
    assert shop.history.missing(H["id"]) == []


def test_another_swap_does_not_fill_the_gap_but_the_part_coming_back_does(shop):
    shop.fit(P, MAY, {"rotor": "R1"})
    build = shop.fit(H, JUNE, {"end_bell": "E7"})
    assert names(shop, build) == "S1 - E7"
    assert shop.history.missing(H["id"]) == ["rotor"]
    shop.fit(H, JULY, {"rotor": "R1"})
    assert shop.history.missing(H["id"]) == []
    assert shop.history.missing(P["id"]) == ["rotor"], "now it is gone from there"


def test_a_part_taken_out_is_missing_and_a_trial_takes_nothing(shop):
    shop.fit(H, MAY, {"rotor": Gap.MISSING})
    assert shop.history.missing(H["id"]) == ["rotor"]
    shop.tested(P, JUNE, {"stator": "S1"})
    assert shop.history.missing(H["id"]) == ["rotor"]


def test_a_run_without_parts_or_with_those_it_has_is_on_the_build_in_force(shop):
    in_force = shop.history.in_force(H["id"])
    assert shop.tested(H, MAY, {}) == in_force
    assert shop.tested(H, MAY, {"rotor": "r1", "stator": None}) == in_force


def test_a_run_with_other_parts_is_a_trial_that_changes_nothing_and_is_made_once(shop):
    trial = shop.tested(H, MAY, {"rotor": "R5"})
    assert trial["fitted"] is False
    assert names(shop, trial) == "S1 R5 E1"
    assert names(shop, shop.history.in_force(H["id"])) == "S1 R1 E1"
    assert shop.tested(H, JUNE, {"rotor": "R5"}) == trial


def test_fitted_makes_it_what_the_motor_is_from_then_on(shop):
    first = shop.history.in_force(H["id"])
    build = shop.tested(H, MAY, {"rotor": "R5"}, fitted=True)
    assert build["since"] == MAY
    assert shop.tested(H, JUNE, {"rotor": "R5"}, fitted=True) == build
    assert shop.tested(H, JUNE, {"rotor": "R1"}) == first, "a try of the old rotor belongs to the old build"


def test_naming_parts_late_names_them_wherever_they_stand(shop):
    trial = shop.tested(P, MAY, {"rotor": "R9"})
    shop.describe(P, {"end_bell": "E2"})
    assert names(shop, shop.history.in_force(P["id"])) == "S2 R2 E2"
    assert names(shop, shop.build(trial["id"])) == "S2 R9 E2"


def test_naming_a_part_late_by_a_name_that_is_known_already(shop):
    trial = shop.tested(H, MAY, {"end_bell": "E2"})
    other = shop.tested(P, MAY, {"rotor": "R9"})
    shop.describe(P, {"end_bell": "E2"})
    assert shop.names(shop.build(other["id"]))["end_bell"] == "E2"
    assert parts_of(shop.build(other["id"]))[2] == parts_of(trial)[2] == parts_of(shop.history.in_force(P["id"]))[2]


def test_two_motors_cannot_have_one_part_from_the_very_same_time(shop):
    build = shop.describe(P, {"rotor": "R1"})
    assert shop.history.sharers(build) == [("rotor", H["id"])]
    assert shop.history.missing(H["id"]) == shop.history.missing(P["id"]) == []


def test_runs_move_to_a_build_that_became_known_later(shop):
    first = shop.history.in_force(H["id"])
    before = shop.history.copy()
    trial = shop.tested(H, JULY, {"rotor": "R8"})
    runs = [
        {"id": "early", "motor_id": H["id"], "taken_at": JANUARY, "build_id": first["id"]},
        {"id": "late", "motor_id": H["id"], "taken_at": JUNE, "build_id": first["id"]},
        {"id": "tried", "motor_id": H["id"], "taken_at": JULY, "build_id": trial["id"]},
    ]
    build = shop.fit(H, MAY, {"rotor": "R5"})
    assert rehoused(before, shop.history, runs) == {"late": build["id"]}


def test_an_undone_build_and_part_come_back_under_their_ids():
    with Logbook.in_memory() as logbook:
        logbook.save("motor", [HERON])
        shop = Workshop(logbook.snapshot())
        first, trial = shop.first_build(H, {"rotor": "R1"}), shop.tested(H, MAY, {"rotor": "R5"})
        fitted = shop.fit(H, JUNE, {"rotor": "R5"})
        logbook.save("builds", shop.to_save.values())
        logbook.journal.undo()
        assert logbook.rows("build") == []
        again = Workshop(logbook.snapshot())
        assert again.first_build(H, {"rotor": "R1"}) == first
        assert again.tested(H, MAY, {"rotor": "R5"}) == trial
        assert again.fit(H, JUNE, {"rotor": "R5"}) == fitted


def test_what_the_desk_asks_of_a_snapshot():
    with Logbook.in_memory() as logbook:
        logbook.save("two motors", [HERON, PLOVER])
        shop = Workshop(logbook.snapshot())
        shop.first_build(H, {})
        shop.first_build(P, {"rotor": "R2"})
        shop.fit(P, MAY, {"stator": "Heron stator"})
        logbook.save("builds", shop.to_save.values())
        snapshot = logbook.snapshot()
    assert parts_text(snapshot, BuildHistory(snapshot.rows("build")).in_force(H["id"])) == ""
    assert parts_text(snapshot, BuildHistory(snapshot.rows("build")).in_force(P["id"])) == "Heron stator R2 own"
    assert parts_text(snapshot, BuildHistory(snapshot.rows("build")).in_force(P["id"], JANUARY)) == "own R2 own"
    assert BuildHistory(snapshot.rows("build")).missing(H["id"]) == ["stator"]
    assert parts_text(snapshot, None) == ""
    builds = BuildHistory(snapshot.rows("build"))
    said = [parts_said(snapshot, builds.in_force(key)) for key in (H["id"], P["id"])]
    assert said == ["its own parts", "Heron stator, rotor R2, else its own"]
    assert parts_said(snapshot, builds.in_force(H["id"]), ["stator"]) == "stator missing, else its own"


STAMPS = st.sampled_from([JANUARY, MAY, JUNE, JULY])
FITTINGS = st.lists(
    st.tuples(
        st.sampled_from([0, 1]), STAMPS, st.sampled_from(["stator", "rotor", "end_bell"]), st.sampled_from("ABC")
    ),
    max_size=8,
)


@given(FITTINGS)
def test_a_part_is_never_in_two_motors_unless_both_took_it_at_the_same_time(fittings):
    with Logbook.in_memory() as logbook:
        logbook.save("two motors", [HERON, PLOVER])
        shop = Workshop(logbook.snapshot())
    for motor in (H, P):
        shop.first_build(motor, {})
    for which, stamp, kind, part in sorted(fittings, key=lambda each: each[1]):
        shop.fit((H, P)[which], stamp, {kind: part})
    has = {}
    for motor in (H, P):
        build = shop.history.in_force(motor["id"])
        if shop.history.sharers(build):
            return
        missing = set(shop.history.missing(motor["id"]))
        has[motor["id"]] = {each for each in shop.names(build).items() if each[0] not in missing}
    assert not has[H["id"]] & has[P["id"]]


@given(FITTINGS, st.randoms(use_true_random=False))
def test_a_history_does_not_hang_on_the_order_of_entry(fittings, random):
    with Logbook.in_memory() as logbook:
        shop = Workshop(logbook.snapshot())
    for motor in (H, P):
        shop.first_build(motor, {})
    for which, stamp, kind, part in fittings:
        shop.fit((H, P)[which], stamp, {kind: part})
    builds = [build.row() for build in shop.to_save.values() if "motor_id" in build.row()]
    random.shuffle(builds)
    shuffled = BuildHistory(builds)
    for motor in (H, P):
        for stamp in (JANUARY, MAY, JUNE, JULY, None):
            assert shuffled.in_force(motor["id"], stamp) == shop.history.in_force(motor["id"], stamp)
            assert shuffled.missing(motor["id"], stamp) == shop.history.missing(motor["id"], stamp)


def test_every_build_and_part_made_is_a_record_that_can_be_saved(shop):
    shop.fit(H, MAY, {"rotor": "R5"}, note="R1 had lost flux", extra={"weather": "hot"})
    with Logbook.in_memory() as logbook:
        run = BenchRun(
            motor_id=HERON.id, build_id=shop.history.in_force(H["id"])["id"], taken_at=JUNE, kv_rpm_per_v=3950
        )
        logbook.save("all", [HERON, PLOVER, *shop.to_save.values(), run])
        assert len(logbook.rows("build")) == 3
        assert BuildHistory(logbook.rows("build")).missing(H["id"]) == []
