"""Forms for supplies: what they are, what was bought, what a count found."""

from decimal import Decimal

from django import forms

from inventory.costing.categories import PAID
from inventory.forms.catalogue import CatalogueForm
from inventory.forms.fields import MoneyInputField
from inventory.forms.supply_uses import LARGEST, QuantityInputField
from inventory.models import Supply, SupplyEntry
from inventory.queries.wording import CATEGORY_WORDS
from nursery.forms import OperationForm

MOST_SETTLING = 90


class SupplyForm(CatalogueForm):
    """A supply: its unit, its pack, when to order again."""

    name = forms.CharField(max_length=80, help_text="Such as Pots #1, or Bark medium.")
    unit = forms.ChoiceField(label="Counted in", choices=Supply.Unit.choices)
    category = forms.ChoiceField(
        label="Its cost counts as",
        choices=[(category, CATEGORY_WORDS[category].capitalize()) for category in PAID],
        initial="containers",
    )
    pack_size = QuantityInputField(
        label="Units in one pack",
        required=False,
        help_text="Such as 100 pots in a sleeve, or 56 litres in a bag.",
    )
    reorder_at = QuantityInputField(label="Order again at", required=False)
    settling_percent = forms.DecimalField(
        label="Settles by percent",
        required=False,
        min_value=0,
        max_value=MOST_SETTLING,
        decimal_places=2,
        help_text="For medium: how much of its loose volume it loses in the pot. By 20 percent, "
        "a pot of 2.8 litres takes 3.5 loose.",
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args, supply: Supply | None = None, **kwargs):
        if supply:
            kwargs["initial"] = {
                name: trimmed(getattr(supply, name))
                for name in self.base_fields
                if name != "request_id"
            }
        super().__init__(*args, **kwargs)
        self.fields["name"].widget.attrs["autofocus"] = True

    def clean_pack_size(self):
        return self.cleaned_data["pack_size"] or None

    def clean_settling_percent(self):
        return self.cleaned_data["settling_percent"] or Decimal(0)


class SupplyEntryForm(OperationForm):
    """Something that happened to one supply on a day."""

    def __init__(self, *args, supply: Supply, **kwargs):
        super().__init__(*args, **kwargs)
        self.supply = supply

    def folded_fields(self):
        """Return (what the fold says, its fields, whether it stands open)."""
        return [("Note", [self["note"]], bool(self["note"].data))]


class BuyForm(SupplyEntryForm):
    """How much was bought, in units or in packs, for how much in all."""

    packs = QuantityInputField(label="How many packs?", required=False)
    pack_size = QuantityInputField(label="Units in one pack", required=False)
    quantity = QuantityInputField(label="How many?", required=False)
    amount = MoneyInputField(label="For how much in all?")
    supplier = forms.CharField(label="From whom", required=False, max_length=80)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        unit = self.supply.get_unit_display()
        self.fields["quantity"].label = f"Or how many {unit}?"
        self.fields["pack_size"].label = f"{unit.capitalize()} in one pack"
        self.fields["pack_size"].initial = trimmed(self.supply.pack_size)
        self.fields["amount"].help_text = "What was paid, freight and all, that the plants bear."
        last = self.supply.entries.filter(kind=SupplyEntry.Kind.BOUGHT).order_by("-pk").first()
        self.fields["supplier"].initial = last.supplier if last else ""
        first = "packs" if self.supply.pack_size else "quantity"
        self.fields[first].widget.attrs["autofocus"] = True

    def clean(self):
        cleaned = super().clean()
        if self.errors:
            return cleaned
        packs, size = cleaned.get("packs"), cleaned.get("pack_size")
        quantity = cleaned.get("quantity")
        if packs and quantity:
            self.add_error("quantity", "Write packs, or the number itself, not both.")
        elif packs and not size:
            self.add_error("pack_size", "Say how many one pack holds.")
        elif not packs and not quantity:
            self.add_error("packs", "Write how many packs, or how many in all.")
        elif packs and packs * size > LARGEST:
            self.add_error("packs", "That is more than the ledger can hold. Check the numbers.")
        return cleaned

    @property
    def bought(self) -> Decimal:
        """Return the quantity in the supply's unit."""
        data = self.cleaned_data
        return data["packs"] * data["pack_size"] if data["packs"] else data["quantity"]

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", "amount", "on", "supplier", "note")
        bought = self.bought.quantize(Decimal("0.000001"))
        data = {name: self.cleaned_data[name] for name in named}
        return {"supply": self.supply, "quantity": bought, **data}

    def main_fields(self):
        """Return the fields that are always seen."""
        names = ["packs", "pack_size", "quantity", "amount", "supplier", "on"]
        if not self.supply.pack_size:
            names = ["quantity", "amount", "supplier", "on", "packs", "pack_size"]
        return [self[name] for name in names]


class CountSupplyForm(SupplyEntryForm):
    """How much of a supply is really there."""

    found = QuantityInputField(label="How much is there?")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["found"].label = f"How many {self.supply.get_unit_display()} are there?"
        self.fields["found"].widget.attrs["autofocus"] = True

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", "found", "on", "note")
        return {"supply": self.supply, **{name: self.cleaned_data[name] for name in named}}

    def main_fields(self):
        """Return the fields that are always seen."""
        return [self["found"], self["on"]]


def trimmed(value):
    """Return a number without the zeros that its millionths bring along."""
    if not isinstance(value, Decimal):
        return value
    return Decimal(f"{value:f}".rstrip("0").rstrip(".") or "0") if "." in f"{value:f}" else value
