"""What the pages about rooting look at: which batches, and what parts them."""

from django import forms
from django.db.models import Count, QuerySet

from inventory.models import Batch, Plant
from inventory.queries.listed import UNROOTED
from inventory.queries.rooting import COMMON, Group, usual_grouping
from inventory.queries.strikes import BatchStrike
from nursery.forms import DateInput

KINDS = [(kind.value, kind.label.capitalize()) for kind in UNROOTED]


class RootingForm(forms.Form):
    """The batches looked at: cuttings stuck, of all plants, since ever, unless said."""

    plant = forms.ModelChoiceField(
        queryset=Plant.objects.filter(batches__kind__in=UNROOTED).distinct(),
        required=False,
        empty_label="All plants",
    )
    kind = forms.ChoiceField(label="Begun as", choices=KINDS, required=False)
    since = forms.DateField(label="Since", required=False, widget=DateInput)

    @property
    def chosen(self) -> dict:
        return self.cleaned_data if self.is_valid() else {}

    @property
    def kind_chosen(self) -> str:
        return self.chosen.get("kind") or Batch.Kind.STICK

    @property
    def plant_chosen(self) -> Plant | None:
        return self.chosen.get("plant")

    def batches(self) -> QuerySet:
        """Return the batches that were asked for."""
        found = Batch.objects.filter(kind=self.kind_chosen)
        if self.plant_chosen:
            found = found.filter(plant=self.plant_chosen)
        since = self.chosen.get("since")
        return found.filter(started_on__gte=since) if since else found


class OnePlantForm(RootingForm):
    """The batches of one plant, the one with most batches unless said."""

    def __init__(self, data, **kwargs):
        if "plant" not in data:
            batches = Batch.objects.filter(kind=data.get("kind") or Batch.Kind.STICK)
            most = (
                batches.values("plant")
                .annotate(number=Count("pk"))
                .order_by("-number", "plant")[:1]
            )
            data = data.copy()
            if most:
                data["plant"] = most[0]["plant"]
        super().__init__(data, **kwargs)


class GroupedForm(RootingForm):
    """The batches, and what they are grouped by: plant, or of one plant what is usual."""

    by = forms.ChoiceField(
        label="Group by",
        required=False,
        choices=[(key, common.words) for key, common in COMMON.items()],
    )
    field_order = ("plant", "by", "kind", "since")

    def grouping_of(self, batches: list[BatchStrike]) -> str:
        """Return how to group them; what is usual for them stands first among the choices."""
        usual = usual_grouping(batches) if self.plant_chosen else "plant"
        choices = self.fields["by"].choices
        self.fields["by"].choices = sorted(choices, key=lambda choice: choice[0] != usual)
        return self.chosen.get("by") or usual


class CompareForm(GroupedForm):
    """Two groups that were counted; the two largest unless said."""

    one = forms.CharField(required=False, widget=forms.Select)
    other = forms.CharField(label="With", required=False, widget=forms.Select)
    field_order = ("plant", "by", "one", "other", "kind", "since")

    def pair_of(self, groups: list[Group]) -> tuple[Group, Group] | None:
        """Offer the groups, and return the two to compare; None where there are no two."""
        groups = sorted(groups, key=lambda group: -group.strike.counted)
        names = [(group.key, f"{group.name} ({group.strike.counted:,})") for group in groups]
        for name in ("one", "other"):
            self.fields[name].widget.choices = names
        if len(groups) < 2:
            return None
        by_key = {group.key: group for group in groups}
        one = by_key.get(self.data.get("one"), groups[0])
        others = [group for group in groups if group is not one]
        other = by_key.get(self.data.get("other"), others[0])
        pair = one, (others[0] if other is one else other)
        self.data = self.data.copy()
        self.data["one"], self.data["other"] = (group.key for group in pair)
        return pair
