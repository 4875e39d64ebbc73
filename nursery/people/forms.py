"""The forms about accounts."""

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.password_validation import password_validators_help_texts

from nursery.people.roles import Role

USERNAME = get_user_model()._meta.get_field("username")


class HelperForm(forms.Form):
    """Whom to let in, and as what."""

    name = forms.CharField(
        label="Their name, to log in with",
        max_length=USERNAME.max_length,
        validators=USERNAME.validators,
        help_text="Letters, digits and @ . + - _, without spaces.",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off"}),
    )
    role = forms.ChoiceField(
        label="What they may do",
        choices=[(role.value, f"{role.capitalize()}: {role.words}") for role in reversed(Role)],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what they may do."},
    )

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))


class JoinForm(SetPasswordForm):
    """The password a person chooses, twice."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        first, again = self.fields["new_password1"], self.fields["new_password2"]
        first.label, again.label = "Password", "The same again"
        first.help_text = " ".join(password_validators_help_texts())
        again.help_text = ""

    def refuse(self, error) -> None:
        """Show a LedgerError above the form."""
        self.add_error(None, str(error))
