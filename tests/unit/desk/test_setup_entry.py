"""A change written down by hand: what is filled in, what is refused in a sentence, what is stored."""

import pytest

from pitbench.desk.entry.known_names import known_names, meant
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.entry.setup_entry import (
    Before,
    edit_change,
    new_change,
    save_change,
    setup_problems,
    write_outcome,
)
from pitbench.records.refusal import Refusal
from tests.unit.desk.by_hand import NOW, new_book
from tests.unit.desk.track_side import Season


@pytest.fixture
def season():
    season = Season()
    season.run("2026-05-17T11:52", season.today)
    season.change("2026-04-12T12:00", "pinion", season.april, "Heron", was="29", now="30", outcome="better")
    return season


def save(season, change, **texts):
    change.texts |= texts
    return save_change(season.book, change, NOW)


def newest(season):
    return max(season.book.rows("setup_entry"), key=lambda row: row["written_at"])


def test_where_and_when_are_filled_in_and_was_comes_from_the_last_now(season):
    change = new_change(season.snapshot, NOW, "Pinion")
    assert change.texts == {
        "written_at": "2026-05-17 14:02",
        "event": "Saltmouth 2026-05-17",
        "track": "Salt flats",
        "car": "No. 4",
        "motor": "Heron",
        "what": "Pinion",
        "was": "30",
        "now": "",
        "why": "",
        "outcome": "",
    }
    assert new_change(season.snapshot, NOW.replace(month=7)).texts["event"] == ""
    assert new_change(new_book().snapshot(), NOW).texts["motor"] == ""


def test_an_entry_is_stored_as_one_action_and_read_back_the_same(season):
    words = save(season, new_change(season.snapshot, NOW, "pinion"), now="31", why="cool")
    assert words == "setup entry: pinion 30 to 31"
    stored = newest(season)
    assert {k: v for k, v in stored.items() if k not in ("id", "edited_at")} == {
        "written_at": "2026-05-17T14:02",
        "event_id": season.today.id,
        "car_id": season.car.id,
        "motor_id": season.motors["Heron"],
        "what": "pinion",
        "was": "30",
        "now": "31",
        "why": "cool",
    }
    again = edit_change(season.snapshot, stored["id"])
    assert again.texts["event"] == "Saltmouth 2026-05-17" and again.texts["track"] == "Salt flats"
    save(season, again, outcome="better, 66 °C")
    assert newest(season) == stored | {"outcome": "better, 66 °C", "edited_at": newest(season)["edited_at"]}
    assert season.book.journal.undo() == "edited setup entry: pinion 30 to 31"


def test_a_new_car_is_made_and_taken_back_with_its_entry(season):
    save(season, new_change(season.snapshot, NOW), what="body", car="No. 5", event="", track="Old quay")
    assert {row["name"] for row in season.book.rows("car")} == {"No. 4", "No. 5"}
    assert newest(season)["track"] == "Old quay"
    season.book.journal.undo()
    assert {row["name"] for row in season.book.rows("car")} == {"No. 4"}


@pytest.mark.parametrize(
    ("texts", "why"),
    [
        ({"motor": "Hern"}, "Motor Hern is no motor of yours, Heron would be right."),
        ({"motor": "zzz"}, "Motor zzz is no motor of yours, one like Heron would be right."),
        ({"event": "Saltmuoth"}, "Event Saltmuoth is no event of yours, Saltmouth would be right."),
        ({"event": "Saltmouth"}, "Event Saltmouth means 2 events, Saltmouth 2026-05-17 would be right."),
        ({"what": " "}, "What is empty, a name would be right."),
        ({"written_at": "yesterday 99:10"}, "has no such time of day"),
        ({"written_at": "2027-01-01"}, "lies ahead of this computer's clock"),
        ({"why": "x" * 2001}, "has 2001 characters, at most 2000 would be right"),
    ],
)
def test_bad_input_gets_one_sentence_and_nothing_is_stored(season, texts, why):
    before = season.book.rows("setup_entry")
    with pytest.raises(Refusal) as refused:
        save(season, new_change(season.snapshot, NOW), **{"what": "wing"} | texts)
    assert why in str(refused.value) and str(refused.value).count(".") - str(refused.value).count("…") <= 2
    assert season.book.rows("setup_entry") == before


def test_without_motors_and_events_blank_is_offered():
    change = new_change(new_book().snapshot(), NOW)
    change.texts |= {"what": "wing", "motor": "Heron", "event": "Dock"}
    problems = setup_problems(change, new_book().snapshot(), NOW)
    assert problems == {
        "event": "Event Dock is no event of yours, left blank would be right.",
        "motor": "Motor Heron is no motor of yours, left blank would be right.",
    }


def test_what_was_changed_before_and_names_that_come_near_are_offered(season):
    season.change("2026-05-17T12:00", "Pinion", season.today, now="31")
    season.change("2026-05-17T12:01", "pin length", season.today)
    assert Before(season.snapshot).whats("pIN") == ["pin length", "Pinion"]
    change = new_change(season.snapshot, NOW)
    change.texts |= {"motor": "Hern", "event": "saltmuoth", "what": "PINION", "car": ""}
    assert meant("Hern", known_names(season.snapshot, "motor")) == "Heron"
    assert known_names(season.snapshot, "event") == ["Saltmouth", "Oyster Dock"]
    dated = known_names(season.snapshot, "event", dated=True)
    assert dated == ["Saltmouth 2026-05-17", "Oyster Dock", "Saltmouth 2026-04-12"]
    assert meant("saltmuoth", dated) == meant("salt", dated) == "Saltmouth 2026-05-17"
    assert Before(season.snapshot).was(change) == "31"
    change.texts["car"] = "No. 4"
    assert Before(season.snapshot).was(change) == "31"


def test_an_entry_of_a_binned_motor_and_event_can_still_get_its_outcome(season):
    entry = season.change("2026-05-17T12:00", "wing", season.today, "Heron")
    season.book.journal.bin("away", [("motor", season.motors["Heron"]), ("event", season.today.id)])
    save(season, edit_change(season.snapshot, entry), outcome="better")
    stored = season.book.row("setup_entry", entry)
    assert (stored["motor_id"], stored["event_id"]) == (season.motors["Heron"], season.today.id)
    with pytest.raises(Refusal, match="no motor of yours"):
        save(season, edit_change(season.snapshot, entry), motor="heron")


def test_an_outcome_is_written_and_taken_back(season):
    entry = season.change("2026-05-17T12:00", "wing", season.today)
    assert write_outcome(season.book, entry, " better,  66 °C ") == "wing: better, 66 °C"
    assert season.book.row("setup_entry", entry)["outcome"] == "better, 66 °C"
    season.book.journal.undo()
    assert "outcome" not in season.book.row("setup_entry", entry)
    with pytest.raises(Refusal, match=r"Outcome x+… has 2001 characters"):
        write_outcome(season.book, entry, "x" * 2001)


def test_an_entry_goes_to_the_bin_and_comes_back(season):
    entry = season.change("2026-05-17T12:00", "wing", season.today)
    assert put_in_bin(season.book, entry) == "setup entry: wing to the bin"
    assert len(season.book.rows("setup_entry")) == 1
    season.book.journal.undo()
    assert len(season.book.rows("setup_entry")) == 2
