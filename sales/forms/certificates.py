"""Reading an exemption certificate."""

from datetime import date

from django import forms

from nursery.forms import DateInput, RequestForm


class CertificateForm(RequestForm):
    """Its number, and the days it is good for."""

    number = forms.CharField(max_length=80, help_text="It is printed on each invoice.")
    issuer = forms.CharField(
        required=False, max_length=50, label="Who issued it", help_text="Such as the state."
    )
    valid_from = forms.DateField(label="Good from", initial=date.today, widget=DateInput)
    valid_until = forms.DateField(
        required=False,
        label="Good until",
        widget=DateInput,
        help_text="Its last day. Empty where it has no end.",
    )

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
