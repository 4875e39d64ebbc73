"""Reading a person to ask for at a buyer's."""

from django import forms

from nursery.forms import RequestForm


class ContactForm(RequestForm):
    """A name, and a phone number or an e-mail address."""

    name = forms.CharField(max_length=80)
    role = forms.CharField(
        required=False, max_length=60, label="What they do", help_text="Foreman, bookkeeper, owner."
    )
    phone = forms.CharField(
        required=False, max_length=40, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    email = forms.EmailField(required=False, label="E-mail")

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
