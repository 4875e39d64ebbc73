"""The form for how a batch that stands is raised and was treated."""

from django import forms

from inventory.forms.catalogue import CatalogueForm
from inventory.forms.raising import NONE, RaisingFields
from inventory.models import Batch, Supply
from inventory.queries.methods import WOODS


class BatchForm(RaisingFields, CatalogueForm):
    """The method, the wood, the hormone, the medium, the heat, who took the cuttings."""

    treatment = forms.CharField(
        label="Treatment in your words",
        required=False,
        max_length=120,
        help_text="Empty: written from the fields above.",
    )

    def __init__(self, *args, batch: Batch, **kwargs):
        initial = self.raising_of(batch)
        words = batch.treatment
        super().__init__(*args, initial={**initial, "treatment": words}, **kwargs)
        self.batch = batch
        supplies = list(Supply.objects.all())
        self.prepare_raising(batch.kind, usual="no method", supplies=supplies)
        # What is empty here means none: a batch that stands has no usual method to wait for.
        self.fields["method"].choices = [pair for pair in self.fields["method"].choices if pair[0]]
        if batch.kind not in WOODS:
            self.fields["method"].choices = [(NONE, "no method")]

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        method = self.method_for(self.batch.plant, self.batch.kind, self.batch.started_on)
        typed = self.treatment_as_typed(method)
        words = self.cleaned_data["treatment"]
        # Words that only repeat what the fields said are written anew.
        was = self.treatment_of(self.batch).in_words
        return {"treatment": typed, "words": "" if words == was else words}
