"""Parts swapped: what goes where, one save, the setup log, runs on the builds they were made with, and refusals."""

import pytest

from pitbench.desk.builds import BuildHistory, parts_of
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.known_names import meant
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.entry.setup_entry import Before, SetupChange, edit_change, save_change
from pitbench.desk.lists.motor_lines import NoteLine
from pitbench.desk.lists.motor_page import motor_answer
from pitbench.desk.lists.motors import motor_lines
from pitbench.desk.lists.on_car import on_the_car
from pitbench.desk.parts.swapping import Shelf, read_swap, save_swap, swap_texts
from pitbench.desk.workshop import Workshop
from pitbench.records.models import Event, TrackRun
from pitbench.records.refusal import Refusal
from pitbench.words.motors import motor_block, motor_title, motors_words, page_words
from pitbench.words.ranking import not_ranked_words
from pitbench.words.swapping import standing_words, swap_words
from tests.unit.desk.by_hand import NOW, add_motor, add_run, edit_motor, everything, named, new_book, parts, put_run

LATER = "2026-05-17T14:02:01"


@pytest.fixture
def book():
    """Heron S1 R1 E1, Plover S2 R2 and its own end bell, Whio of its own parts."""
    book = new_book()
    add_motor(book, "Heron", stator="S1", rotor="R1", end_bell="E1")
    add_motor(book, "Plover", stator="S2", rotor="R2")
    add_motor(book, "Whio")
    return book


def typed(book, motor, part, kind="", at="now", why=""):
    texts = swap_texts(book.snapshot(), named(book, "motor", motor)["id"], None, None)
    return texts | {"part": part, "kind": kind, "written_at": at, "why": why}


def swap(book, *of, **more):
    return save_swap(book, typed(book, *of, **more), NOW)


def said(book, *of, **more):
    read = read_swap(typed(book, *of, **more), book.snapshot(), NOW)
    return swap_words(read.swap) if read.swap else read.problems


def now_in(book, motor):
    """Parts as the shelf tells them, gaps seen."""
    shelf, row = Shelf(book.snapshot()), named(book, "motor", motor)
    return tuple(shelf.in_motor(row, kind) for kind in ("stator", "rotor", "end_bell"))


def log(book):
    name = {row["id"]: row["name"] for row in book.rows("motor")}
    return {
        (name[entry["motor_id"]], entry["what"], entry["was"], entry["now"], entry["written_at"])
        for entry in book.rows("setup_entry")
    }


def test_two_parts_change_places_with_one_save_and_an_entry_for_each_motor(book):
    before = everything(book)
    assert said(book, "Heron", "r2") == "R2 comes out of Plover, which gets R1."
    assert swap(book, "Heron", " r2 ", why="even rotor") == "Heron, rotor R1 to R2; Plover, rotor R2 to R1"
    assert (now_in(book, "Heron"), now_in(book, "Plover")) == (("S1", "R2", "E1"), ("S2", "R1", "Plover end bell"))
    at = "2026-05-17T14:02"
    assert log(book) == {("Heron", "rotor", "R1", "R2", at), ("Plover", "rotor", "R2", "R1", at)}
    assert {entry["why"] for entry in book.rows("setup_entry")} == {"even rotor"}
    assert book.journal.undo().startswith("Heron, rotor R1 to R2")
    assert everything(book) == before and not book.rows("setup_entry")
    book.journal.redo()
    assert now_in(book, "Heron") == ("S1", "R2", "E1") and len(book.rows("setup_entry")) == 2


def test_a_new_part_makes_the_old_one_a_spare_that_can_go_in_elsewhere(book):
    assert said(book, "Heron", "R9", "r") == "R9 is a new rotor; R1 becomes a spare."
    swap(book, "Heron", "R9", "r")
    assert now_in(book, "Heron") == ("S1", "R9", "E1")
    assert said(book, "Whio", "R1") == "R1 is a spare; Whio rotor becomes a spare."
    swap(book, "Whio", "R1")
    assert now_in(book, "Whio") == ("Whio stator", "R1", "Whio end bell")
    told = standing_words("rotor", Shelf(book.snapshot()).standing("rotor"))
    assert told == "Rotors: R9 in Heron, R2 in Plover, R1 in Whio, Whio rotor spare."


