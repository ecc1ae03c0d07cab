"""A swap of parts: into which motor, which part. Where it comes from and what becomes of the old one is said below."""

from pitbench.app.forms.drafts import FormDraft
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import Field, field_of
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.half_filled import About, Written
from pitbench.desk.parts.swapping import FIELDS, Shelf, SwapRead, read_swap, save_swap, swap_texts
from pitbench.records.typed import label_of
from pitbench.words.cautions import SWAP
from pitbench.words.swapping import standing_words, swap_words

PART = Field("part", "goes in", meaning="Name of the part; missing where one only comes out.", text=True)
MOTOR = Field("motor", "into motor", meaning="The motor that the part goes into.", text=True)
KIND = Field("kind", "kind", meaning="Stator, rotor or end bell; s, r or e will do.", text=True)
OWN = {field.name: field for field in (PART, MOTOR, KIND)}


class SwapDraft(FormDraft):
    """What it becomes is told by an entry of the setup log."""

    def about(self) -> About:
        return About(self.form.KIND, None, self.form.entry.becomes, "setup_entry")


class SwapForm(FormScreen):
    """One action saves all; u takes it back."""

    KIND = "swap"
    CAUTION = SWAP
    KNOWN = ("motor",)
    DRAFT = SwapDraft
    TITLE_WORDS = "Swap of parts"
    ABOVE = " A part out of another motor changes places with the old one. {save-record} saves."
    FOOTER = ("next-field=next", "previous-field", "save-record", "explain-field", "leave-form")
    HELPED = ("next-field=next", "take-suggestion", "save-record", "explain-field", "leave-form")

    def __init__(self, motor_id: str | None = None, kind: str | None = None, part_id: str | None = None) -> None:
        """What is known already; part_id: the id of a part, or its name."""
        super().__init__()
        self._known = (motor_id, kind, part_id)
        self.complete = None not in (motor_id, part_id)

    def begin(self) -> None:
        self._shelf = Shelf(self.pit.snapshot)
        self.entry = Written(swap_texts(self.pit.snapshot, *self._known))
        self.values = self.entry.texts
        self.fields = [OWN.get(name) or field_of(name) for name in FIELDS]
        self.at = next((at for at, name in enumerate(FIELDS) if not self.values[name]), 0)
        self.value_changed()

    def value_changed(self) -> None:
        self._read: SwapRead = read_swap(self.values, self.pit.snapshot, self.pit.clock(), self._shelf)
        self.mark_wrong(self._read.problems)

    def passed_over(self, name: str) -> str:
        """The kind of a part that is known needs no asking."""
        known = name == "kind" and not self.values["kind"].strip() and bool(self._read.kind)
        return f"it is a {label_of(self._read.kind)}" if known else ""

    def below(self) -> list[Line]:
        wrong = self.wrong_lines()
        swap, kind = self._read.swap, self._read.kind
        said = self.body.folded(swap_words(swap), "text") if swap else wrong or self.meaning()
        known = standing_words(kind, self._shelf.standing(kind, self.values["motor"])) if kind else ""
        return [(), *said, *(self.body.folded(known) if known else []), *self.naming.lines()]

    def names(self) -> list[str]:
        kind = self._read.kind
        if self.field.name != "part":
            return super().names()
        return [each.part for each in self._shelf.standing(kind, self.values["motor"])] if kind else []

    def store(self) -> str:
        return save_swap(self.pit.book, self.values, self.pit.clock(), self.entry.becomes)
