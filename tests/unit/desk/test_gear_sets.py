"""Own sets by rollout: what meshes, what the class allows, what one tooth does, which is nearest to a wanted rollout.

The formulas are checked against handbook gear trains in tests/reference; here: rollout = π × tyre ÷ FDR.
"""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.gear_entry import edit_gear, gear_lines, new_gears, read_teeth, save_gears
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.lists.gear_plan import ASSUMED, first_gearing, geared, plan_texts, stepped_gearing, typed_plan
from pitbench.desk.lists.gear_sets import find_set, gearing, read_rollout
from pitbench.records.models import ClassSheet
from pitbench.records.numbers import Unreadable
from pitbench.records.refusal import Refusal
from pitbench.records.units import Units
from pitbench.words.gearing import broken_words, found_words, gearing_words, tooth_words, unmated_words
from tests.unit.desk.by_hand import edit_motor, new_book
from tests.unit.desk.track_side import Season

MM, INCH = Units(), Units(length="in")
RUN = {"pinion": 31, "spur": 72, "internal_ratio": 1.9, "tyre_diameter_mm": 62.5}


@pytest.fixture
def season():
    season = Season()
    season.run("2026-04-12T10:00", **RUN)
    season.run("2026-05-17T10:00", pinion=32, spur=72)
    return season


def own(season, **kinds):
    """Gears typed in: pinion="28 29", spur="72"; pitch 64 DP unless said."""
    for kind, teeth in kinds.items():
        entry = new_gears(season.snapshot)
        entry.texts |= {
            "kind": kind.rstrip("_"),
            "teeth": teeth,
            "dp": "48" if kind.endswith("_") else "64",
            "module": "",
        }
        save_gears(season.book, entry)


def limits(season, **fields):
    edit_motor(season.book, season.motors["Heron"], **{"class": "club 13.5T"})
    sheet = next(each for each in season.book.records("class_sheet") if each.name == "club 13.5T")
    season.book.save("limits", [sheet.with_(**fields)])


def answer(season):
    return gearing(season.snapshot, first_gearing(season.snapshot))


def test_the_plan_begins_at_the_newest_run_and_takes_what_it_lacks_from_the_one_before(season):
    plan = first_gearing(season.snapshot)
    assert (plan.pinion, plan.spur, plan.internal_ratio, plan.tyre_diameter_mm) == (32, 72, 1.9, 62.5)
    assert (plan.motor, plan.assumed) == ("Heron", ())
    season.run("2026-05-17T11:00", car_id="another car", pinion=20)
    assert first_gearing(season.snapshot).assumed == ("spur", "internal_ratio", "tyre_diameter_mm")


def test_without_any_run_the_plan_is_assumed_and_says_so():
    plan = first_gearing(new_book().snapshot())
    assert plan.assumed == tuple(ASSUMED)
    said = gearing_words(gearing(new_book().snapshot(), plan), MM)
    assert said[0].startswith("No gears of yours are written down yet: + writes down pinions and spurs.")
    assert said[1] == "No class sheet sets a limit to gearing."
    assert "Assumed, as no track run says it yet: pinion 30, spur 72, internal ratio 1.00 and tyre diameter" in said[2]


def test_every_pinion_with_every_spur_of_its_pitch_by_rollout(season):
    own(season, pinion="30-32", spur="69 72", pinion_="21")
    found = answer(season)
    assert [(s.gears.pinion, s.gears.spur) for s in found.sets] == [
        (30, 72), (31, 72), (30, 69), (32, 72), (31, 69), (32, 69),
    ]  # fmt: skip
    for each in found.sets:
        gears = each.gears
        assert gears.fdr == pytest.approx(gears.spur / gears.pinion * 1.9)
        assert gears.rollout_mm == pytest.approx(pi * 62.5 / gears.fdr)
        assert gears.centre_mm == pytest.approx(25.4 / 64 * (gears.pinion + gears.spur) / 2)
    steps = [each.to_next_mm for each in found.sets]
    assert steps[-1] is None and sum(steps[:-1]) == pytest.approx(
        found.sets[-1].gears.rollout_mm - found.sets[0].gears.rollout_mm
    )
    assert found.key_here == found.sets[3].key and found.owned
    assert found.unmated == (("pinion", 0.529167, ["21"]),)
    assert unmated_words(found) == "Nothing of its pitch to mesh with: pinion 21 of 48 DP, module 0.529."