def test_a_part_taken_out_leaves_a_gap_that_a_part_fills_again(book):
    gap = "R1 becomes a spare, and Heron lacks its rotor: it is not ranked until one is put in."
    assert said(book, "Heron", "Missing", "rotor") == gap
    swap(book, "Heron", "missing", "rotor")
    history, heron = BuildHistory(book.rows("build")), named(book, "motor", "Heron")["id"]
    assert history.missing(heron) == ["rotor"] and now_in(book, "Heron")[1] == "missing"
    assert said(book, "Heron", "R2") == (
        "R2 comes out of Plover, which lacks its rotor: it is not ranked until one is put in."
    )
    assert said(book, "Heron", "R1") == "R1 is a spare; Heron lacked one."
    swap(book, "Heron", "R2")
    assert (now_in(book, "Heron")[1], now_in(book, "Plover")[1]) == ("R2", "missing")


def test_there_and_back_is_the_build_of_before(book):
    heron = named(book, "motor", "Heron")["id"]
    first = BuildHistory(book.rows("build")).in_force(heron)["id"]
    swap(book, "Heron", "R2", at="2026-05-10 10:00")
    swap(book, "Heron", "R1", at="2026-05-11 10:00")
    history = BuildHistory(book.rows("build"))
    assert history.one(history.in_force(heron)["id"]) == first
    assert history.missing(heron) == [] == history.missing(named(book, "motor", "Plover")["id"])


def test_runs_before_keep_their_build_and_runs_since_are_on_the_new_one(book):
    heron, plover = (named(book, "motor", name)["id"] for name in ("Heron", "Plover"))
    early, late = (put_run(book, heron, taken_at=f"2026-05-{day}T10:00", kv_rpm_per_v=3950) for day in ("09", "12"))
    other = put_run(book, plover, taken_at="2026-05-12T10:30", kv_rpm_per_v=3950)
    raced = TrackRun(motor_id=plover, build_id=other.build_id, started_at="2026-05-13T10:00")
    book.save("race", [raced])
    before = {row["id"]: row["build_id"] for kind in ("bench_run", "track_run") for row in book.rows(kind)}
    swap(book, "Heron", "R2", at="2026-05-10 08:00")
    assert book.row("bench_run", early.id)["build_id"] == early.build_id
    name = {row["id"]: row["name"] for row in book.rows("part")}
    made_with = {
        row["id"]: name[book.row("build", row["build_id"])["rotor_id"]]
        for kind in ("bench_run", "track_run")
        for row in book.rows(kind)
    }
    assert made_with == {early.id: "R1", late.id: "R2", other.id: "R1", raced.id: "R1"}
    book.journal.undo()
    assert before == {row["id"]: row["build_id"] for kind in ("bench_run", "track_run") for row in book.rows(kind)}


def test_a_run_of_this_very_minute_was_made_before_a_swap_made_now(book):
    run = add_run(book, "Plover", taken_at="2026-05-17 14:02", kv_rpm_per_v="3950")
    swap(book, "Heron", "R2")
    assert book.row("bench_run", run["id"])["build_id"] == run["build_id"]
    assert {entry[-1] for entry in log(book)} == {LATER}
    swap(book, "Heron", "R1")
    assert {entry[-1] for entry in log(book)} == {LATER, "2026-05-17T14:02:02"} and len(log(book)) == 4


def test_a_swap_put_right_at_its_own_time_is_one_entry_and_none_when_all_is_as_before(book):
    swap(book, "Heron", "R9", "rotor", at="2026-05-10 10:00")
    swap(book, "Heron", "R8", "rotor", at="2026-05-10 10:00")
    assert log(book) == {("Heron", "rotor", "R1", "R8", "2026-05-10T10:00")}
    heron = named(book, "motor", "Heron")["id"]
    assert parts(book, heron)["2026-05-10T10:00"] == ("S1", "R8", "E1")
    swap(book, "Heron", "R1", at="2026-05-10 10:00")
    assert log(book) == set() and now_in(book, "Heron") == ("S1", "R1", "E1")


def test_the_event_that_is_on_stands_with_it(book):
    event = Event(name="Saltmouth", date="2026-05-16")
    book.save("event", [event])
    swap(book, "Heron", "R9", "r")
    swap(book, "Whio", "E7", "e", at="2026-05-01")
    assert {entry["what"]: entry.get("event_id") for entry in book.rows("setup_entry")} == {
        "rotor": event.id,
        "end bell": None,
    }


