"""A fitting seal over what pitbench never writes: anybody can seal a file again, and pitbench may have had a fault."""

import hashlib
import json
import re
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.__main__ import main
from pitbench.desk.checking import check
from pitbench.records.fields import QUANTITIES
from pitbench.records.models import MODELS, Build, Motor
from pitbench.store import refusals, rows, seal
from pitbench.store.logbook import Logbook, Snapshot, examine, restore
from tests.store.test_damage import put, resealed


def sealed_again(path, change):
    """The file changed and sealed as if pitbench had written it."""
    path.write_bytes(resealed(change)(path.read_bytes()))


def lost(*path):
    *path, last = path

    def change(tree):
        for step in path:
            tree = tree[step]
        del tree[last]

    return change


AT_OPENING = {
    "an unknown table": (put("tyres", {}), "a table 'tyres' that pitbench does not know, without it"),
    "a table as list": (put("motor", []), "no table of records under 'motor'"),
    "a table as null": (put("motor", None), "no table of records under 'motor'"),
    "a row as list": (put("motor", "m1", [1]), "no table of records under 'motor'"),
    "a row as null": (put("bench_run", "r0", None), "no table of records under 'bench_run'"),
    "changes as list": (put("changes", []), "no table of records under 'changes'"),
    "changes as null": (put("changes", None), "no table of records under 'changes'"),
    "a head with more": (put("pitbench", "more", 1), "no table of records under 'pitbench'"),
    "no name": (lost("motor", "m1", "name"), "motor 'm1': name is missing"),
    "a name that is a number": (put("motor", "m1", "name", 5), "motor 'm1': name is 5"),
    "a name that is null": (put("motor", "m1", "name", None), "motor 'm1': name is None"),
    "no time": (lost("bench_run", "r1", "taken_at"), "bench_run 'r1': taken_at is missing"),
    "no id": (lost("bench_run", "r1", "id"), "bench_run 'r1': id is 'None'"),
    "another id": (put("bench_run", "r1", "id", "r0"), "bench_run 'r1': id is 'r0'"),
    "a key other than the id": (lambda tree: put("motor", "m2", tree["motor"].pop("m1"))(tree), "'m2': id is 'm1'"),
    "a change that is none": (put("changes", "x", {}), "changes 'x': is no change"),
    "a change without its rows": (lost("changes", "1", "after"), "changes '1': is no change"),
    "a change of no number": (put("changes", "9" * 5000, {"id": "9" * 5000}), "changes '9{40}': is no change"),
}
BEHIND_THE_LIST = {
    "a number as text": (put("bench_run", "r0", "kv_rpm_per_v", "3938"), "bench_run 'r0': kv_rpm_per_v is '3938'"),
    "an unknown field": (put("motor", "m1", "colour", "red"), "motor 'm1': colour is no field"),
    "a day that is none": (put("bench_run", "r0", "taken_at", "2026-02-30"), "bench_run 'r0': taken_at"),
    "in the bin too": (
        lambda tree: tree["motor"]["m1"].update(binned_at="2026-01-01", binned_why="deleted", turns=-1),
        "motor 'm1': turns is -1",
    ),
}


@pytest.mark.parametrize("name", [*AT_OPENING, *BEHIND_THE_LIST])
def test_check_says_it_and_the_way_back(good, capsys, name):
    change, words = {**AT_OPENING, **BEHIND_THE_LIST}[name]
    sealed_again(good, change)
    raw = good.read_bytes()
    answer = check(good)
    assert (answer.ok, answer.seal) == (False, "good")
    assert re.search(words, answer.problems[0])
    assert any(f"`pitbench restore 1 --logbook {good}` brings it back" in problem for problem in answer.problems)
    assert main(["check", "--logbook", str(good)]) == 2
    assert "rror" not in capsys.readouterr().err
    assert good.read_bytes() == raw


@pytest.mark.parametrize("name", AT_OPENING)
def test_what_a_list_or_undo_would_stumble_over_is_refused_at_opening(good, capsys, name):
    change, words = AT_OPENING[name]
    sealed_again(good, change)
    raw = good.read_bytes()
    for write in (False, True):
        with pytest.raises(refusals.Damaged, match=words) as found:
            Logbook.open(good, write=write)
        assert str(good) in str(found.value) and "`pitbench restore 1 " in str(found.value)
    mine = good.with_name("mine.json")
    with Logbook.open(mine, create=True) as logbook:
        logbook.save("one", [Motor(name="Whio")])
    for words in (["rank", "--logbook", str(good)], ["merge", str(good), "--logbook", str(mine)]):
        assert main(words) == 2
        assert re.search(AT_OPENING[name][1], capsys.readouterr().err)
    assert good.read_bytes() == raw


