"""The race day on paper: into which file, then worked out beside the keys and written."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

from textual.widgets import Input

from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.widgets.paint import Lines, line, wrapped
from pitbench.desk.event_names import dated_name
from pitbench.desk.places import here_of
from pitbench.records.keys import key_for
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.records.kinds import Row

HINT = "Ends in .html, to print from a browser, or in .md. What pitbench wrote there before is written anew."
_NO_FILE_NAME = re.compile(r"[^\w .-]+")
LONGEST = 60


class OnPaper(AskText):
    """Returns the file to write, or None. A file that is not as pitbench wrote it stays: an Enter too many must not
    cost it."""

    NEEDED = "A file name is needed, nothing is written yet."

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """What cannot be is said here; anything else goes on to `AskText`."""
        why = self._refused(event.value.strip())
        if why:
            event.prevent_default()
            self.query_one("#ways", Lines).show(
                [line((row, "warn")) for row in wrapped(f"{why}   {key_for('leave-form')} leaves", self.room)]
            )

    def _refused(self, text: str) -> str:
        from pitbench.paper.files import Taken, must_be_free

        try:
            if text:
                must_be_free(Path(text).expanduser(), Path(cast("PitbenchApp", self.app).path))
        except Taken:
            name = Path(text).name
            return f"{name} is there already, and not as pitbench wrote it; another name would be right."
        except (Refusal, OSError, RuntimeError) as refusal:
            return str(refusal)
        return ""


def put_on_paper(pit: PitbenchApp) -> None:
    """Ask for the file, then work the race day out beside the keys and write it."""
    event = here_of(pit.snapshot, pit.clock()).event
    if event is None:
        pit.say(f"No event is written down yet, so there is no race day to print: {key_for('edit-event')} writes one.")
        return

    def chosen(text: str | None) -> None:
        if text:
            pit.say("Working out the race day …")
            written = _written(pit, event["id"], Path(text).expanduser())
            pit.paper = pit.run_worker(written, group="paper", exclusive=True)

    question = f"The race day of {dated_name(event)}, on paper, into:"
    pit.push_screen(OnPaper(question, HINT, str(_file_for(event))), chosen)


async def _written(pit: PitbenchApp, event_id: str, path: Path) -> None:
    from pitbench.desk.race_day import race_day
    from pitbench.paper.files import as_text, form_of, write
    from pitbench.paper.race_day import document_of

    try:
        question = partial(race_day, event_id=event_id, plans=pit.plans.changed())
        day = await pit.answers.work(question, pit.snapshot, apart=True)
        write(path, as_text(document_of(day), form_of(path)))
    except (Refusal, OSError) as refusal:
        pit.say(str(refusal), trouble=True)
    except Exception as error:  # paper that fails must not end an evening of typing
        pit.say(f"No race day on paper: {pit.written_down(error)}", trouble=True)
    else:
        pit.say(f"{path.name} holds the race day of {day.name}, in {path.parent}")


def _file_for(event: Row) -> Path:
    """A file among the user's documents, called after the event."""
    import platformdirs

    documents = Path(platformdirs.user_documents_dir())
    name = _NO_FILE_NAME.sub("-", event["name"])[:LONGEST].strip(" .-") or "race day"
    return (documents if documents.is_dir() else Path.home()) / f"{name} {event['date'][:10]}.html"
