"""Which backups are kept, how they are made where a disk knows no hard links, and bringing one back."""

import errno
import os
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.__main__ import main
from pitbench.records.models import Motor
from pitbench.store import backups, refusals
from pitbench.store.backups import Backup
from pitbench.store.logbook import Logbook, restore

NOW = datetime(2026, 6, 1, 12, 0)
HERON = Motor(id="m1", name="Heron")


def made(*ages):
    """Backups of these ages, the oldest with number 1."""
    ordered = sorted(ages, reverse=True)
    return [Backup(Path(f"b{n}"), n, NOW - age) for n, age in enumerate(ordered, 1)]


def test_a_year_of_saving_every_six_hours():
    """10 saves; the newest of each of the 14 days; the newest of each week of the rest of a year."""
    every = made(*(timedelta(hours=6 * n) for n in range(4 * 400)))
    spare = backups.superfluous(every, NOW)
    kept = [backup for backup in every if backup not in spare]
    assert kept[-10:] == every[-10:]
    first_day = NOW.date() - timedelta(days=13)
    last_of_day = {backup.written.date(): backup.number for backup in every if backup.written.date() >= first_day}
    assert len(last_of_day) == 14
    year = [b for b in every if b.written.date() < first_day and NOW.date() - b.written.date() < timedelta(days=365)]
    last_of_week = {f"{backup.written:%G %V}": backup.number for backup in year}
    assert len(last_of_week) == 51
    wanted = {backup.number for backup in every[-10:]} | set(last_of_day.values()) | set(last_of_week.values())
    assert {backup.number for backup in kept} == wanted


@given(st.lists(st.timedeltas(timedelta(days=-400), timedelta(days=800)), max_size=60))
def test_thinning_keeps_the_last_saves_and_is_done_once(ages):
    """Whatever a laptop's clock said: in any order, ahead of time, far back."""
    every = [Backup(Path(f"b{n}"), n, NOW - age) for n, age in enumerate(ages, 1)]
    spare = backups.superfluous(every, NOW)
    kept = [backup for backup in every if backup not in spare]
    assert kept[-10:] == every[-10:]
    assert not backups.superfluous(kept, NOW)
    days = {backup.written.date() for backup in every if 0 <= (NOW.date() - backup.written.date()).days < 14}
    assert days <= {backup.written.date() for backup in kept}


