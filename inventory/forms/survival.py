"""What the page about survival looks at: which plants, from when on, and what parts them."""

from django import forms

from inventory.models import Container, Place, Plant
from inventory.queries.survival_rows import Asked, By, Since

PARTED = (
    (By.PLANT, "Plant"),
    (By.CONTAINER, "Container"),
    (By.PLACE, "Place as winter began"),
    (By.WINTER, "Winter"),
    (By.NTH, "First winter, second …"),
)


class SurvivalForm(forms.Form):
    """All plants potted up, by kind, unless said; of one plant by its winters."""

    plant = forms.ModelChoiceField(
        queryset=Plant.objects.filter(lots__isnull=False).distinct(),
        required=False,
        empty_label="All plants",
    )
    by = forms.ChoiceField(label="Part them by", required=False, choices=PARTED)
    since = forms.ChoiceField(
        label="From when on",
        required=False,
        choices=[(Since.POTTED, "Potted up"), (Since.BEGUN, "Stuck, sown or bought")],
    )
    container = forms.ModelChoiceField(
        queryset=Container.objects.filter(lots__isnull=False).distinct(),
        required=False,
        empty_label="Any",
    )
    place = forms.ModelChoiceField(queryset=Place.objects.all(), required=False, empty_label="Any")

    def __init__(self, data, **kwargs):
        super().__init__(data, **kwargs)
        self.usual = By.NTH if data.get("plant") else By.PLANT
        self.fields["by"].choices = sorted(PARTED, key=lambda choice: choice[0] != self.usual)

    @property
    def asked(self) -> Asked:
        """Return which plants are asked for; all, where the form cannot be read."""
        found = self.cleaned_data if self.is_valid() else {}
        since = Since(found.get("since") or Since.POTTED)
        return Asked(since, found.get("plant"), found.get("container"), found.get("place"))

    @property
    def by_chosen(self) -> By:
        """Return what parts them."""
        return By((self.is_valid() and self.cleaned_data.get("by")) or self.usual)