@pytest.mark.parametrize("name", BEHIND_THE_LIST)
def test_what_only_the_models_can_tell_is_found_apart_and_before_the_first_save(good, name):
    """In a second process as well, which is told the records in pieces."""
    change, words = BEHIND_THE_LIST[name]
    sealed_again(good, change)
    raw = good.read_bytes()
    with Logbook.open(good) as logbook:
        before = json.dumps(logbook.snapshot()._tree())
        apart = Snapshot.of_pieces(logbook.revision, logbook.snapshot().pieces()).flaw()
        assert apart == logbook.snapshot().flaw()
        assert check(good).problems[0].startswith(f"{apart}; the newest good backup is from ")
        assert re.search(words, apart)
        for act in (
            lambda: logbook.save("one", [Motor(name="Whio")]),
            logbook.journal.undo,
            logbook.journal.redo,
            logbook.journal.seal_again,
        ):
            with pytest.raises(refusals.Damaged, match=words):
                act()
        with pytest.raises(refusals.Damaged, match=words):
            logbook.take_check(logbook.revision, apart)
        assert json.dumps(logbook.snapshot()._tree()) == before, "looking rewrites nothing, others read meanwhile"
    assert good.read_bytes() == raw


@pytest.mark.parametrize(
    ("old", "new", "twice"),
    [
        (b'"motor":{', b'"motor":{},"motor":{', "motor"),
        (b'"m1":{', b'"m1":{"id":"m1","name":"Plover"},"m1":{', "m1"),
        (b'"turns":13.5', b'"turns":13.5,"turns":21.5', "turns"),
    ],
)
def test_check_finds_a_key_that_stands_twice(good, old, new, twice):
    rest = good.read_bytes()[seal.LENGTH :].replace(old, new)
    good.write_bytes(b'{"seal":"' + hashlib.sha256(rest).hexdigest().encode() + b'",' + rest)
    answer = check(good)
    assert (answer.ok, answer.seal) == (False, "good")
    assert f"{good} has {twice!r} twice in one object" in answer.problems[0]


ODD = st.sampled_from(
    [None, [], {}, 5, -1, True, "", "x", "m1", " Heron", "two\nlines", "3938", 10**30, ["x"], {"x": 1}, {"id": "x"}]
)


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    """A small file with a change that has an old value, for many edits."""
    path = tmp_path_factory.mktemp("sealed") / "logbook.json"
    motor = Motor(id="m1", name="Heron", turns=13.5, kept=("turns",))
    with Logbook.open(path, create=True) as logbook:
        logbook.save("one", [motor, Build(id="b1", motor_id="m1")])
        logbook.save("two", [motor.with_(turns=21.5)])
        logbook.journal.undo()
    return path, path.read_bytes()


@settings(max_examples=200)
@given(data=st.data())
def test_any_flaw_is_found_by_check_and_before_the_first_save_alike(sample, data):
    """What one of them passes, the other passes too, or a save would build on a file that `check` calls damaged."""
    path, raw = sample
    path.write_bytes(raw)
    sealed_again(path, lambda tree: spoil(tree, data))
    edited = path.read_bytes()
    whole = not examine(path).problems
    try:
        with Logbook.open(path) as logbook:
            logbook.verify()
            assert whole
            logbook.journal.listed()
            for act in (logbook.journal.undo, logbook.journal.redo, lambda: logbook.save("one", [Motor(name="Whio")])):
                with suppress(refusals.NotSaved):
                    act()
        assert not examine(path).problems
    except (refusals.Damaged, refusals.Foreign, refusals.Newer):
        assert not whole
        assert path.read_bytes() == edited
    for other in path.parent.glob("logbook.json.*"):
        other.unlink()


