"""Form pieces any app may use."""

from datetime import date, timedelta
from uuid import uuid4

from django import forms


class RequestForm(forms.Form):
    """A form that writes: its hidden request id makes a second press harmless."""

    request_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)


class DateInput(forms.DateInput):
    """The browser's own date picker."""

    input_type = "date"

    def __init__(self, **kwargs):
        super().__init__(format="%Y-%m-%d", **kwargs)


class OperationForm(RequestForm):
    """A form for something that happened on a day."""

    on = forms.DateField(label="Date", initial=date.today, widget=DateInput)
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def clean_on(self):
        on = self.cleaned_data["on"]
        # A day of grace, because the server's clock may stand in another time zone.
        if on > date.today() + timedelta(days=1):
            raise forms.ValidationError(
                f"{on:%d %B %Y} has not come yet. Enter the day it happened."
            )
        return on

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        field = error.field if error.field in self.fields else None
        if error.field == "date" and "on" in self.fields:
            field = "on"
        self.add_error(field, str(error))


def no_larger_than(size: int) -> dict[str, int]:
    """Return what lets a browser say that a file has too many bytes before it sends it."""
    return {"data-most-bytes": size}
