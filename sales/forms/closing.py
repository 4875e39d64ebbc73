"""Up to which day the books are closed."""

from datetime import date

from django import forms

from nursery.forms import DateInput, RequestForm


class _ClosingForm(RequestForm):
    def __init__(self, *args, **kwargs):
        # Two forms stand on one page: their fields need names of their own there.
        super().__init__(*args, **{"auto_id": f"{type(self).__name__}_%s".lower(), **kwargs})

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))


class CloseForm(_ClosingForm):
    """The last day that is closed; the end of last year unless that is closed already."""

    last_day = forms.DateField(label="Close up to the end of", widget=DateInput)

    @classmethod
    def after(cls, closed_to: date | None) -> "CloseForm":
        """Return an empty form that offers the end of last year, where it is still open."""
        last = date(date.today().year - 1, 12, 31)
        is_open = closed_to is None or closed_to < last
        return cls(initial={"last_day": last if is_open else None})


class ReopenForm(_ClosingForm):
    """From where days are open again, and why."""

    to = forms.DateField(
        label="Stay closed up to",
        required=False,
        widget=DateInput,
        help_text="Left empty, every day is open again.",
    )
    reason = forms.CharField(
        label="Why",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Say why the period is opened again; it is kept."},
    )