def test_what_the_class_does_not_allow_is_marked_and_said(season):
    own(season, pinion="30-32", spur="69 72")
    limits(season, max_rollout_mm=45.0, min_fdr=4.4)
    found = answer(season)
    assert [s.gears.legal for s in found.sets] == [True, True, False, False, False, False]
    assert gearing_words(found, MM)[1] == (
        "Rules of club 13.5T: at most 45.0 mm of rollout and an FDR of at least 4.4. "
        "Your longest legal set is 31/72, 44.5 mm."
    )
    assert broken_words(found.sets[0].gears, found.plan, MM) == ""
    assert broken_words(found.sets[2].gears, found.plan, MM) == "FDR is 0.030 under the 4.4 asked for."
    assert broken_words(found.sets[3].gears, found.plan, MM) == (
        "Rollout is 0.93 mm over the 45.0 mm allowed and FDR is 0.125 under the 4.4 asked for."
    )
    limits(season, max_rollout_mm=20.0, min_fdr=None)
    assert "None of your sets keeps to that." in gearing_words(answer(season), MM)[1]
    limits(season, max_rollout_mm=None)
    assert gearing_words(answer(season), MM)[1] == "The class sheet of club 13.5T sets no limit to gearing."


def test_without_own_gears_one_tooth_steps_round_the_last_run(season):
    found = answer(season)
    assert not found.owned and (32, 72) in [(s.gears.pinion, s.gears.spur) for s in found.sets]
    assert sorted({s.gears.pinion for s in found.sets}) == [30, 31, 32, 33, 34]
    assert sorted({s.gears.spur for s in found.sets}) == [70, 71, 72, 73, 74]
    assert gearing_words(found, MM)[0].endswith("tooth by tooth round 32/72:")
    own(season, pinion="30")
    assert gearing_words(answer(season), MM)[0].startswith("Your gears make no set yet")
    own(season, spur="72")
    assert gearing_words(answer(season), MM)[0] == "Your one set gives 43.1 mm of rollout on 62.5 mm tyres."


def test_one_tooth_and_one_tenth_of_a_millimetre(season):
    plan = geared(first_gearing(season.snapshot), 31, 72)
    told = gearing(season.snapshot, plan)
    assert tooth_words(told, MM) == "One tooth: pinion up +1.44, down -1.44; spur up -0.61, down +0.63 mm."
    assert tooth_words(told, INCH).endswith("down +0.0247 in.")
    assert stepped_gearing(plan, "pinion", 1).pinion == 32 and stepped_gearing(plan, "spur", -1).spur == 71
    assert stepped_gearing(plan, "tyre_diameter_mm", -1).tyre_diameter_mm == 62.4
    assert stepped_gearing(geared(plan, 1, 72), "pinion", -1).pinion == 1


@given(st.floats(1, 1000))
def test_the_set_found_is_as_near_as_any(wanted):
    found = gearing(SEASON.snapshot, first_gearing(SEASON.snapshot))
    gears = find_set(found, wanted).gears
    assert abs(gears.rollout_mm - wanted) == min(abs(s.gears.rollout_mm - wanted) for s in found.sets)


def test_what_was_found_is_said_with_how_far_it_is_off(season):
    own(season, pinion="30-32", spur="72")
    limits(season, max_rollout_mm=45.0)
    found = answer(season)
    assert found_words(find_set(found, 44), found, MM) == "Nearest to 44.0 mm: 31/72, 0.49 mm long."
    far = found_words(find_set(found, 60), found, MM)
    assert far == (
        "Nearest to 60.0 mm: 32/72, 14.07 mm short. It breaks the rules. Nearest legal: 31/72, 15.51 mm short."
    )
    assert found_words(find_set(found, 44), found, INCH).startswith("Nearest to 1.732 in: 31/72, 0.0195 in")


def test_without_own_gears_any_pinion_on_this_spur_is_tried(season):
    found = answer(season)
    near = find_set(found, 30)
    assert (near.gears.pinion, near.gears.spur) == (21, 72)
    assert "any pinion on this spur: 21/72" in found_words(near, found, MM)


def test_a_rollout_is_read_in_the_unit_shown():
    assert read_rollout("44,5", MM) == 44.5
    assert read_rollout("1.75", INCH) == pytest.approx(44.45)
    with pytest.raises(Refusal, match="Rollout soft is no number, write one like"):
        read_rollout("soft", MM)


def test_a_plan_is_typed_in_the_units_of_the_team(season):
    plan = first_gearing(season.snapshot)
    assert plan_texts(plan, INCH)["tyre_diameter_mm"] == "2.460629921"
    typed = typed_plan(plan, {"pinion": "25", "spur": "", "tyre_diameter_mm": "2.5"}, INCH)
    assert (typed.pinion, typed.spur, typed.tyre_diameter_mm) == (25, 72, 63.5)
    with pytest.raises(Refusal, match=r"Pinion 25\.5 must be a whole number\."):
        typed_plan(plan, {"pinion": "25.5"}, MM)


