"""The form for the grade of a lot."""

from django import forms

from inventory.forms.fields import TypedFromList
from inventory.models import Lot
from inventory.queries.lots import grades_in_use


class GradeForm(forms.Form):
    """One grade, or none."""

    grade = forms.CharField(
        required=False,
        max_length=Lot._meta.get_field("grade").max_length,
        widget=TypedFromList,
        help_text="As you call it: A, B, second choice. A grade can have a price of its own. "
        "Leave it empty for no grade.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["grade"].widget.offers = grades_in_use()
