"""What is asked of the demand: of which container, how far ahead, at what risk."""

from django import forms

from inventory.models import Container

MOST_AHEAD = 5


class DemandForm(forms.Form):
    """Narrow the list, and say what having too many would cost."""

    container = forms.ModelChoiceField(
        Container.objects.filter(kind="sale", in_use=True),
        to_field_name="code",
        required=False,
        empty_label="all containers",
    )
    ahead = forms.IntegerField(
        label="Years from sticking to sale",
        required=False,
        min_value=1,
        max_value=MOST_AHEAD,
        help_text="Two where nothing is said.",
    )
    left_over = forms.IntegerField(
        label="One left over still brings, % of its price",
        required=False,
        min_value=0,
        max_value=100,
        help_text="The more it still brings, the more there may be. Nothing where nothing is said.",
    )

    def asked(self) -> dict:
        """Return what `demand` takes; what cannot be understood is left out."""
        self.full_clean()
        told = self.cleaned_data
        found = {"container": told["container"].code} if told.get("container") else {}
        return found | {
            name: told[name] for name in ("ahead", "left_over") if told.get(name) is not None
        }
