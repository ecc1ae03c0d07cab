"""The command line: finds the command, imports only what that one needs, and turns whatever goes wrong into a sentence.

A command is a module in `commands` with NAME, HELP, add_arguments(parser) and run(args) -> exit status; nobody else
registers one, and nobody else prints an error. `args.logbook` is there for each of them. One that stores something says
so in `args.stored`, a clause, before it prints: should printing fail, that is what must not be lost.
"""

from __future__ import annotations

import argparse
import errno
import os
import sys
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout, suppress
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import NoReturn, TextIO, cast

from pitbench import __version__
from pitbench.failures import written_down
from pitbench.records.harmless import HarmlessStream, harmless
from pitbench.records.refusal import Refusal

STOPPED = 130
HELP = """\
pitbench: which spec-class motor to run in the main, and how sure that is.

usage: pitbench [--logbook FILE] [COMMAND ...]

Without a command the app opens. Commands, each with its own --help:"""


class Parser(argparse.ArgumentParser):
    """argparse without its usage lines: an error is one sentence like all others. `typed`: the words it is to parse."""

    typed: Sequence[str] = ()

    def error(self, message: str) -> NoReturn:
        file = next((word for word in self.typed if word.startswith("-") and os.path.lexists(word)), None)
        right = f"`{self.prog} --help` shows what is right." if file is None else f"the file {file} is named ./{file}"
        raise Refusal(f"{self.prog}: {message}; {right}")


class NotPrinted(Exception):
    """What was to be printed did not get out, because of `why`; `stored` is what had been stored by then."""

    def __init__(self, why: OSError, stored: str = "") -> None:
        super().__init__(why)
        self.why, self.stored = why, stored


class _Printed(HarmlessStream):
    """What came out of a file, or is called like one, cannot steer the terminal it is printed on."""

    def write(self, text: str) -> int:
        try:
            return super().write(text)
        except OSError as error:
            raise NotPrinted(error) from error

    def flush(self) -> None:
        """A full disk shows at the latest here."""
        try:
            self._stream.flush()
        except OSError as error:
            raise NotPrinted(error) from error


def main(argv: Sequence[str] | None = None) -> int:
    """Run what the words say; the exit status. No error leaves this function as a traceback."""
    try:
        return _status(argv)
    finally:
        _leave_dead_streams()


def _status(argv: Sequence[str] | None) -> int:
    _let_any_text_be_printed()
    try:
        with redirect_stdout(_printed(sys.stdout)), redirect_stderr(_printed(sys.stderr)):
            return _run(sys.argv[1:] if argv is None else list(argv))
    except Refusal as refusal:
        return _complain(str(refusal), refusal.status)
    except NotPrinted as failed:
        return _not_printed(failed)
    except OSError as error:
        return _complain(*_of_the_system(error))
    except KeyboardInterrupt:
        return _complain("pitbench was stopped; what was saved stands.", STOPPED)
    except Exception as error:
        return _complain(written_down(error), 1)


def _run(words: list[str]) -> int:
    front = Parser(prog="pitbench", add_help=False, allow_abbrev=False)
    _logbook_option(front)
    front.add_argument("-h", "--help", action="store_true")
    front.add_argument("--version", action="store_true")
    place = _first_word(words)
    front.typed = words
    before = front.parse_args(words[:place])
    if before.version:
        print(f"pitbench {__version__}")
    elif before.help:
        print(_help())
    elif place < len(words):
        return _command(words[place], words[place + 1 :], before.logbook)
    else:
        from pitbench.bootstrap import run_app

        return run_app(before.logbook)
    sys.stdout.flush()
    return 0


def _first_word(words: list[str]) -> int:
    """Where the command stands: the first word that is neither an option nor the file of --logbook."""
    place = 0
    while place < len(words) and words[place].startswith("-"):
        place += 2 if words[place] == "--logbook" else 1
    return min(place, len(words))


def _command(name: str, words: list[str], logbook: Path | None) -> int:
    module = _module(name)
    parser = Parser(prog=f"pitbench {name}", description=module.HELP, allow_abbrev=False)
    module.add_arguments(parser)
    _logbook_option(parser)
    parser.typed = words
    args = parser.parse_args(words)
    args.logbook, args.stored = args.logbook or logbook, ""
    try:
        status = int(module.run(args))
        sys.stdout.flush()
        return status
    except (Refusal, OSError):
        raise
    except NotPrinted as failed:
        raise NotPrinted(failed.why, args.stored) from failed
    except Exception as error:
        from pitbench.bootstrap import whose_fault

        raise whose_fault(args.logbook, error) from error


def _logbook_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--logbook", type=Path, metavar="FILE", help="the logbook, else the one in your data folder")


def _names() -> list[str]:
    from pkgutil import iter_modules

    from pitbench import commands

    return sorted(module.name for module in iter_modules(commands.__path__) if not module.name.startswith("_"))


def _module(name: str) -> ModuleType:
    if name not in _names():
        from pitbench.records.names import nearest

        near = nearest(name, _names())
        right = f"did you mean {near}?" if near else f"{', '.join(_names())} would be right."
        raise Refusal(f"pitbench has no command {name[:40]!r}; {right}")
    return import_module(f"pitbench.commands.{name}")


def _help() -> str:
    return "\n".join([HELP, *(f"  {name:<10} {_module(name).HELP}" for name in _names())])


def _let_any_text_be_printed() -> None:
    """A terminal that cannot show a character gets another one, not an error."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _printed(stream: TextIO | None) -> TextIO:
    """Where the stream was closed there is one that takes nothing: writing to it fails as it does on a full disk."""
    return cast(TextIO, _Printed(stream or Path(os.devnull).open(encoding="utf-8")))


def _not_printed(failed: NotPrinted) -> int:
    """A reader that stops early is no error, unless it takes away the word that something was stored."""
    _lead_nowhere(sys.stdout)
    if isinstance(failed.why, BrokenPipeError) and not failed.stored:
        return 1
    why = (failed.why.strerror or "standard output is closed").lower()
    said = f"{failed.stored}, only the words about it" if failed.stored else "The answer"
    return _complain(f"{said} could not be printed ({why}).", 1)


def _leave_dead_streams() -> None:
    """What a terminal that is gone did not take must not fail at the end once more: that would be another status."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except (OSError, ValueError):
            _lead_nowhere(stream)


def _lead_nowhere(stream: TextIO | None) -> None:
    """What is still to be written to it goes nowhere."""
    with suppress(AttributeError, OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # type: ignore[union-attr]


def _complain(sentence: str, status: int) -> int:
    """One line on standard error, if there is one; what came out of a file cannot steer the terminal."""
    if sys.stderr is not None:  # else it would go to standard output
        with suppress(OSError):
            print(harmless(sentence), file=sys.stderr)
    return status


def _of_the_system(error: OSError) -> tuple[str, int]:
    """The sentence and the exit status."""
    where = f"{error.filename}: " if error.filename else ""
    what = (error.strerror or str(error) or type(error).__name__).lower()
    if error.errno == errno.ENAMETOOLONG:
        return f"{where}{what}, a shorter one would be right.", Refusal.status
    return f"{where}{what}; what was saved before stands.", 1


if __name__ == "__main__":
    sys.exit(main())
