"""Reading an exemption certificate."""

from datetime import date

from django import forms

from nursery.forms import DateInput, RequestForm
from sales.operations.certificate_files import MOST_BYTES


class CertificateFileForm(RequestForm):
    """A scan or a photo of a certificate, or of one page of it."""

    file = forms.FileField(
        label="Its scan or photo",
        widget=forms.FileInput(attrs={"accept": "application/pdf,image/jpeg,image/png"}),
        help_text="A PDF, JPEG or PNG up to 5 MB. Only who may see buyers can open it.",
    )

    def clean_file(self):
        """Read the file, unless it is far too large to be one."""
        file = self.cleaned_data["file"]
        return file.read(MOST_BYTES + 1) if file else None

    @property
    def facts(self) -> dict:
        """What was typed, and what is in the file."""
        typed = dict(self.cleaned_data)
        return typed | {"content": typed.pop("file")}

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
        self._ask_for_the_file_again()

    def clean(self):
        self._ask_for_the_file_again()
        return super().clean()

    def _ask_for_the_file_again(self):
        """Say so where a file was sent with something else wrong: no page can fill it in."""
        if self.errors and self.files and "file" not in self.errors:
            self.add_error("file", "Choose the file again, please.")


class CertificateForm(CertificateFileForm):
    """Its number, the days it is good for, and its file where it is at hand."""

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
    field_order = ("number", "issuer", "valid_from", "valid_until", "file")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["file"].required = False
