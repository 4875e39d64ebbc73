"""Forms for a notebook on its way in: the file, its columns, answers, one row."""

from collections import defaultdict
from datetime import date

from django import forms

from inventory.models import ImportDraft
from inventory.notebook.columns import BY_NAME, FIELDS
from inventory.notebook.fates import Line, Notebook
from nursery.forms import DateInput, no_larger_than
from nursery.sheet_file import LARGEST_FILE, LIMITS, SheetFile, Unreadable, read_file

NOT_NEEDED = ("", "leave it out")
SHOWN = 3
LONGEST_ANSWER = 120


class NotebookFileForm(forms.Form):
    """A table of any layout. `read` holds what is in it."""

    is_multipart = True
    file = forms.FileField(
        label="Your table (XLSX or CSV)",
        help_text=f"Any columns in any order, {LIMITS}. Nothing is entered yet: next you see "
        "what each row would become.",
        error_messages={"empty": "The file is empty. Choose the one with your plants in it."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.read: SheetFile | None = None
        taken = {"accept": ".csv,.tsv,.txt,.xlsx"} | no_larger_than(LARGEST_FILE)
        self.fields["file"].widget.attrs |= taken

    def clean_file(self):
        file = self.cleaned_data["file"]
        try:
            self.read = read_file(file)
        except Unreadable as error:
            raise forms.ValidationError(str(error)) from error
        if all(sheet.rows is None for sheet in self.read.sheets):
            raise forms.ValidationError(
                f"There are too many rows; {LIMITS} can be read. Divide the table in two."
            )
        return file


class ColumnsForm(forms.Form):
    """Which sheet, where the headings stand, and which column is what."""

    sheet = forms.TypedChoiceField(label="Sheet", coerce=int, required=False)
    heading_row = forms.IntegerField(
        label="The headings stand in row",
        min_value=0,
        max_value=50,
        help_text="0 where there are none.",
    )
    counted_on = forms.DateField(
        label="Counted on",
        widget=DateInput,
        help_text="The day these numbers were right. The plants are in the ledger from then on.",
    )
    fill = forms.BooleanField(
        label="An empty plant, place or container is the same as above", required=False
    )

    def __init__(self, *args, draft: ImportDraft, **kwargs):
        super().__init__(*args, **kwargs)
        self.draft = draft
        named = [(n, name) for n, (name, rows) in enumerate(draft.sheets) if rows]
        self.fields["sheet"].choices = named
        if len(named) < 2:
            del self.fields["sheet"]
        choices = [NOT_NEEDED, *((field.name, field.words) for field in FIELDS)]
        self.columns = []
        for place in range(max(map(len, draft.rows), default=0)):
            name = f"column_{place}"
            self.fields[name] = forms.ChoiceField(
                label=self._label(place),
                choices=choices,
                required=False,
                help_text=self._values(place),
            )
            self.columns.append(name)

    def _label(self, place):
        head = self.draft.rows[self.draft.heading_row - 1] if self.draft.heading_row else []
        return (head[place] if place < len(head) else "") or f"Column {place + 1}"

    def _values(self, place):
        """Show the first few things that stand in a column, as text and nothing else."""
        from django.utils.html import escape

        below = self.draft.rows[self.draft.heading_row :]
        values = dict.fromkeys(row[place] for row in below if place < len(row) and row[place])
        shown = [escape(value[:40]) for value in list(values)[:SHOWN]]
        return " · ".join(shown) or "nothing stands here"

    def clean_counted_on(self):
        day = self.cleaned_data["counted_on"]
        if day > date.today():
            raise forms.ValidationError(
                f"{day:%d %B %Y} has not come yet. Enter the day you counted."
            )
        return day

    @property
    def matching(self) -> dict[str, str]:
        """Return {place of the column: name of our field}, what is left out not among them."""
        chosen = {name.removeprefix("column_"): self.cleaned_data[name] for name in self.columns}
        return {place: name for place, name in chosen.items() if name}

    @property
    def is_another_sheet(self) -> bool:
        return self.cleaned_data.get("sheet", self.draft.sheet) not in ("", None, self.draft.sheet)

    def clean(self):
        cleaned = super().clean()
        if self.errors or self.is_another_sheet:
            return cleaned
        taken = {}
        for name in self.columns:
            field = cleaned[name]
            if field and field in taken:
                words = BY_NAME[field].words
                self.add_error(name, f"{words} is another column already. Choose one of the two.")
            taken.setdefault(field, name)
        if "quantity" not in taken:
            self.add_error(None, "Say which column holds how many plants there are.")
        if not {"plant", "common_name"} & set(taken):
            self.add_error(None, "Say which column holds the plants.")
        return cleaned

    def column_fields(self):
        """Return the fields of the columns, as the page shows them."""
        return [self[name] for name in self.columns]

    def other_fields(self):
        """Return the fields that are about the whole table."""
        return [self["counted_on"], self["fill"]]

    def table_fields(self):
        """Return the fields that say where in the file the table stands."""
        return [self[name] for name in ("sheet", "heading_row") if name in self.fields]


class RowForm(forms.Form):
    """Every cell of one row, to be mended, or the row left out."""

    out = forms.BooleanField(label="Leave this row out", required=False)

    def __init__(self, *args, line: Line, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["out"].initial = bool(line.cells.get("out"))
        for field in FIELDS:
            if field.name in line.cells or field.name in ("lot", "note"):
                self.fields[field.name] = forms.CharField(
                    label=field.words,
                    required=False,
                    max_length=500,
                    initial=line.cells.get(field.name, ""),
                )
        self.order_fields([*(name for name in self.fields if name != "out"), "out"])

    @property
    def mended(self) -> dict[str, str]:
        """Return the cells that were typed anew."""
        changed = {name: self.cleaned_data[name] for name in self.changed_data}
        return changed | {"out": "1" if self.cleaned_data["out"] else ""}


def answers_in(data, notebook: Notebook) -> tuple[dict, dict]:
    """Return what a page of questions and rows answered: by kind and spelling, and by row."""
    answers, mended = defaultdict(dict), defaultdict(dict)
    for question in notebook.questions:
        written = data.get(f"{question.name}-other", "").strip()[:LONGEST_ANSWER]
        chosen = data.get(question.name, "")
        if question.is_free and written:
            answers[question.kind][question.spelling] = written
        elif chosen in dict(question.offers):
            answers[question.kind][question.spelling] = chosen
    for line in notebook.lines:
        if data.get(f"row-{line.number}-out"):
            mended[str(line.number)]["out"] = "1"
        for name, _, text in line.fields:
            typed = data.get(name, text).strip()[:500]
            if typed != text:
                mended[str(line.number)][name.rpartition("-")[2]] = typed
    return answers, mended
