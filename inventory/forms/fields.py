"""Form fields for plants, numbers, money and lots, as a wet thumb needs them."""

from django import forms
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join

from inventory.costing.categories import CATEGORIES
from inventory.models import Container, LossCause, Place
from inventory.operations.lose import ABNORMAL, BY_POLICY, NORMAL
from inventory.queries.wording import CATEGORY_WORDS

TREATMENT_WORDS = (
    (BY_POLICY, "As the stage expects"),
    (NORMAL, "All was to be expected"),
    (ABNORMAL, "None was to be expected"),
)


class TypedFromList(forms.TextInput):
    """A text field that offers a list while typing; any other text may be typed."""

    def __init__(self, offers=(), **kwargs):
        super().__init__(**kwargs)
        self.offers = offers

    def render(self, name, value, attrs=None, renderer=None):
        """Write the field and its list."""
        listed = f"{attrs['id']}_list" if attrs and attrs.get("id") else f"{name}_list"
        field = super().render(
            name, value, {**(attrs or {}), "list": listed, "autocomplete": "off"}, renderer
        )
        options = format_html_join(
            "", '<option value="{}">{}</option>', (self._pair(offer) for offer in self.offers)
        )
        return format_html('{}<datalist id="{}">{}</datalist>', field, listed, options)

    def _pair(self, offer):
        return (offer, "") if isinstance(offer, str) else offer


class LightSelect(forms.Select):
    """A select written without a template, for a sheet that has a hundred of them."""

    def render(self, name, value, attrs=None, renderer=None):
        """Write the select and its options."""
        chosen = "" if value is None else str(value)
        options = format_html_join(
            "",
            "<option{}>{}</option>",
            (
                (flatatt({"value": str(key), "selected": str(key) == chosen}), words)
                for key, words in self.choices
            ),
        )
        named = flatatt({**self.attrs, **(attrs or {}), "name": name})
        return format_html("<select{}>{}</select>", named, options)


class PlantsField(forms.IntegerField):
    """A number of plants."""

    def __init__(self, *, autofocus=False, least=1, **kwargs):
        attrs = {"inputmode": "numeric", "step": 1, "autocomplete": "off"}
        if autofocus:
            attrs["autofocus"] = True
        kwargs.setdefault("error_messages", {}).setdefault(
            "invalid", "Write a whole number of plants, such as 40."
        )
        widget = forms.NumberInput(attrs=attrs)
        super().__init__(min_value=least, max_value=9_999_999, widget=widget, **kwargs)


class MoneyInputField(forms.DecimalField):
    """An amount of money, not below nothing."""

    def __init__(self, **kwargs):
        widget = forms.NumberInput(
            attrs={"inputmode": "decimal", "step": "any", "autocomplete": "off"}
        )
        super().__init__(min_value=0, max_digits=15, decimal_places=6, widget=widget, **kwargs)


class PlaceField(forms.ModelChoiceField):
    """A place of the nursery."""

    def __init__(self, **kwargs):
        kwargs.setdefault("empty_label", "not said")
        super().__init__(queryset=Place.objects.all(), **kwargs)


class ContainerField(forms.ModelChoiceField):
    """A container that is in use."""

    def __init__(self, **kwargs):
        super().__init__(queryset=Container.objects.filter(in_use=True), **kwargs)

    def label_from_instance(self, container):
        """Say the code as it is spoken, and what it is."""
        return f"{container.code}, {container.name}"


class CauseField(forms.ModelChoiceField):
    """Why plants were lost."""

    def __init__(self, **kwargs):
        super().__init__(queryset=LossCause.objects.all(), **kwargs)


class CostFields(forms.Form):
    """A cost by category, folded away, because most days nothing is paid."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for category in CATEGORIES:
            self.fields[f"cost_{category}"] = MoneyInputField(
                label=CATEGORY_WORDS[category].capitalize(), required=False
            )

    @property
    def costs(self) -> dict:
        """Return the amounts that were entered, by category."""
        entered = {c: self.cleaned_data.get(f"cost_{c}") for c in CATEGORIES}
        return {category: amount for category, amount in entered.items() if amount}

    def cost_fields(self):
        """Return the fields of the fold, as the page shows them."""
        return [self[f"cost_{category}"] for category in CATEGORIES]


class ReasonToNote:
    """A form whose reason is kept in the note of the entry."""

    @property
    def note_with_reason(self) -> str:
        """Return the note, with the reason where there is one."""
        given = (self.cleaned_data.get("note", ""), self.cleaned_data.get("reason", ""))
        return "\n".join(text for text in given if text)


class TreatmentFields(ReasonToNote, forms.Form):
    """Overrule what counts as expected, with a reason."""

    treatment = forms.ChoiceField(
        label="How it counts", choices=TREATMENT_WORDS, required=False, initial=BY_POLICY
    )
    reason = forms.CharField(label="Why it counts so", required=False, max_length=200)

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("treatment") and not cleaned.get("reason"):
            self.add_error("reason", "You count it otherwise than the stage expects: say why.")
        return cleaned

    def treatment_fields(self):
        """Return the fields of the fold, as the page shows them."""
        return [self["treatment"], self["reason"]]