def spoil(tree, data):
    """Put something odd anywhere below the tables, take it away, or hang it under another key."""
    found = tree
    while True:
        steps = list(range(len(found))) if isinstance(found, list) else list(found)
        step = data.draw(st.sampled_from(steps), "step")
        inner = found[step]
        if not inner or not isinstance(inner, (dict, list)) or data.draw(st.integers(0, 3), "stop") == 0:
            break
        found = inner
    how = data.draw(st.sampled_from(["put", "put", "add", "lose", "move"]), "how")
    if how in {"lose", "move"}:
        found.pop(step)
    value = inner if how == "move" else data.draw(ODD, "value")
    if how == "put":
        found[step] = value
    elif how != "lose" and isinstance(found, list):
        found.append(value)
    elif how != "lose":
        found[data.draw(st.sampled_from(["x", "9", "m9", "note", "undoes"]), "key")] = value


def test_what_lists_rely_on_is_what_the_models_require():
    required = {kind: {n for n, f in model.model_fields.items() if f.is_required()} for kind, model in MODELS.items()}
    assert {kind: set(names) for kind, names in rows.REQUIRED.items()} == required
    numbers = {n for model in MODELS.values() for n, f in model.model_fields.items() if f.annotation is float}
    names = {name for names in required.values() for name in names}
    assert names & numbers == names & QUANTITIES.keys()


def test_a_record_of_settings_no_model_takes_is_a_refusal(good):
    with Logbook.open(good) as logbook:
        logbook.save_settings("ceiling", logbook.settings().with_(ceiling_c=70))
    sealed_again(good, put("settings", "settings", "ceiling_c", "hot"))
    with pytest.raises(refusals.Damaged, match="settings 'settings': ceiling_c is 'hot'"):
        Logbook.open(good, write=False).settings()


@pytest.mark.parametrize("name", ["a number as text", "no name", "an unknown table"])
def test_a_backup_with_such_a_flaw_is_not_offered(good, capsys, name):
    change, words = {**AT_OPENING, **BEHIND_THE_LIST}[name]
    with Logbook.open(good) as logbook:
        logbook.save("one", [Motor(name="Whio")])
    newest = good.parent / check(good).backups[0]
    sealed_again(newest, change)
    assert check(good).problems == [f"{newest.name} is a damaged backup; delete it, the others do not need it."]
    main(["restore", "--logbook", str(good)])
    assert [line.split()[3] for line in capsys.readouterr().out.splitlines()] == ["damaged", "good:"]
    before = good.read_bytes()
    with pytest.raises(refusals.Damaged, match=rf"bak-000002-.* is damaged itself.*{words}"):
        restore(good, "2")
    assert good.read_bytes() == before
    good.write_bytes(b"{")
    with pytest.raises(refusals.Damaged, match="`pitbench restore 1 "):
        Logbook.open(good)
    assert restore(good, "newest").number == 1


def test_what_restore_replaces_is_marked_when_it_had_a_flaw(good):
    sealed_again(good, put("motor", "m1", "turns", -1))
    restore(good, "newest")
    assert [name.endswith("-unsealed") for name in check(good).backups] == [True, False]
    assert check(good).ok


def test_a_backup_of_a_newer_pitbench_is_neither_good_nor_damaged(good, capsys):
    newest = good.parent / check(good).backups[0]
    sealed_again(newest, put("pitbench", "logbook", "schema", 99))
    assert check(good).ok
    main(["restore", "--logbook", str(good)])
    assert capsys.readouterr().out.endswith("  from a newer pitbench\n")
    with pytest.raises(refusals.Newer, match=r"bak-000001.*schema 99"):
        restore(good, "1")


@pytest.mark.parametrize("change", [put("bench_run", "r0", "note", 5), put("bench_run", "r0", "taken_at", "nonsense")])
def test_a_command_that_stumbles_over_such_a_record_says_which(good, tmp_path, capsys, change):
    sealed_again(good, change)
    assert main(["export", str(tmp_path / "out"), "--logbook", str(good)]) == 2
    assert f"{good} holds a record this pitbench does not take: bench_run 'r0'" in capsys.readouterr().err


def test_a_blank_field_written_as_null_is_blank_whatever_the_seal_says(good):
    """Screens and figures read plain rows: no row may hold a null, or the first figure that meets it ends the app."""
    sealed_again(good, put("bench_run", "r0", "no_load_current_a", None))
    logbook = Logbook.open(good, write=False)
    assert "no_load_current_a" not in logbook.row("bench_run", "r0")
    assert not check(good).problems and main(["rank", "--logbook", str(good)]) == 0
