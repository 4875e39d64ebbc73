"""How long in one pot is long."""

from django import forms

from sales.queries.long_in_pot import MONTHS

LONGEST = 240


class LongInPotForm(forms.Form):
    """From how many months on a lot is shown."""

    least = forms.IntegerField(
        label="Months in the same pot",
        required=False,
        min_value=1,
        max_value=LONGEST,
        help_text=f"{MONTHS} where nothing is said: two growing seasons, by common practice.",
    )

    @property
    def months(self) -> int:
        """Return the months asked for, or the usual ones."""
        return (self.is_valid() and self.cleaned_data["least"]) or MONTHS
