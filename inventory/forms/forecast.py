"""Which plants and which container a look ahead is about."""

from django import forms

from inventory.models import Container, Plant


class AheadForm(forms.Form):
    """A plant, a container, or all."""

    plant = forms.ModelChoiceField(
        queryset=Plant.objects.all(), required=False, empty_label="all plants"
    )
    container = forms.ModelChoiceField(
        label="In",
        queryset=Container.objects.filter(kind=Container.Kind.SALE, in_use=True),
        required=False,
        empty_label="all containers",
    )

    @property
    def asked(self) -> tuple[Plant | None, Container | None]:
        """Return what was asked for, nothing where it cannot be read."""
        if not self.is_valid():
            return None, None
        return self.cleaned_data["plant"], self.cleaned_data["container"]