# own gears


def gears(season):
    return {(row["kind"], row["teeth"], row["module"]) for row in season.book.rows("gear")}


@pytest.mark.parametrize(
    ("text", "teeth"), [("28 29 30", [28, 29, 30]), ("28-31", [28, 29, 30, 31]), ("28,28; 30", [28, 30])]
)
def test_teeth_of_several_gears_are_read(text, teeth):
    assert read_teeth(text) == teeth


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is empty, numbers like 28 29 30 would be right"),
        ("x", "is no number"),
        ("31-28", "begins at its end, 28-31 would be right"),
        ("999", "is not possible"),
        ("1-200", "are 200 gears, at most 100 at once"),
        ("28.5", "must be a whole number"),
    ],
)
def test_teeth_that_cannot_be_read_say_why(text, why):
    with pytest.raises(Unreadable, match=why):
        read_teeth(text)


def test_gears_are_stored_at_once_and_never_twice(season):
    own(season, pinion="28 29")
    assert gears(season) == {("pinion", 28, 25.4 / 64), ("pinion", 29, 25.4 / 64)}
    entry = new_gears(season.snapshot)
    assert (entry.texts["kind"], entry.texts["dp"], entry.texts["module"]) == ("pinion", "64", "")
    entry.texts["teeth"] = "29-31"
    assert save_gears(season.book, entry) == "pinions 30 and 31; 29 there already"
    with pytest.raises(Refusal, match=r"Pinions 29, 30 and 31 of 64 DP, module 0\.397 stand in your gears already\."):
        save_gears(season.book, entry)
    entry.texts |= {"dp": "", "module": "0.5"}
    save_gears(season.book, entry)
    assert new_gears(season.snapshot).texts["module"] == "0.5"
    season.book.journal.undo()
    season.book.journal.undo()
    assert len(gears(season)) == 2


@pytest.mark.parametrize(
    ("texts", "why"),
    [
        ({"kind": "gear"}, "Kind gear must be pinion or spur."),
        ({"kind": ""}, "Kind must be pinion or spur."),
        ({"dp": "", "module": ""}, "Diametral pitch is empty, and module too; one of them would be right."),
        ({"module": "0.4"}, "Module 0.4 and diametral pitch are both given, one of them would be right."),
        ({"dp": "", "module": "40"}, "Module 40 is not possible, 0.1 to 5 mm would be."),
        ({"dp": "5"}, "Diametral pitch 5 is not possible, 5.08 to 254 would be."),
        ({"dp": "soft"}, "Diametral pitch soft is no number, write one like 41."),
    ],
)
def test_bad_gears_get_one_sentence_and_nothing_is_stored(season, texts, why):
    entry = new_gears(season.snapshot)
    entry.texts |= {"kind": "p", "teeth": "28", "dp": "64"} | texts
    with pytest.raises(Refusal) as refused:
        save_gears(season.book, entry)
    assert str(refused.value) == why
    assert gears(season) == set()


def test_a_gear_is_edited_listed_and_binned(season):
    own(season, pinion="28", spur="72")
    pinion = next(row for row in season.book.rows("gear") if row["kind"] == "pinion")
    entry = edit_gear(season.snapshot, pinion["id"])
    entry.texts |= {"teeth": "29", "note": "worn"}
    assert save_gears(season.book, entry) == "edited pinion 29"
    assert [(g.kind, g.teeth, g.dp, g.module, g.note) for g in gear_lines(season.snapshot)] == [
        ("pinion", "29", "64", "0.397", "worn"),
        ("spur", "72", "64", "0.397", ""),
    ]
    entry.texts["teeth"] = "29 30"
    with pytest.raises(Refusal, match="Teeth 29 30 are several, one gear has one number of teeth"):
        save_gears(season.book, entry)
    assert put_in_bin(season.book, pinion["id"]) == "pinion 29 to the bin"
    assert [g.kind for g in gear_lines(season.snapshot)] == ["spur"]


def made_season():
    season = Season()
    season.run("2026-05-17T10:00", **RUN)
    own(season, pinion="24-36", spur="69 72 76")
    return season


SEASON = made_season()


def test_the_class_last_worked_on_counts_before_the_first_run():
    season = Season()
    season.book.save("class", [ClassSheet(name="unused", max_rollout_mm=30)])
    limits(season, max_rollout_mm=50.0)
    assert first_gearing(season.snapshot).max_rollout_mm == 50.0
