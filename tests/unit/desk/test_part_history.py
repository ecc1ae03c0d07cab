"""Where a part has been: stays, the runs of each, their means, what was only tried."""

import pytest

from pitbench.desk.entry.run_entry import leave_out
from pitbench.desk.parts.history import part_history
from pitbench.desk.workshop import Workshop
from pitbench.records.models import Event, TrackRun
from pitbench.words.part_history import part_title, part_words, run_words, stay_words
from tests.unit.desk.by_hand import NOW, add_motor, edit_motor, named, new_book, put_run
from tests.unit.desk.test_swapping import swap


@pytest.fixture
def book():
    """R1 in Heron, from 10 May in Plover, from 12 May spare, from 14 May in Heron; runs on 9, 11, 13 and 15 May."""
    book = new_book()
    add_motor(book, "Heron", rotor="R1")
    add_motor(book, "Plover", rotor="R2")
    for day, kv in (("09", 3900), ("11", 3950), ("13", 4000), ("15", 3910)):
        for minute, motor in ((0, "Heron"), (10, "Plover")):
            more = {
                "kv_rpm_per_v": kv + minute,
                "no_load_current_a": 4.0,
                "pole_imbalance_pct": 2.0,
                "test_voltage_v": 3.7,
            }
            put_run(book, named(book, "motor", motor)["id"], taken_at=f"2026-05-{day}T10:{minute:02d}", **more)
    swap(book, "Plover", "R1", at="2026-05-10")
    swap(book, "Plover", "R9", "rotor", at="2026-05-12")
    swap(book, "Heron", "R1", at="2026-05-14 09:00")
    return book


def history(book, part="R1", kind="rotor"):
    return part_history(book.snapshot(), kind, part)


def test_stays_with_their_runs_and_means_the_newest_first(book):
    found = history(book)
    assert [(stay.motor, stay.since, stay.until, stay.bench, stay.figures.kv) for stay in found.stays] == [
        ("Heron", "2026-05-14T09:00", None, 1, 3910),
        ("Plover", "2026-05-10", "2026-05-12", 1, 3960),
        ("Heron", None, "2026-05-10", 1, 3900),
    ]
    assert (found.stays[0].figures.imbalance, found.stays[0].figures.winding, found.corrected) == (2.0, None, False)
    assert (found.moved, found.motor_id) == (2, named(book, "motor", "Heron")["id"])
    assert part_title(found, "Heron", NOW) == "Rotor R1   in Heron since 14 May 09:00"
    assert part_words(found) == ("It went into another motor twice; 3 bench runs and 0 track runs were made with it.")
    assert [stay_words(stay, NOW) for stay in found.stays] == [
        "Heron since 14 May 09:00",
        "Plover, 10 May to 12 May",
        "Heron to 10 May",
    ]


def test_a_part_is_found_by_name_or_id_and_one_that_is_none_is_not(book):
    assert history(book, named(book, "part", "R1")["id"]) == history(book, " r1")
    assert history(book, "R1", "stator") is None


def test_a_spare_and_a_part_that_never_moved(book):
    spare = history(book, "R2")
    assert spare.motor_id is None and part_title(spare, "", NOW) == "Rotor R2   spare since 14 May 09:00"
    stator = history(book, "Heron stator", "stator")
    assert part_title(stator, "Heron", NOW) == "Stator Heron stator   in Heron from the beginning"
    assert part_words(stator).startswith("It was never fitted into another motor; 4 bench runs")
    assert [stay_words(stay, NOW) for stay in stator.stays] == ["Heron from the beginning"]


def test_another_part_swapped_meanwhile_ends_no_stay(book):
    swap(book, "Heron", "E9", "end bell", at="2026-05-16")
    assert [stay.since for stay in history(book).stays] == ["2026-05-14T09:00", "2026-05-10", None]


def test_a_part_taken_by_another_motor_without_a_new_build_is_gone_from_there(book):
    edit_motor(book, named(book, "motor", "Plover")["id"], rotor="R1", since="2026-05-16")
    found = history(book)
    assert [(stay.motor, stay.until) for stay in found.stays[:2]] == [("Plover", None), ("Heron", "2026-05-16")]
    assert found.moved == 3


def test_runs_that_only_tried_it_track_runs_and_runs_left_out(book):
    heron, plover = (named(book, "motor", name)["id"] for name in ("Heron", "Plover"))
    shop = Workshop(book.snapshot())
    trial = shop.tested(book.row("motor", plover), "2026-05-16T10:00", {"rotor": "R1"})
    event = Event(name="Saltmouth", date="2026-05-16")
    book.save("trial", [*shop.to_save.values(), event])
    put_run(book, plover, taken_at="2026-05-16T10:00", kv_rpm_per_v=3500, build_id=trial["id"])
    build = next(b["id"] for b in book.rows("build") if b.get("since") == "2026-05-14T09:00" and b["motor_id"] == heron)
    race = {"round_kind": "main", "round": "A", "event_id": event.id}
    book.save("race", [TrackRun(motor_id=heron, build_id=build, started_at="2026-05-16T12:00", **race)])
    odd = put_run(book, heron, taken_at="2026-05-16T13:00", kv_rpm_per_v=9000, build_id=build)
    leave_out(book, odd.id, "loose lead")
    tried, now, *_ = history(book).stays
    assert (tried.motor, tried.tried, tried.figures.kv) == ("Plover", True, 3500)
    assert stay_words(tried, NOW) == "Plover, only tried"
    assert (now.bench, len(now.runs), now.figures.kv) == (2, 3, 3910)
    assert [run_words(run, NOW) for run in now.runs] == [
        "16 May 13:00  bench run, left out",
        "16 May 12:00  Saltmouth, main A",
        "15 May 10:00  bench run",
    ]
