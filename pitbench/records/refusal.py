"""What a person is told when something cannot be done: one sentence and an exit status, never a traceback."""


class Refusal(Exception):
    """A refusal in one clear sentence: where, what, and what would be right.

    `status` is the exit status of the command line: 2 for usage, sheets, paths and names,
    1 for a full disk, I/O errors, a logbook open elsewhere and errors of our own.
    `field`: the field of a form it is about, if it is about one. `can_rescue`: the file under an open logbook is none
    any more, so what was saved is in memory alone and can be written beside it.
    """

    status: int = 2
    can_rescue: bool = False

    def __init__(self, sentence: str, status: int | None = None, field: str = "") -> None:
        super().__init__(sentence)
        self.field = field
        if status is not None:
            self.status = status
