"""A motor typed into its form: class and parts on need, swaps with their date, and the bin."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.builds import BuildHistory
from pitbench.desk.entry.motor_entry import NEW_FIELDS, motor_entry, motor_problems, save_motor
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.records.models import Settings
from pitbench.records.refusal import Refusal
from tests.unit.desk.by_hand import (
    KV_AND_CURRENT,
    NOW,
    add_motor,
    add_run,
    edit_motor,
    everything,
    named,
    new_book,
    parts,
    put_run,
)

OWN = ("Heron stator", "Heron rotor", "Heron end bell")


@pytest.fixture
def book():
    return new_book()


def entry_with(book, motor_id=None, **texts):
    entry = motor_entry(book.snapshot(), motor_id, NOW)
    entry.texts |= texts
    return entry


def problems(book, motor_id=None, **texts):
    return motor_problems(entry_with(book, motor_id, **texts), book.snapshot(), NOW)


# a new motor


def test_a_name_is_enough(book):
    entry = motor_entry(book.snapshot(), None, NOW)
    assert entry.fields == NEW_FIELDS and entry.texts == {"check_motor": "no", "in_use": "yes"}
    motor_id = add_motor(book, " Heron ")
    assert parts(book, motor_id) == {None: OWN}
    row = book.row("motor", motor_id)
    assert {k: row[k] for k in row if k not in {"id", "edited_at"}} == {"name": "Heron"}
    assert book.journal.listed()[0].words == "motor Heron"


def test_everything_typed_is_stored_as_one_action(book):
    texts = {"class": "club 13.5T", "turns": "13.5T", "poles": "2", "stator": "S4", "rotor": "R2", "note": "new\nbell"}
    motor_id = add_motor(book, resistance_mohm="11,5", resistance_temp_c="68F", check_motor="y", in_use="no", **texts)
    row = book.row("motor", motor_id)
    assert (row["turns"], row["poles"], row["resistance_mohm"], row["resistance_temp_c"]) == (13.5, 2, 11.5, 20)
    assert (row["check_motor"], row["in_use"], row["note"]) == (True, False, "new bell")
    assert row["class_id"] == named(book, "class_sheet", "club 13.5T")["id"]
    assert parts(book, motor_id) == {None: ("S4", "R2", "Heron end bell")}
    assert book.journal.undo() == "motor Heron" and everything(book) == {}
    book.journal.redo()
    assert book.row("motor", motor_id) is not None and len(book.rows("part")) == 3


def test_a_class_is_made_once_and_found_without_case(book):
    first, second = add_motor(book, **{"class": "Club 13.5T"}), add_motor(book, "Whio", **{"class": " club  13.5t "})
    assert len(book.rows("class_sheet")) == 1
    assert book.row("motor", first)["class_id"] == book.row("motor", second)["class_id"]


def test_names_are_unique_without_case(book):
    heron = add_motor(book)
    assert problems(book, motor=" hERON") == {"motor": "There is a motor Heron already; another name would be right."}
    assert problems(book, heron, motor="HERON") == {}
    with pytest.raises(Refusal, match="There is a motor Heron already"):
        add_motor(book, "heron")


@pytest.mark.parametrize(
    ("texts", "field", "said"),
    [
        ({"motor": ""}, "motor", "Motor is empty, a name would be right."),
        ({"motor": "x" * 81}, "motor", "has 81 characters, a name of at most 80 would be right."),
        ({"turns": "many"}, "turns", "Turns many is no number, write one like 9.5."),
        ({"poles": "3"}, "poles", "Poles 3 must be even, magnet poles come in pairs."),
        ({"resistance_mohm": "-1"}, "resistance_mohm", "Resistance -1 is not possible, 0.1 to 10000 mΩ would be."),
        ({"resistance_temp_c": "NaN"}, "resistance_temp_c", "Winding at NaN is no number"),
        ({"turns": "1e999"}, "turns", "Turns 1e999 is no number, one between 0.5 and 200 T would be right."),
        ({"in_use": "perhaps"}, "in_use", "In use perhaps must be yes or no."),
        ({"end_bell": "x" * 81}, "end_bell", "End bell xxx"),
        ({"note": "x" * 2001}, "note", "has 2001 characters, at most 2000 would be right."),
    ],
)
def test_bad_input_is_one_sentence_and_nothing_is_stored(book, texts, field, said):
    found = problems(book, **({"motor": "Heron"} | texts))
    assert list(found) == [field] and said in found[field] and found[field].endswith(".")
    with pytest.raises(Refusal) as refused:
        save_motor(book, entry_with(book, **({"motor": "Heron"} | texts)), NOW)
    assert str(refused.value) == found[field] and everything(book) == {}


TEXTS = st.text(max_size=90) | st.sampled_from(
    ["Heron", "missing", "Missing", "R1", "2", "13,5", "yes", "1e999", "\x00"]
)


@given(st.lists(st.dictionaries(st.sampled_from([*NEW_FIELDS, "since"]), TEXTS, max_size=5), max_size=4))
def test_any_texts_one_edit_after_another_give_a_motor_or_a_sentence(edits):
    book = new_book()
    add_motor(book, "Plover", rotor="R1")
    motor_id = add_motor(book)
    for texts in edits:
        entry = entry_with(book, motor_id, **texts)
        wrong = motor_problems(entry, book.snapshot(), NOW)
        before = everything(book)
        try:
            save_motor(book, entry, NOW)
        except Refusal as refusal:
            assert str(refusal).endswith(".") and "\n" not in str(refusal) and everything(book) == before
        else:
            assert not wrong
            assert motor_entry(book.snapshot(), motor_id, NOW).texts["motor"] == book.row("motor", motor_id)["name"]
    history = BuildHistory(book.rows("build"))
    assert not any(history.sharers(build) for build in book.rows("build"))  # no part in two motors


def test_an_unlikely_number_waits_until_it_is_said_to_be_right(book):
    motor_id = add_motor(book, turns="135")
    assert book.row("motor", motor_id)["waits"] == ["turns"] and "kept" not in book.row("motor", motor_id)
    entry = motor_entry(book.snapshot(), motor_id, NOW)
    entry.answered["turns"] = entry.texts["turns"]
    save_motor(book, entry, NOW)
    assert book.row("motor", motor_id)["kept"] == ["turns"] and "waits" not in book.row("motor", motor_id)
    entry = motor_entry(book.snapshot(), motor_id, NOW)
    entry.texts["note"] = "hot wind"
    save_motor(book, entry, NOW)
    assert book.row("motor", motor_id)["kept"] == ["turns"] and "waits" not in book.row("motor", motor_id)


# editing


def test_saving_without_a_change_changes_nothing(book):
    motor_id = add_motor(
        book, **{"class": "club 13.5T", "turns": "13.5", "rotor": "R2", "note": "old", "check_motor": "yes"}
    )
    add_run(book, **KV_AND_CURRENT)
    before, last = everything(book), book.journal.listed()[0]
    edit_motor(book, motor_id)
    assert everything(book) == before and book.journal.listed()[0] == last


def test_blanked_fields_are_gone(book):
    motor_id = add_motor(book, **{"class": "club 13.5T", "turns": "13.5", "note": "old"})
    edit_motor(book, motor_id, **{"class": "", "turns": " ", "note": ""})
    assert set(book.row("motor", motor_id)) == {"id", "name", "edited_at"}


def test_own_parts_are_named_later_and_runs_stay_on_them(book):
    motor_id = add_motor(book)
    run = add_run(book, **KV_AND_CURRENT)
    assert motor_entry(book.snapshot(), motor_id, NOW).had == {"stator": "", "rotor": "", "end_bell": ""}
    edit_motor(book, motor_id, rotor="R2")
    assert parts(book, motor_id) == {None: ("Heron stator", "R2", "Heron end bell")}
    assert book.row("bench_run", run["id"])["build_id"] == run["build_id"]
    assert len(book.rows("part")) == 3


def test_a_swap_is_a_new_build_from_its_date_and_earlier_runs_keep_theirs(book):
    motor_id = add_motor(book, rotor="R1")
    early = add_run(book, taken_at="2026-05-01 10:00", **KV_AND_CURRENT)
    late = add_run(book, taken_at="2026-05-12 10:00", **KV_AND_CURRENT)
    before = everything(book)
    assert edit_motor(book, motor_id, rotor="R2", since="2026-05-10") == "edited motor Heron"
    assert parts(book, motor_id) == {
        None: ("Heron stator", "R1", "Heron end bell"),
        "2026-05-10": ("Heron stator", "R2", "Heron end bell"),
    }
    assert book.row("bench_run", early["id"])["build_id"] == early["build_id"]
    assert book.row("bench_run", late["id"])["build_id"] != early["build_id"]  # known only now
    assert motor_entry(book.snapshot(), motor_id, NOW).texts["rotor"] == "R2"
    assert book.journal.undo() == "edited motor Heron" and everything(book) == before


def test_a_swap_on_a_day_of_a_swap_corrects_it(book):
    motor_id = add_motor(book, rotor="R1")
    edit_motor(book, motor_id, rotor="R2", since="2026-05-10")
    edit_motor(book, motor_id, rotor="R3", since="2026-05-10")
    assert parts(book, motor_id)["2026-05-10"][1] == "R3" and len(parts(book, motor_id)) == 2


def test_a_swap_before_another_kind_of_swap_reaches_it(book):
    motor_id = add_motor(book, stator="S1", rotor="R1")
    edit_motor(book, motor_id, stator="S2", since="2026-05-10")
    edit_motor(book, motor_id, rotor="R2", since="2026-05-05")
    assert parts(book, motor_id) == {
        None: ("S1", "R1", "Heron end bell"),
        "2026-05-10": ("S2", "R2", "Heron end bell"),
        "2026-05-05": ("S1", "R2", "Heron end bell"),
    }


def test_a_swap_older_than_the_last_one_of_its_kind_is_refused(book):
    motor_id = add_motor(book, rotor="R1")
    edit_motor(book, motor_id, rotor="R2", since="2026-05-10")
    before = everything(book)
    with pytest.raises(Refusal) as refused:
        edit_motor(book, motor_id, rotor="R3", since="2026-05-05")
    said = "Parts fitted 2026-05-05 cannot be older than the change of Heron's rotor on 2026-05-10."
    assert str(refused.value) == said and everything(book) == before


def test_a_part_out_of_another_motor_leaves_a_gap_there(book):
    plover, heron = add_motor(book, "Plover", rotor="R1"), add_motor(book)
    edit_motor(book, heron, rotor="r1", since="2026-05-10")
    assert parts(book, heron) == {None: OWN, "2026-05-10": ("Heron stator", "R1", "Heron end bell")}
    entry = motor_entry(book.snapshot(), plover, NOW)
    assert entry.texts["rotor"] == "missing" and entry.had["rotor"] == "missing"
    before = everything(book)
    edit_motor(book, plover)  # nothing typed: the gap stays
    assert everything(book) == before
    edit_motor(book, plover, rotor="R9", since="2026-05-11")
    assert parts(book, plover)["2026-05-11"][1] == "R9"
    assert motor_entry(book.snapshot(), plover, NOW).texts["rotor"] == "R9"


def test_a_new_motor_takes_a_known_part_from_now_on(book):
    add_motor(book, "Plover", rotor="R1")
    heron = add_motor(book, rotor="R1", stator="S4")
    assert parts(book, heron) == {
        None: ("S4", "Heron rotor", "Heron end bell"),
        "2026-05-17T14:02": ("S4", "R1", "Heron end bell"),
    }


def test_a_part_in_two_motors_from_the_same_time_on_is_refused(book):
    whio, heron = add_motor(book, "Whio", rotor="R8"), add_motor(book, rotor="R7")
    add_motor(book, "Plover", rotor="R1")
    edit_motor(book, whio, rotor="R1", since="2026-05-10 09:00")
    with pytest.raises(Refusal) as refused:
        edit_motor(book, heron, rotor="R1", since="2026-05-10 09:00")
    said = "Rotor R1 is in Whio from the same time on; another part or another time would be right."
    assert str(refused.value) == said
    put_in_bin(book, whio)
    edit_motor(book, heron, rotor="R1", since="2026-05-10 09:00")


def test_a_part_taken_out_is_missing_from_its_date(book):
    motor_id = add_motor(book, rotor="R1")
    edit_motor(book, motor_id, rotor="Missing", stator="missing", since="2026-05-10")
    assert parts(book, motor_id)["2026-05-10"] == (None, None, "Heron end bell")
    assert motor_entry(book.snapshot(), motor_id, NOW).texts["stator"] == "missing"


def test_a_blank_in_place_of_a_part_asks_what_is_in_there(book):
    motor_id = add_motor(book, rotor="R1")
    said = "Rotor is empty; the name of the part in there, or missing, would be right."
    assert problems(book, motor_id, rotor=" ") == {"rotor": said}


def test_a_bad_date_of_a_swap(book):
    motor_id = add_motor(book, rotor="R1")
    assert problems(book, motor_id, since="soon")["since"].startswith("Parts fitted soon is no point")
    assert "lies ahead" in problems(book, motor_id, since="2026-05-19 14:02")["since"]


def test_a_new_name_goes_to_the_parts_nobody_named(book):
    motor_id = add_motor(book, rotor="R1")
    edit_motor(book, motor_id, motor="Curlew")
    assert parts(book, motor_id) == {None: ("Curlew stator", "R1", "Curlew end bell")}
    assert motor_entry(book.snapshot(), motor_id, NOW).had == {"stator": "", "rotor": "R1", "end_bell": ""}
    assert len(book.rows("part")) == 3
    edit_motor(book, motor_id, motor="Teal", stator="S1")
    assert parts(book, motor_id) == {None: ("S1", "R1", "Teal end bell")}


# the bin


def test_a_motor_goes_to_the_bin_with_its_runs_and_comes_back_in_one_step(book):
    heron, plover = add_motor(book), add_motor(book, "Plover")
    for _ in range(2):
        put_run(book, heron, kv_rpm_per_v=3950)
    other = put_run(book, plover, kv_rpm_per_v=3950)
    before = everything(book)
    assert put_in_bin(book, heron) == "motor Heron with 2 runs to the bin"
    assert [row["id"] for row in book.rows("bench_run")] == [other.id]
    assert [row["name"] for row in book.rows("motor")] == ["Plover"]
    assert book.journal.undo() == "motor Heron with 2 runs to the bin" and everything(book) == before
    assert put_in_bin(book, plover) == "motor Plover with 1 run to the bin"
    assert put_in_bin(book, add_motor(book, "Whio")) == "motor Whio to the bin"


def test_the_winding_temperature_is_typed_in_the_unit_the_team_has_set(book):
    book.save_settings("units", Settings(id="settings", temperature_unit="F"))
    save_motor(book, entry_with(book, motor="Heron", resistance_mohm="11.2", resistance_temp_c="77"), NOW)
    motor = next(m for m in book.rows("motor") if m["name"] == "Heron")
    assert motor["resistance_temp_c"] == 25
    entry = entry_with(book, motor["id"])
    assert entry.texts["resistance_temp_c"] == "77"
    save_motor(book, entry, NOW)
    assert next(m for m in book.rows("motor") if m["name"] == "Heron")["resistance_temp_c"] == 25
    assert "-22 to 392 °F" in problems(book, motor="Kite", resistance_temp_c="999")["resistance_temp_c"]
