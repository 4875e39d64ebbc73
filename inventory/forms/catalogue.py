"""Forms for plants, places, containers, stock plants and expected losses."""

from decimal import Decimal

from django import forms

from inventory.forms.fields import MoneyInputField, PlaceField, TypedFromList
from inventory.habits import Habit
from inventory.models import Container, ExpectedLoss, Nursery, Place, Plant
from inventory.names import clean_name, remarks
from inventory.queries import choices
from inventory.queries.loss_record import RecordRow
from inventory.rights import last_day_of_patent
from nursery.forms import DateInput, RequestForm

SQUARE_METRES_IN_SQUARE_FOOT = Decimal("0.09290304")  # 0.3048 m squared, exactly
STAGE_WORDS = {
    ExpectedLoss.Stage.ROOTING.value: "Cuttings that never root",
    ExpectedLoss.Stage.LINER.value: "Rooted, lost in the tray",
    ExpectedLoss.Stage.GROWING.value: "In a pot, lost before they are sold",
}
CENTIMETRES_WORDS = "In centimetres, pot to pot; an inch is 2.54 cm."


class CatalogueForm(RequestForm):
    """A form for a row that may be changed later."""

    def refuse(self, error) -> None:
        """Show a refusal at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        return {name: value for name, value in self.cleaned_data.items() if name != "request_id"}


class PlantForm(CatalogueForm):
    """A plant's name and what has to be known about it."""

    name = forms.CharField(
        label="Botanical name",
        max_length=120,
        help_text="Such as Taxus ×media 'Hicksii'. A plain x and cv. are put right by themselves.",
    )
    keep_name = forms.BooleanField(label="Keep the name as I wrote it", required=False)
    common_name = forms.CharField(label="Common name", max_length=80, required=False)
    poisonous = forms.CharField(label="Poisonous", max_length=200, required=False)
    regulated = forms.CharField(label="Regulated", max_length=200, required=False)
    propagation_right = forms.CharField(label="Propagation right", max_length=120, required=False)
    right_filed_on = forms.DateField(
        label="Its application was filed on",
        required=False,
        widget=DateInput,
        help_text="A US plant patent ends 20 years after that day (35 USC 154), not after its "
        "grant. Rights of other countries differ, and a trademark does not end with the patent.",
    )
    patent_expires = forms.DateField(
        label="The right holds until",
        required=False,
        widget=DateInput,
        help_text="That day still counts. Empty: 20 years from the filing, where that is given.",
    )
    licence = forms.CharField(
        label="Licence you hold",
        max_length=120,
        required=False,
        help_text="From whom, its number, until when.",
    )
    royalty = MoneyInputField(
        label="Royalty for each plant",
        required=False,
        max_value=10_000,
        help_text="Charged to the plants when cuttings are stuck.",
    )
    habit = forms.ChoiceField(
        label="How it grows",
        choices=[("", "as its genus mostly does"), *Habit.choices],
        required=False,
    )
    sized_by = forms.ChoiceField(
        label="Sold by", choices=Plant.SizedBy, required=False, initial=Plant.SizedBy.HEIGHT
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args, plant: Plant | None = None, **kwargs):
        if plant:
            named = [name for name in self.base_fields if hasattr(plant, name)]
            kwargs["initial"] = {name: getattr(plant, name) for name in named}
        super().__init__(*args, **kwargs)
        self.plant = plant
        self.advice = remarks(plant.name) if plant else []
        if plant and plant.royalty is not None:
            self.initial["royalty"] = f"{plant.royalty.normalize():f}"
        for name in ("poisonous", "regulated", "propagation_right", "habit", "sized_by"):
            self.fields[name].help_text = Plant._meta.get_field(name).help_text
        self.fields["name"].widget.attrs["autofocus"] = True

    def clean_sized_by(self):
        return self.cleaned_data["sized_by"] or Plant.SizedBy.HEIGHT

    def clean_name(self):
        return clean_name(self.cleaned_data["name"])

    def clean(self):
        cleaned = super().clean()
        name = cleaned.get("name", "")
        is_changed = not self.plant or name != self.plant.name
        self.advice = remarks(name)
        if self.advice and is_changed and not cleaned.get("keep_name"):
            self.add_error("name", " ".join(self.advice))
            self.add_error("keep_name", "Correct the name above, or keep it by a tick here.")
        self._end_right(cleaned)
        return cleaned

    def _end_right(self, cleaned):
        """Let a right whose filing is known end by the law's term, unless another day is given."""
        filed, ends = cleaned.get("right_filed_on"), cleaned.get("patent_expires")
        if filed and not ends and "patent_expires" not in self.errors:
            cleaned["patent_expires"] = last_day_of_patent(filed)
        elif filed and ends and ends <= filed:
            self.add_error("patent_expires", "It ends before it was filed. Check both days.")
        if (filed or ends or cleaned.get("licence")) and not cleaned.get("propagation_right"):
            self.add_error("propagation_right", "Say which right: a patent number, or whose.")

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        return {name: value for name, value in super().what.items() if name != "keep_name"}

    def shown_fields(self):
        """Return the fields of the page; the tick is there when there is something to keep."""
        tick = self["keep_name"]
        needs_tick = tick.errors or tick.data
        return [field for field in self.visible_fields() if needs_tick or field.name != tick.name]


