"""The form for the day a lot is ready."""

from django import forms

from nursery.forms import DateInput


class ReadyForm(forms.Form):
    """One day, or none."""

    ready_on = forms.DateField(
        label="Ready to sell from",
        required=False,
        widget=DateInput,
        help_text="Leave it empty where they are ready as soon as they stand in a container "
        "for sale. Until that day they can be ordered ahead.",
    )