def test_a_swap_before_another_kind_of_swap_reaches_it(book):
    swap(book, "Heron", "S2", at="2026-05-10")
    swap(book, "Heron", "R2", at="2026-05-05")
    assert (now_in(book, "Heron"), now_in(book, "Plover")) == (("S2", "R2", "E1"), ("S1", "R1", "Plover end bell"))


@pytest.mark.parametrize(
    ("of", "field", "sentence"),
    [
        (("Heron", "R1"), "part", "Rotor R1 is in Heron already; another part would be right."),
        (("Heron", ""), "part", "Part is empty; the part that goes in, or missing, would be right."),
        (("Heron", "R77"), "kind", "Kind is empty; stator, rotor or end bell would be right."),
        (("Heron", "R2", "wing"), "kind", "Kind wing must be stator, rotor or end bell."),
        (("Whio", "whio rotor", "r"), "part", "Rotor whio rotor is in Whio already; another part would be right."),
        (("Heron", "R2", "r", "2026-05-19 15:00"), "written_at", "lies ahead of this computer's clock"),
        (("Heron", "x" * 81, "r"), "part", "has 81 characters"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_nothing_is_stored(book, of, field, sentence):
    before = everything(book)
    with pytest.raises(Refusal) as refused:
        swap(book, *of)
    assert sentence in str(refused.value) and refused.value.field == field and str(refused.value).endswith(".")
    assert everything(book) == before


def test_a_motor_that_is_none_is_named_with_the_nearest(book):
    texts = typed(book, "Heron", "R2") | {"motor": "Hern"}
    assert read_swap(texts, book.snapshot(), NOW).problems == {
        "motor": "Motor Hern is no motor of yours, Heron would be right."
    }
    texts["motor"] = ""
    assert read_swap(texts, book.snapshot(), NOW).problems["motor"].startswith("Motor is empty; ")


@pytest.mark.parametrize(("motor", "part"), [("Heron", "R9"), ("Whio", "R1")])
def test_a_swap_older_than_the_last_of_its_kind_in_either_motor_is_refused(book, motor, part):
    swap(book, "Heron", "R2", at="2026-05-10")
    before = everything(book), book.rows("setup_entry")
    with pytest.raises(Refusal, match="cannot be older than the change of "):
        swap(book, motor, part, "r", at="2026-05-05")
    assert (everything(book), book.rows("setup_entry")) == before


def test_a_part_comes_out_of_the_motor_that_took_it_at_that_very_time(book):
    edit_motor(book, named(book, "motor", "Whio")["id"], rotor="R2", since="2026-05-10 09:00")
    swap(book, "Heron", "R2", at="2026-05-10 09:00")
    assert [now_in(book, name)[1] for name in ("Heron", "Plover", "Whio")] == ["R2", "missing", "R1"]


def test_parts_of_a_motor_in_the_bin_are_spares(book):
    put_in_bin(book, named(book, "motor", "Plover")["id"])
    assert said(book, "Heron", "R2") == "R2 is a spare; R1 becomes a spare."
    swap(book, "Heron", "R2")
    assert now_in(book, "Heron")[1] == "R2"


def test_the_part_most_likely_meant(book):
    rotors = [each.part for each in Shelf(book.snapshot()).standing("rotor")]
    assert meant("pl", rotors) is None and meant("wh", rotors) == "Whio rotor"
    assert meant("r2", rotors) is None and meant("RR2", rotors) == "R2"


def test_parts_in_motors_of_another_class_are_not_offered_spares_are(book):
    edit_motor(book, named(book, "motor", "Plover")["id"], **{"class": "club 21.5T"})
    swap(book, "Heron", "R9", "rotor")
    offered = [each.part for each in Shelf(book.snapshot()).standing("rotor", "whio")]
    assert offered == ["R9", "Whio rotor", "R1"]


def test_what_is_known_already_is_filled_in(book):
    r2 = named(book, "part", "R2")["id"]
    assert swap_texts(book.snapshot(), None, None, r2) == {
        "motor": "",
        "part": "R2",
        "kind": "rotor",
        "written_at": "now",
        "why": "",
    }
    assert swap_texts(book.snapshot(), None, "rotor", "R2")["part"] == "R2"
    assert swap_texts(book.snapshot(), "gone", "end_bell", "nothing")["kind"] == "end bell"


def test_parts_of_every_build_are_whole(book):
    swap(book, "Heron", "R2")
    assert all(None not in parts_of(build) for build in book.rows("build"))


# where it is seen


def page(book, motor):
    return motor_answer(book.snapshot(), named(book, "motor", motor)["id"], None, NOW)


def notes(answer):
    told = [answer.lines.line(place) for place in range(len(answer.lines))]
    return [line.text if isinstance(line, NoteLine) else line.when for line in told]


def test_the_page_shows_swaps_by_name_between_the_sessions_own_parts_too(book):
    whio, heron = (named(book, "motor", name)["id"] for name in ("Whio", "Heron"))
    for day in ("09", "12"):
        put_run(book, whio, taken_at=f"2026-05-{day}T10:00", kv_rpm_per_v=3950)
    swap(book, "Whio", "R1", at="2026-05-10 10:00")
    edit_motor(book, heron, end_bell="E9", since="2026-05-11")
    assert notes(page(book, "Whio")) == ["12 May", "10 May 10:00  rotor Whio rotor to R1: outcome still open", "9 May"]
    assert notes(page(book, "Heron")) == [
        "11 May: end bell E1 to E9",
        "10 May 10:00  rotor R1 to Whio rotor: outcome still open",
    ]
    assert motor_title(page(book, "Whio"), NOW) == "Whio   rotor R1, else its own since 10 May 10:00"
    assert motor_title(page(book, "Heron"), NOW) == "Heron   S1 Whio rotor E9 since 11 May"


def test_a_motor_with_a_gap_says_so_wherever_it_stands(book):
    for motor in ("Heron", "Plover", "Whio"):
        put_run(book, named(book, "motor", motor)["id"], taken_at="2026-05-12T10:00", kv_rpm_per_v=3950)
    swap(book, "Heron", "missing", "rotor")
    swap(book, "Plover", "missing", "end bell")
    edit_motor(book, named(book, "motor", "Whio")["id"], stator="S2", since="2026-05-17 14:00")
    lines = {line.name: line for line in motor_lines(book.snapshot(), {})}
    assert [lines[name].parts for name in ("Heron", "Plover", "Whio")] == [
        "S1 missing E1",
        "missing R2 missing",
        "S2 own own",
    ]
    assert lines["Plover"].doubtful and not lines["Whio"].doubtful and lines["Whio"].named == "S2"
    said = motors_words([*lines.values()], {})[1]
    assert said == (
        "Heron lacks its rotor, so it is not ranked. Plover lacks its stator and end bell, so it is not ranked."
    )
    block = dict(motor_block(lines["Heron"], None, NOW))
    assert block["Lacks"] == "rotor: c on its page puts one in" and "rotor R1 to missing" in block["Work"]
    assert page_words(page(book, "Heron"), NOW)[0] == "It lacks its rotor, so it is not ranked. c puts one in."
    assert motor_title(page(book, "Plover"), NOW).startswith("Plover   stator missing, rotor R2, end bell missing")
    ranked = rank(book.snapshot())
    assert {each.motor: each.why for each in ranked.not_ranked} == {
        "Heron": "part_missing",
        "Plover": "part_missing",
        "Whio": "new_build",
    }
    assert not_ranked_words("part_missing") == "a part of it is missing"


def test_what_is_on_the_car_are_the_parts_of_the_motor_in_it(book):
    heron = named(book, "motor", "Heron")["id"]
    run = put_run(book, heron, taken_at="2026-05-12T10:00", kv_rpm_per_v=3950)
    book.save("race", [TrackRun(motor_id=heron, build_id=run.build_id, started_at="2026-05-12T12:00")])
    swap(book, "Plover", "R1")
    assert {(each.what, each.now, each.motor) for each in on_the_car(book.snapshot(), NOW)} == {
        ("rotor", "R2", "Heron")
    }


def test_runs_of_one_sitting_stand_apart_where_parts_were_swapped_between_them_or_tried(book):
    heron = named(book, "motor", "Heron")["id"]
    put_run(book, heron, taken_at="2026-05-12T10:00", kv_rpm_per_v=3900)
    put_run(book, heron, taken_at="2026-05-12T10:30", kv_rpm_per_v=4000)
    swap(book, "Heron", "R2", at="2026-05-12 10:15")
    swap(book, "Heron", "S9", "s", at="2026-05-12 11:00")
    book.save("race", [TrackRun(motor_id=heron, build_id=book.rows("build")[0]["id"], started_at="2026-05-12T12:00")])
    answer = page(book, "Heron")
    assert notes(answer) == [
        "12 May",
        "12 May 12:00",
        "12 May 11:00  stator S1 to S9: outcome still open",
        "12 May 10:15  rotor R1 to R2: outcome still open",
        "12 May",
    ]
    sessions = [line.kv for line in map(answer.lines.line, range(5)) if hasattr(line, "kv")]
    assert sessions == [4000, 3900]
    shop = Workshop(book.snapshot())
    trial = shop.tested(book.row("motor", heron), "2026-05-13T10:00", {"rotor": "R7"})
    book.save("trial", shop.to_save.values())
    put_run(book, heron, taken_at="2026-05-13T10:00", kv_rpm_per_v=3950, build_id=trial["id"])
    assert notes(page(book, "Heron"))[:2] == ["13 May", "tried: rotor R2 to R7"]


# the time put right


def edit_entry(book, of, **texts):
    motor_id = named(book, "motor", of)["id"]
    entry = next(row for row in book.rows("setup_entry") if row["motor_id"] == motor_id)
    change = edit_change(book.snapshot(), entry["id"])
    change.texts |= texts
    return save_change(book, change, NOW)


def test_the_time_of_a_swap_put_right_in_the_setup_log_takes_builds_runs_and_the_other_entry_along(book):
    heron = named(book, "motor", "Heron")["id"]
    run = put_run(book, heron, taken_at="2026-05-10T12:00", kv_rpm_per_v=3950)
    swap(book, "Heron", "R2", at="2026-05-10 10:00")
    swap(book, "Whio", "S9", "s", at="2026-05-10 10:00")  # at the same time, and nothing to do with it
    assert book.row("bench_run", run.id)["build_id"] != run.build_id
    before = everything(book)
    edit_entry(book, "Plover", written_at="2026-05-10 14:00", outcome="even")
    assert {(motor, at) for motor, *_, at in log(book)} == {
        ("Heron", "2026-05-10T14:00"),
        ("Plover", "2026-05-10T14:00"),
        ("Whio", "2026-05-10T10:00"),
    }
    assert book.row("bench_run", run.id)["build_id"] == run.build_id
    assert [since for since in parts(book, heron) if since] == ["2026-05-10T14:00"]
    edit_entry(book, "Heron", written_at="2026-05-10 11:00")
    assert book.row("bench_run", run.id)["build_id"] != run.build_id
    book.journal.undo()
    book.journal.undo()
    assert everything(book) == before


def test_a_swap_is_not_put_past_what_else_was_done_nor_told_otherwise(book):
    swap(book, "Heron", "R2", at="2026-05-10 10:00")
    swap(book, "Whio", "R1", at="2026-05-11 10:00")
    before = everything(book), log(book)
    said = "Time 2026-05-12 is past what else was done with these parts on 2026-05-11 10:00."
    with pytest.raises(Refusal) as refused:
        edit_entry(book, "Heron", written_at="2026-05-12")
    assert str(refused.value) == said
    with pytest.raises(Refusal, match="Now R7 cannot be told otherwise here"):
        edit_entry(book, "Heron", now="R7")
    with pytest.raises(Refusal, match="Motor Whio cannot be told otherwise here: it was a swap of parts"):
        edit_entry(book, "Heron", motor="Whio")
    assert (everything(book), log(book)) == before
    edit_entry(book, "Heron", why="even rotor", outcome="better")
    assert {row.get("outcome") for row in book.rows("setup_entry")} == {"better", None}


def test_the_setup_form_knows_what_was_in_this_motor(book):
    swap(book, "Heron", "R2")
    before = Before(book.snapshot())
    assert [before.was(SetupChange({"what": "rotor", "motor": name})) for name in ("Heron", "Plover", "Whio")] == [
        "R2",
        "R1",
        "",
    ]