class PlaceForm(CatalogueForm):
    """A place: what it is called, what it is part of, how large it is."""

    name = forms.CharField(max_length=60, help_text="Such as Hoop house west, or Bench 3.")
    parent = PlaceField(label="Part of", required=False, empty_label="nothing larger")
    area = forms.DecimalField(
        label="Area in square metres", required=False, min_value=0, max_digits=9, decimal_places=2
    )
    heated = forms.BooleanField(label="Heated", required=False)

    def __init__(self, *args, place: Place | None = None, **kwargs):
        if place:
            initial = {name: getattr(place, name) for name in ("name", "parent", "heated")}
            kwargs["initial"] = initial
        super().__init__(*args, **kwargs)
        self.in_feet = Nursery.current().units == Nursery.Units.US
        self.fields["name"].widget.attrs["autofocus"] = True
        self.fields["area"].widget.attrs["inputmode"] = "decimal"
        if self.in_feet:
            self.fields["area"].label = "Area in square feet"
        if place:
            self.fields["parent"].queryset = Place.objects.exclude(pk=place.pk)
            self.fields["area"].initial = self._shown(place.area_m2)

    @property
    def what(self) -> dict:
        """Return what the verb needs to know, the area in square metres."""
        data = self.cleaned_data
        area = data["area"] or None
        if area and self.in_feet:
            area = (area * SQUARE_METRES_IN_SQUARE_FOOT).quantize(Decimal("0.01"))
        named = ("name", "parent", "heated")
        return {**{name: data[name] for name in named}, "area_m2": area}

    def _shown(self, area):
        if area is None or not self.in_feet:
            return area
        return (area / SQUARE_METRES_IN_SQUARE_FOOT).quantize(Decimal(1))


class ContainerForm(CatalogueForm):
    """What is the nursery's own about a container."""

    name = forms.CharField(label="What it is called here", max_length=60)
    footprint_cm = forms.IntegerField(
        label="Room one takes on the bench",
        required=False,
        min_value=1,
        max_value=500,
        help_text=CENTIMETRES_WORDS,
    )
    spacing_cm = forms.IntegerField(
        label="Spacing, from centre to centre",
        required=False,
        min_value=1,
        max_value=1000,
        help_text="In centimetres. Empty: they stand pot to pot.",
    )
    spacing_pattern = forms.ChoiceField(
        label="Set",
        required=False,
        choices=Container._meta.get_field("spacing_pattern").choices,
        help_text="On the diagonal, rows stand closer: about 15 percent more pots fit.",
    )
    in_use = forms.BooleanField(label="In use here", required=False)

    def __init__(self, *args, container: Container, **kwargs):
        names = ("name", "footprint_cm", "spacing_cm", "spacing_pattern", "in_use")
        kwargs["initial"] = {name: getattr(container, name) for name in names}
        super().__init__(*args, **kwargs)
        for name in ("footprint_cm", "spacing_cm"):
            self.fields[name].widget.attrs["inputmode"] = "numeric"

    def clean(self):
        cleaned = super().clean()
        width, spacing = cleaned.get("footprint_cm"), cleaned.get("spacing_cm")
        if width and spacing and spacing < width:
            self.add_error(
                "spacing_cm",
                f"Pots {width} cm wide cannot stand {spacing} cm apart. "
                f"Enter {width} or more, or leave it empty for pot to pot.",
            )
        cleaned["spacing_pattern"] = cleaned.get("spacing_pattern") or "square"
        return cleaned


class StockPlantForm(CatalogueForm):
    """A parent, or a row of them, that cuttings are taken from."""

    plant = forms.CharField(max_length=120)
    code = forms.CharField(
        max_length=24, help_text="What stands on its label, such as Row 4 or TXH mother 2."
    )
    place = PlaceField(label="Place", required=False)
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["plant"].widget = TypedFromList(choices.plant_names())
        self.fields["plant"].widget.attrs |= {"autofocus": True, "maxlength": 120}


def percent_field(label: str, **kwargs) -> forms.DecimalField:
    """Return a field for a share of plants in percent."""
    widget = forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"})
    return forms.DecimalField(
        label=label,
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        widget=widget,
        **kwargs,
    )


class ExpectedLossesForm(CatalogueForm):
    """The losses expected of all plants, stage by stage."""

    def __init__(self, *args, percents: dict[str, Decimal], **kwargs):
        super().__init__(*args, **kwargs)
        for stage, words in STAGE_WORDS.items():
            field = percent_field(f"{words}, percent", required=False)
            field.initial = percents.get(stage)
            field.help_text = "Empty: every loss counts as expected."
            self.fields[stage] = field


class OwnExpectedLossForm(CatalogueForm):
    """The loss expected of one plant in one stage."""

    plant = forms.ModelChoiceField(queryset=Plant.objects.all(), empty_label=None)
    stage = forms.ChoiceField(label="Lost when", choices=list(STAGE_WORDS.items()))
    percent = percent_field(
        "Percent lost", required=False, help_text="Empty takes the plant's own number away."
    )


class TakenRecordForm(CatalogueForm):
    """One row of the nursery's own record, taken for what is expected from now on."""

    take = forms.CharField(
        widget=forms.HiddenInput, error_messages={"required": "Choose which one to use."}
    )

    def __init__(self, *args, rows: list[RecordRow], **kwargs):
        super().__init__(*args, **kwargs)
        self.rows = {row.key: row for row in rows if row.record.lots}

    def clean_take(self) -> RecordRow:
        row = self.rows.get(self.cleaned_data["take"])
        if row is None:
            raise forms.ValidationError(
                "There is no record of that stage yet. Enter a number of your own."
            )
        return row

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        row = self.cleaned_data["take"]
        return {"stage": row.stage, "percent": row.percent, "plant": row.plant}


class BeforeForm(forms.Form):
    """The number that a stage had before, as the address of its Undo says it."""

    stage = forms.ChoiceField(choices=list(STAGE_WORDS.items()))
    percent = percent_field("Percent lost", required=False)