@given(
    st.lists(st.timedeltas(timedelta(hours=1), timedelta(days=9)), min_size=1, max_size=80),
    st.integers(1, backups.LAST_SAVES // 2),
)
def test_a_clock_two_years_ahead_for_a_save_or_some_thins_out_nothing(gaps, wrong):
    """What is there beside a history without those saves is there beside one with them, then and after the next."""
    now, every = NOW - sum(gaps, timedelta()), []
    for number, gap in enumerate(gaps, 1):
        every.append(Backup(Path(f"b{number}"), number, now))
        now += gap
        gone = backups.superfluous(every, now)
        every = [backup for backup in every if backup not in gone]
    last = every[-1].number
    ahead = [Backup(Path(f"w{n}"), last + n, now + timedelta(days=730, minutes=n)) for n in range(1, wrong + 1)]
    quiet = [Backup(Path(f"q{n}"), last + n, now + timedelta(minutes=n)) for n in range(1, wrong + 1)]
    gone_usually = backups.superfluous([*every, *quiet], now + timedelta(minutes=wrong))
    for n in range(1, wrong + 1):
        gone = backups.superfluous([*every, *ahead[: n - 1]], ahead[n - 1].written)
        assert gone & {*every} <= gone_usually
    assert backups.superfluous([*every, *ahead], now + timedelta(hours=1)) & {*every} <= gone_usually


def test_a_save_with_the_clock_two_years_ahead_leaves_the_backups(good, clock):
    """The same on the disk, with one of each of twenty weeks."""
    weeks = [datetime.now() - timedelta(days=7 * n + 1) for n in range(20, 0, -1)]
    for number, written in enumerate(weeks, 2):
        good.with_name(f"{good.name}.bak-{number:06d}-{written:%Y%m%dT%H%M%S}").write_bytes(b"old")
    before = {backup.path for backup in backups.found(good) if backup.number > 1}
    clock.now = datetime.now() + timedelta(days=730)
    with Logbook.open(good, clock=clock) as logbook:
        logbook.save("turns", [HERON.with_(turns=21.5)])
    assert before <= {backup.path for backup in backups.found(good)}
    with Logbook.open(good) as logbook:
        logbook.save("turns", [HERON.with_(turns=17.5)])
    assert before <= {backup.path for backup in backups.found(good)}


def test_every_save_but_the_first_leaves_the_old_file_as_backup(good):
    before = good.read_bytes()
    with Logbook.open(good) as logbook:
        logbook.save("turns", [HERON.with_(turns=21.5)])
    newest = backups.found(good)[0]
    assert newest.number == 2
    assert newest.path.read_bytes() == before
    assert newest.written == datetime.fromtimestamp(newest.path.stat().st_mtime).replace(microsecond=0)


def test_killed_between_backup_and_replacing_there_is_one_backup_of_one_file(good):
    os.link(good, good.with_name("logbook.json.bak-000002-20260412T100000"))
    before = good.read_bytes()
    with Logbook.open(good) as logbook:
        logbook.save("turns", [HERON.with_(turns=21.5)])
    assert [backup.number for backup in backups.found(good)] == [2, 1]
    assert backups.found(good)[0].path.read_bytes() == before


def test_the_last_ten_saves_are_kept(good):
    with Logbook.open(good) as logbook:
        for turns in range(1, 26):
            logbook.save("turns", [HERON.with_(turns=turns)])
    kept = [backup.number for backup in backups.found(good)]
    assert kept == list(range(26, 16, -1))


def test_old_backups_are_thinned_by_age(good):
    """One of the same day goes, one of another day stays, one older than a year goes."""
    day = datetime.now() - timedelta(days=3)
    names = {}
    for number, written in enumerate((day - timedelta(days=500), day.replace(hour=9), day.replace(hour=10)), 2):
        names[number] = good.with_name(f"{good.name}.bak-{number:06d}-{written:%Y%m%dT%H%M%S}")
        names[number].write_bytes(b"old")
    with Logbook.open(good) as logbook:
        for turns in range(1, 12):
            logbook.save("turns", [HERON.with_(turns=turns)])
    assert [number for number, path in names.items() if path.exists()] == [4]


@pytest.mark.parametrize("code", [errno.EPERM, errno.EOPNOTSUPP, errno.EMLINK, errno.EXDEV])
def test_where_the_disk_knows_no_hard_links_the_backup_is_a_copy(good, monkeypatch, code):
    def none(*_):
        raise OSError(code, "no links here")

    monkeypatch.setattr(os, "link", none)
    before = good.read_bytes()
    with Logbook.open(good) as logbook:
        logbook.save("turns", [HERON.with_(turns=21.5)])
    newest = backups.found(good)[0]
    assert newest.path.read_bytes() == before
    assert newest.path.stat().st_mode & 0o777 == 0o600
    assert not list(good.parent.glob("*.tmp"))


def test_other_files_are_no_backups(good):
    for name in (
        "logbook.json.bak-1-2",
        "logbook.json.bak-000009-20269999T999999",
        "other.json.bak-000001-20260101T000000",
    ):
        good.with_name(name).write_bytes(b"")
    assert [backup.number for backup in backups.found(good)] == [1]


def test_restore_makes_what_stands_there_a_backup_first(good):
    before = good.read_bytes()
    assert restore(good, "1").number == 1
    assert Logbook.open(good, write=False).rows("bench_run") == []
    newest = backups.found(good)[0]
    assert (newest.number, newest.unsealed) == (2, False)
    assert newest.path.read_bytes() == before
    restore(good, newest.path.name)
    assert good.read_bytes() == before


def test_restore_over_a_damaged_file_keeps_that_too(good):
    good.write_bytes(b"{ scribble")
    restore(good, "newest")
    assert Logbook.open(good, write=False).rows("motor")
    newest = backups.found(good)[0]
    assert newest.unsealed
    assert newest.path.read_bytes() == b"{ scribble"
    assert restore(good, "newest").number == 1, "what is damaged is never the newest good one"
    with pytest.raises(refusals.Damaged, match="is damaged itself"):
        restore(good, str(newest.number))


def test_restore_where_the_file_is_gone(good):
    good.unlink()
    restore(good, "000001")
    assert Logbook.open(good, write=False).rows("motor")


@pytest.mark.parametrize("which", ["7", "newest ", "", "x", "../logbook.json"])
def test_an_unknown_backup_is_refused_naming_those_there_are(good, which):
    before = good.read_bytes()
    with pytest.raises(refusals.BadPlace, match="its backups are: 1 to 1"):
        restore(good, which)
    assert good.read_bytes() == before


def test_restore_waits_for_the_writer(good):
    with Logbook.open(good), pytest.raises(refusals.OpenElsewhere):
        restore(good, "1")


def test_a_restored_file_and_its_backup_are_two_files(good):
    """An editor that writes in place must not reach the backup."""
    backup = restore(good, "1")
    assert not backup.path.samefile(good)


def test_undo_goes_back_from_the_restored_state(good):
    restore(good, "1")
    with Logbook.open(good) as logbook:
        assert logbook.journal.undo() == "added Heron"


@pytest.mark.parametrize(
    ("seconds", "year"), [(10**12, "9999"), (-(10**11), "0001"), (-(3 * 10**10), "1019"), (-(4 * 10**10), "0702")]
)
def test_a_file_that_bears_an_impossible_time_is_backed_up_all_the_same(good, capsys, monkeypatch, seconds, year):
    """A clock that was wrong, or a network disk: the calendar's end stands for what no calendar holds."""
    before, real = good.read_bytes(), Path.stat

    def odd(path, **how):
        found = real(path, **how)
        names = [name for name in dir(found) if name.startswith("st_")]
        return SimpleNamespace(**{**{name: getattr(found, name) for name in names}, "st_mtime": seconds})

    monkeypatch.setattr(Path, "stat", odd)  # few disks keep such times, all of them may be asked to
    with Logbook.open(good) as logbook:
        logbook.save("turns", [HERON.with_(turns=21.5)])
        logbook.save("turns", [HERON.with_(turns=17.5)])
    made = backups.found(good)
    assert [backup.number for backup in made] == [3, 2, 1]
    assert made[1].path.name.startswith(f"logbook.json.bak-000002-{year}")
    assert made[1].path.read_bytes() == before
    assert main(["restore", "--logbook", str(good)]) == 0
    assert "good" in capsys.readouterr().out.splitlines()[1]
    good.unlink()
    made[0].path.unlink()
    with pytest.raises(refusals.Damaged, match="`pitbench restore 2 "):
        Logbook.open(good)


@pytest.mark.parametrize("seconds", [10**15, -(10**15), float("inf")])
def test_no_time_is_beyond_the_calendar(seconds):
    """No disk here keeps such times; what the clock of a network disk says is anybody's guess."""
    assert backups._moment(seconds) == (datetime.max if seconds > 0 else datetime.min)


def test_a_backup_that_is_a_folder_is_said_to_be_one(good):
    first = backups.found(good)[0].path
    first.unlink()
    first.mkdir()
    before = good.read_bytes()
    with pytest.raises(refusals.BadPlace) as found:
        restore(good, "1")
    assert str(found.value) == f"{first} cannot be read (it is a folder); another backup of the list would be right."
    assert good.read_bytes() == before


def test_a_folder_in_the_place_of_the_temporary_file_is_named(good):
    beside = good.with_name("logbook.json.tmp")
    beside.mkdir()
    with Logbook.open(good) as logbook:
        with pytest.raises(refusals.NotSaved, match=r"same name with \.tmp behind it, is a folder: move that away"):
            logbook.save("turns", [HERON.with_(turns=21.5)])
        beside.rmdir()
        logbook.save("turns", [HERON.with_(turns=21.5)])


def test_a_name_that_leaves_no_room_for_backups_is_refused_before_anything_is_made(tmp_path, good):
    room = os.pathconf(tmp_path, "PC_NAME_MAX") - len(backups.LONGEST_ENDING)
    longest = tmp_path / ("x" * room)
    with Logbook.open(longest, create=True) as logbook:
        for turns in (13.5, 21.5, 17.5):
            logbook.save("turns", [HERON.with_(turns=turns)])
    assert len(backups.found(longest)) == 2
    for name in ("x" * (room + 1), "é" * (room // 2 + 1), "x" * 300):
        with pytest.raises(refusals.BadPlace, match=rf"has too long a name .* of {room} bytes at most"):
            Logbook.open(tmp_path / name, create=True)
    there = tmp_path / ("y" * (room + 1))
    good.rename(there)
    before = sorted(tmp_path.iterdir())
    with pytest.raises(refusals.BadPlace, match="too long a name"):
        Logbook.open(there)
    assert sorted(tmp_path.iterdir()) == before
    assert Logbook.open(there, write=False).rows("motor"), "it can be read and copied"
