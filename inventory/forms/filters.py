"""Ways to narrow a list."""

import django_filters as filters
from django.db.models import QuerySet

from inventory.models import Batch, Container, ExpectedLoss, Lot, Operation, Place, Plant
from inventory.queries.listed import in_stage
from inventory.queries.search import name_matches
from nursery.forms import DateInput

Stage = ExpectedLoss.Stage
STAGES = (
    (Stage.ROOTING, "Rooting"),
    (Stage.LINER, "Rooted, in the tray"),
    (Stage.GROWING, "In a container for sale"),
)
KINDS = [(kind, label) for kind, label in Operation.Kind.choices if kind != Operation.Kind.UNDO]


class PlantNameFilter(filters.CharFilter):
    """Part of a plant's botanical or common name, however it is spelt."""

    def filter(self, rows: QuerySet, value: str) -> QuerySet:
        return rows.filter(name_matches(value, self.field_name)) if value else rows


class LotFilter(filters.FilterSet):
    """Lots by container, plant, place and stage; those with plants unless all are asked for."""

    container = filters.ModelChoiceFilter(
        queryset=Container.objects.filter(lots__isnull=False).distinct(), empty_label="Any"
    )
    plant = PlantNameFilter(label="Plant", field_name="plant__")
    place = filters.ModelChoiceFilter(
        field_name="balance__place",
        label="Place",
        queryset=Place.objects.all(),
        empty_label="Any",
        null_label="No place given",
    )
    stage = filters.ChoiceFilter(
        label="Stage", choices=STAGES, empty_label="Any", method="stand_in_stage"
    )
    holding = filters.ChoiceFilter(
        label="Lots",
        choices=[("all", "All, empty ones too")],
        empty_label="With plants",
        method="hold",
    )

    class Meta:
        model = Lot
        fields = ()

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        """Leave out the empty lots unless all are asked for."""
        found = super().filter_queryset(queryset)
        wants_all = self.form.cleaned_data.get("holding") == "all"
        return found if wants_all else found.filter(balance__on_hand__gt=0)

    def stand_in_stage(self, rows, _name, value):
        return in_stage(rows, value)

    def hold(self, rows, _name, _value):
        return rows


class BatchFilter(filters.FilterSet):
    """Batches by plant, by how they began, and by date."""

    plant = PlantNameFilter(label="Plant", field_name="plant__")
    kind = filters.ChoiceFilter(label="Begun as", choices=Batch.Kind.choices, empty_label="Any")
    since = filters.DateFilter(
        field_name="started_on", lookup_expr="gte", label="Since", widget=DateInput
    )

    class Meta:
        model = Batch
        fields = ()


class PlantFilter(filters.FilterSet):
    """Plants by name, and whether any stand in the nursery."""

    name = PlantNameFilter(label="Name", field_name="")
    holding = filters.ChoiceFilter(
        label="Plants",
        choices=[("some", "On hand now"), ("none", "None on hand")],
        empty_label="All",
        method="hold",
    )

    class Meta:
        model = Plant
        fields = ()

    def hold(self, rows, _name, value):
        return rows.filter(on_hand__gt=0) if value == "some" else rows.filter(on_hand=0)


class EntryFilter(filters.FilterSet):
    """Entries by what happened and by the day it happened on."""

    kind = filters.ChoiceFilter(label="What happened", choices=KINDS, empty_label="Anything")
    since = filters.DateFilter(field_name="date", lookup_expr="gte", label="From", widget=DateInput)
    until = filters.DateFilter(field_name="date", lookup_expr="lte", label="To", widget=DateInput)

    class Meta:
        model = Operation
        fields = ()
