"""Forms that ask who is there once more, before what lets them in is changed."""

from django import forms
from django.contrib.auth import authenticate
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.password_validation import password_validators_help_texts

from nursery.people.door import CodeForm
from nursery.people.second_step import refusal_of


class WithPassword(forms.Form):
    """A form that takes the password of whoever is logged in, tried like one at the door.

    So a stranger at a phone that was left lying meets the same lock-out.
    """

    password = forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args, request, **kwargs):
        self.request = request
        # A browser that keeps passwords asks whose it is.
        self.account_name = request.user.get_username()
        super().__init__(*args, **kwargs)

    def clean_password(self):
        """Refuse another password than theirs."""
        given, account = self.cleaned_data["password"], self.request.user
        if authenticate(self.request, username=account.get_username(), password=given) is None:
            raise forms.ValidationError("This is not your password.")
        return given


class SetUpForm(WithPassword, CodeForm):
    """The password, and the first code of a phone."""

    field_order = ("code", "password")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # There are no recovery codes yet.
        self.fields["code"].help_text = "Six digits from the app on your phone."


class ProveForm(WithPassword, CodeForm):
    """The password and a code, to change or switch off the second step."""

    field_order = ("code", "password")

    def clean(self):
        """Try the code only where the password is right: a try may use it up."""
        found = super().clean()
        if "password" in found and "code" in found:
            refusal = refusal_of(account=self.request.user, code=found["code"])
            if refusal:
                self.add_error("code", refusal)
        return found


class NewPasswordForm(WithPassword, SetPasswordForm):
    """The old password, and a new one twice."""

    field_order = ("password", "new_password1", "new_password2")

    def __init__(self, *args, request, **kwargs):
        super().__init__(request.user, *args, request=request, **kwargs)
        self.fields["password"].label = "Your password until now"
        self.fields["new_password1"].label = "The new one"
        self.fields["new_password1"].help_text = " ".join(password_validators_help_texts())
        self.fields["new_password2"].label = "The new one again"
        self.fields["new_password2"].help_text = ""
