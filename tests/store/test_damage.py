"""Files that are no logbook, or a broken one: one sentence, the file untouched, the newest good backup named."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.records.refusal import Refusal
from pitbench.store import refusals, seal
from pitbench.store.logbook import Logbook
from pitbench.store.migrations import SCHEMA


def edited(change):
    """The good file as JSON, changed and written by something else than pitbench."""

    def damage(raw: bytes) -> bytes:
        tree = json.loads(raw)
        change(tree)
        return json.dumps(tree).encode()

    return damage


def resealed(change):
    """As if pitbench had written it: the seal is good."""

    def damage(raw: bytes) -> bytes:
        tree = json.loads(raw)
        del tree["seal"]
        change(tree)
        return b"".join(seal.sealed(tree))

    return damage


def put(*path_and_value):
    *path, last, value = path_and_value

    def change(tree):
        for step in path:
            tree = tree[step]
        tree[last] = value

    return change


DAMAGED = {
    "empty": (lambda raw: b"", "is empty"),
    "blanks": (lambda raw: b" \n", "is empty"),
    "half": (lambda raw: raw[: len(raw) // 2], "no readable JSON"),
    "last byte gone": (lambda raw: raw[:-1], "no readable JSON"),
    "twice": (lambda raw: raw + raw, "no readable JSON"),
    "zero bytes behind": (lambda raw: raw + b"\0" * 512, "no readable JSON"),
    "zero bytes": (lambda raw: b"\0" * len(raw), "no readable JSON"),
    "binary": (lambda raw: bytes(range(256)) * 8, "no readable JSON"),
    "byte-order mark": (lambda raw: b"\xef\xbb\xbf" + raw, "begins with a byte-order mark"),
    "UTF-16": (lambda raw: raw.decode().encode("utf-16"), "begins with a byte-order mark"),
    "not UTF-8": (lambda raw: raw.replace(b"Heron", b"H\xe9ron"), "no readable JSON"),
    "lone surrogate": (lambda raw: raw.replace(b"Heron", rb"H\ud800"), "no readable JSON"),
    "NaN": (lambda raw: raw.replace(b"3.75", b"NaN"), "no readable JSON|test_voltage_v"),
    "Infinity": (lambda raw: raw.replace(b"3.75", b"Infinity"), "no readable JSON"),
    "1e999": (lambda raw: raw.replace(b"3.75", b"1e999"), "no readable JSON|test_voltage_v"),
    "a huge number": (lambda raw: raw.replace(b"3.75", b"9" * 5000), "no readable JSON|test_voltage_v"),
    "deep nesting": (lambda raw: raw.replace(b"3.75", b"[" * 20000 + b"]" * 20000), "no readable JSON"),
    "key twice": (lambda raw: raw.replace(b'"r1":{', b'"r0":{'), "has 'r0' twice in one object"),
    "field twice": (lambda raw: raw.replace(b'"turns":13.5', b'"turns":13.5,"turns":21.5'), "has 'turns' twice"),
    "id of another": (edited(put("bench_run", "r1", "id", "r0")), "bench_run 'r1': id is 'r0'"),
    "no id": (edited(lambda tree: tree["bench_run"]["r1"].pop("id")), "bench_run 'r1': id is 'None'"),
    "a table as list": (edited(put("motor", [1, 2])), "no table of records under 'motor'"),
    "a record as text": (edited(put("motor", "m1", "hi")), "no table of records under 'motor'"),
    "a record as null": (edited(put("motor", "m1", None)), "no table of records under 'motor'"),
    "an unknown table": (edited(put("tyres", {})), "a table 'tyres' that pitbench does not know"),
    "an unknown field": (edited(put("motor", "m1", "colour", "red")), "motor 'm1': colour is no field"),
    "a field that would steer the terminal": (
        edited(put("motor", "m1", "\x1b[31m\n", "red")),
        r"motor 'm1': \?\[31m\? is no field",
    ),
    "a field missing": (edited(lambda tree: tree["motor"]["m1"].pop("name")), "motor 'm1': name is missing"),
    "a number as text": (edited(put("motor", "m1", "turns", "13.5")), "motor 'm1': turns is '13.5', it should be"),
    "an impossible number": (edited(put("motor", "m1", "turns", -4)), "motor 'm1': turns is -4, it should be"),
    "an odd pole count": (edited(put("motor", "m1", "poles", 3)), "motor 'm1': poles is 3, must be even"),
    "a day that is none": (edited(put("bench_run", "r0", "taken_at", "2026-02-30")), "bench_run 'r0': taken_at"),
    "yes for true": (edited(put("motor", "m1", "in_use", "yes")), "motor 'm1': in_use is 'yes'"),
    "a change of another shape": (edited(put("changes", "1", "after", [3])), "changes '1': is no change"),
    "a change that is no number": (edited(put("changes", "x", {"id": "x"})), "changes 'x': is no change"),
    "schema as text": (edited(put("pitbench", "logbook", "schema", "2")), "has the schema number '2'"),
    "versions of another shape": (
        resealed(put("versions", {"m": {"id": "m", "cells": {"note": []}}})),
        "is no memory of edits as pitbench writes it",
    ),
    "schema 0": (resealed(put("pitbench", "logbook", "schema", 0)), "has the schema number '0'"),
    "a true schema": (resealed(put("pitbench", "logbook", "schema", True)), "has the schema number 'True'"),
}
FOREIGN = {
    "null": b"null",
    "a number": b"5",
    "a list": b"[1,2]",
    "an empty object": b"{}",
    "another program's": b'{"_default": {"1": {"k": 1}}}',
    "no schema": b'{"pitbench": {"logbook": {}}}',
    "a head as list": b'{"pitbench": [1]}',
    "a head as text": b'{"pitbench": {"logbook": "2"}}',
}


def refused(path, raw, kind, words):
    """Opening refuses in one sentence, for reading and for writing, and leaves the file as it was."""
    path.write_bytes(raw)
    for write in (False, True):
        with pytest.raises(kind, match=words) as found:
            Logbook.open(path, write=write, create=True, accept_hand_edit=True)
        sentence = str(found.value)
        assert sentence.startswith(str(path))
        assert sentence.isprintable()
        assert len(sentence) < 700
        assert found.value.status == 2
        assert path.read_bytes() == raw
    return sentence


@pytest.mark.parametrize("name", DAMAGED)
def test_a_damaged_file_is_refused_and_its_backup_named(good, name):
    damage, words = DAMAGED[name]
    raw = damage(good.read_bytes())
    assert raw != good.read_bytes()
    sentence = refused(good, raw, refusals.Damaged, words)
    assert re.search(r"newest good backup is from .*`pitbench restore 1 --logbook ", sentence)


@pytest.mark.parametrize("name", FOREIGN)
def test_a_foreign_file_is_refused(good, name):
    refused(good, FOREIGN[name], refusals.Foreign, "name another file, this one was left as it is")


@pytest.mark.parametrize("how", [edited, resealed])
def test_a_newer_file_is_refused_whatever_else_is_in_it(good, how):
    def newer(tree):
        tree["tyre"] = {"t": {"id": 5}}
        tree["pitbench"]["logbook"]["schema"] = SCHEMA + 1

    refused(
        good, how(newer)(good.read_bytes()), refusals.Newer, f"schema {SCHEMA + 1} and was written by a newer pitbench"
    )


def test_without_a_backup_that_is_said(good):
    for backup in good.parent.glob("*.bak-*"):
        backup.unlink()
    refused(good, b"{", refusals.Damaged, "there is no good backup beside it")


def test_a_damaged_backup_is_not_offered(good):
    with Logbook.open(good) as logbook:
        logbook.journal.undo()
    newest = next(good.parent.glob("*.bak-000002-*"))
    newest.write_bytes(newest.read_bytes().replace(b"3.75", b"3.65"))
    refused(good, b"{", refusals.Damaged, "`pitbench restore 1 ")


def test_all_problems_are_counted(good):
    raw = edited(lambda tree: [put("bench_run", key, "rpm", -1)(tree) for key in ("r0", "r1")])(good.read_bytes())
    refused(good, raw, refusals.Damaged, r"'r0': rpm is -1.*\(and 1 more, `pitbench check` lists them\)")


HAND_EDITS = {
    "one digit": lambda raw: raw.replace(b"3.75", b"3.74"),
    "written with blanks": edited(lambda tree: None),
    "no seal": edited(lambda tree: tree.pop("seal")),
    "the seal elsewhere": edited(lambda tree: tree.update(seal=tree.pop("seal"))),
    "a digit of the seal": lambda raw: raw[:9] + (b"1" if raw[9:10] == b"0" else b"0") + raw[10:],
    "a run taken out": edited(lambda tree: tree["bench_run"].pop("r1")),
}


@pytest.mark.parametrize("name", HAND_EDITS)
def test_a_valid_hand_edit_is_a_question(good, name):
    raw = HAND_EDITS[name](good.read_bytes())
    good.write_bytes(raw)
    with pytest.raises(refusals.HandEdited, match=r"every record in it is valid; .* --accept") as found:
        Logbook.open(good)
    assert found.value.can_accept
    with Logbook.open(good, accept_hand_edit=True) as logbook:
        assert logbook.hand_edited
        assert len(logbook.rows("motor")) == 1
        assert good.read_bytes() == raw
        logbook.journal.undo()
        assert not logbook.hand_edited
    assert not Logbook.open(good, write=False).hand_edited


def test_an_accepted_edit_is_put_into_our_form(good):
    """Blanks, control characters and nulls do not come in by this door either."""
    change = {"name": "  Heron\u001b[31m ", "note": None}
    good.write_bytes(edited(lambda tree: tree["motor"]["m1"].update(change))(good.read_bytes()))
    with Logbook.open(good, accept_hand_edit=True) as logbook:
        row = logbook.row("motor", "m1")
    assert row["name"] == "Heron[31m"
    assert "note" not in row


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    """A small file for many mutations."""
    from pitbench.records.models import Motor

    path = tmp_path_factory.mktemp("fuzz") / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        logbook.save("one", [Motor(id="m1", name="Heron", turns=13.5, note="oily")])
    return path, path.read_bytes()


@settings(max_examples=400)
@given(data=st.data())
def test_no_mutation_is_taken_without_a_word(sample, data):
    path, raw = sample
    at = data.draw(st.integers(0, len(raw) - 1), "at")
    until = data.draw(st.integers(at, min(len(raw), at + 40)), "until")
    mutated = raw[:at] + data.draw(st.binary(max_size=6) | st.sampled_from([b'"', b"{}", b"null", b"9"])) + raw[until:]
    if mutated == raw:
        return
    path.write_bytes(mutated)
    with pytest.raises(Refusal) as found:
        Logbook.open(path, write=False)
    assert str(found.value).isprintable()
    assert path.read_bytes() == mutated
