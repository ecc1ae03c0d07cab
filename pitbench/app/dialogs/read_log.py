"""The key that reads a load log: which file, what its headers are where that is not known, then it is read and shown.

The newest files of the download folder come first, and those of the folder the last one was taken from.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.dialogs.choose import Choose
from pitbench.app.widgets.paint import fitted
from pitbench.desk.load.files import LogFile, newest, path_in
from pitbench.desk.load.page import run_named, runs_to_choose
from pitbench.desk.named import name_of
from pitbench.desk.run_logs import logs_by_run
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk.load.loading import Found

MOST = 9
FOLDER = "log_folder"
"""Under this name the hands keep the folder the last log was taken from."""
OTHER, BENCH, ALONE, STANDS = "f", "b", "m", "l"


@dataclass(frozen=True)
class LogOf:
    """Whose log is read: that of this motor, in this run; without one it was written on the bench, or nobody said."""

    motor_id: str
    run_id: str | None = None
    bench: bool = False


def read_log(pit: PitbenchApp, motor_id: str, run_id: str | None) -> None:
    """Of this run; where there is none, it is asked for."""
    if not pit.writing.may():
        return
    run = pit.snapshot.row("track_run", run_id or "")
    if run is not None:
        _ask_file(pit, LogOf(motor_id, run["id"]))
    elif run_id is not None:
        _ask_file(pit, LogOf(motor_id, run_id, bench=True))
    else:
        _ask_run(pit, motor_id)


def _ask_run(pit: PitbenchApp, motor_id: str) -> None:
    runs = runs_to_choose(pit.snapshot, motor_id, pit.clock(), MOST)
    choices = [(str(nth), run_id, said) for nth, (run_id, said, _) in enumerate(runs, 1)]
    newest_without = next((run_id for run_id, _, logged in runs if not logged), choices[0][1] if choices else BENCH)
    choices += [(BENCH, BENCH, "on the bench"), (ALONE, ALONE, "no run of these: of the motor alone")]

    def answered(choice: str | None) -> None:
        if choice is not None:
            of = LogOf(motor_id, bench=choice == BENCH) if choice in (BENCH, ALONE) else LogOf(motor_id, choice)
            _ask_file(pit, of)

    name = name_of(pit.snapshot, "motor", motor_id)
    pit.push_screen(Choose(f"In which run of {name} was the log written?", choices, newest_without), answered)


def _ask_file(pit: PitbenchApp, of: LogOf, folder: Path | None = None) -> None:
    """Which file; the log there is already comes first."""
    known = _log_there_is(pit, of) if folder is None else None
    files = newest(folder, pit.clock(), MOST) if folder else _newest(pit)
    if not files and not known:
        _ask_path(pit, of, folder or downloads())
        return
    choices = [(STANDS, STANDS, "the log it has")] if known else []
    choices += [(str(nth), str(file.path), _file_words(file)) for nth, file in enumerate(files, 1)]
    choices.append((OTHER, OTHER, "another file, or its folder: type where"))

    def answered(choice: str | None) -> None:
        if choice == STANDS and known:
            pit.routes.open("load-log", known)
        elif choice == OTHER:
            _ask_path(pit, of, folder or downloads())
        elif choice is not None:
            _ask_headers(pit, of, Path(choice))

    pit.push_screen(Choose(f"Which log? For {_of_words(pit, of)}.", choices, choices[0][1]), answered)


def _of_words(pit: PitbenchApp, of: LogOf) -> str:
    if of.run_id is not None:
        return run_named(pit.snapshot, of.run_id)
    return f"{name_of(pit.snapshot, 'motor', of.motor_id)}{', on the bench' if of.bench else ''}"


def _file_words(file: LogFile) -> str:
    return f"{fitted(file.name, 40)}  {file.when:<13} {file.size:>8}"


def _log_there_is(pit: PitbenchApp, of: LogOf) -> str | None:
    logs = logs_by_run(pit.snapshot).get(of.run_id or "", [])
    return str(logs[-1]["id"]) if logs else None


def downloads() -> Path:
    """Where a browser or a phone puts files on this computer."""
    from platformdirs import user_downloads_path

    return user_downloads_path()


def _newest(pit: PitbenchApp) -> list[LogFile]:
    kept = pit.hands.get(FOLDER)
    folders = {downloads(), *([Path(kept)] if isinstance(kept, str) else [])}
    files = [file for folder in folders for file in newest(folder, pit.clock(), MOST)]
    return sorted(files, key=lambda file: -file.written)[:MOST]


def _ask_path(pit: PitbenchApp, of: LogOf, folder: Path) -> None:
    def answered(text: str | None) -> None:
        if text is None:
            return
        path = path_in(text)
        if newest(path, pit.clock(), 1):
            _ask_file(pit, of, path)
        else:
            _ask_headers(pit, of, path)

    hint = "A CSV file with one row a sample. A folder shows the newest files in it."
    pit.push_screen(AskText(f"Where is the log for {_of_words(pit, of)}?", hint, f"{folder}/"), answered)


def _ask_headers(pit: PitbenchApp, of: LogOf, path: Path) -> None:
    """What its headers are, unless that is known."""
    from pitbench.desk.load.headers import headers_of

    try:
        headers = headers_of(pit.snapshot, path)
    except Refusal as refusal:
        pit.say(str(refusal), trouble=True)
        return
    if not headers.asks:
        _read(pit, of, path, None)
        return
    from pitbench.app.dialogs.log_headers import LogHeaders

    def answered(columns: dict[str, str] | None) -> None:
        if columns is not None:
            _read(pit, of, path, columns)

    pit.push_screen(LogHeaders(headers), answered)


def _read(pit: PitbenchApp, of: LogOf, path: Path, columns: dict[str, str] | None) -> None:
    """In the second process; stored and shown once it is read. columns: {column: header} as somebody said."""
    from pitbench.app.dialogs.reading_log import ReadingLog
    from pitbench.desk.load.loading import Asked, found
    from pitbench.records.reading import Day

    run = pit.snapshot.row("bench_run", of.run_id or "") if of.bench else None
    asked = Asked(
        name_of(pit.snapshot, "motor", of.motor_id),
        bench=of.bench,
        columns=columns or {},
        run_id=None if of.bench else of.run_id,
        at=run["taken_at"] if run else None,
        alone=columns is not None,
    )
    day = Day(pit.clock(), pit.snapshot.team().day_first)

    def answered(what: Found | None) -> None:
        if what is not None:
            _keep(pit, what, path)

    question = partial(found, path=path, asked=asked, day=day)
    pit.push_screen(ReadingLog(f"Reading {path.name} for {_of_words(pit, of)}", question), answered)


def _keep(pit: PitbenchApp, what: Found, path: Path) -> None:
    from pitbench.desk.load.loading import keep

    def stored() -> str:
        answer = keep(pit.book, what)
        return f"load log of {answer.motor}"

    if pit.writing.attempt(stored):
        pit.hands.keep(FOLDER, str(path.absolute().parent))
        pit.routes.open("load-log", what.row["id"])
