"""Reading what stands on the nursery's paper."""

from django import forms

from inventory.models import Nursery
from inventory.models.letterhead import LANGUAGES, Paper
from nursery.address import EUROPEAN_UNION, countries, country_name
from nursery.forms import RequestForm
from sales.operations.letterhead import FACTS, LOGO_BYTES


def country_field(**more) -> forms.ChoiceField:
    """Return a field that asks for a country of ISO 3166-1."""
    return forms.ChoiceField(required=False, choices=[("", "not said"), *countries()], **more)


def _text(label="", longest=60, **more):
    return forms.CharField(label=label, required=False, max_length=longest, **more)


def _lines(rows=3, **more):
    return forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": rows}), **more)


def _prefix(label):
    return forms.CharField(label=label, required=False, max_length=7)


class LetterheadForm(RequestForm):
    """Address, numbers the law asks for, how to pay, logo, paper, language, series."""

    street = _text("Street and number", 120)
    postcode = _text("Postcode", 16)
    city = _text("Town", 80)
    region = _text("State or region")
    country = country_field()
    address = _lines(
        label="Or the whole address in your own words",
        help_text="Printed only where street and town above are empty.",
    )
    email = forms.EmailField(label="E-mail", required=False)
    phone = _text("Phone", 40, widget=forms.TextInput(attrs={"inputmode": "tel"}))
    web = _text("Web address", 120)
    logo = forms.FileField(
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg"}),
        help_text="A PNG or JPEG up to 1 MB. Empty leaves it as it is.",
    )
    no_logo = forms.BooleanField(label="Print no logo", required=False)
    tax_id = _text("Tax ID", 40, help_text="Which one belongs on an invoice, if any, your tax "
                   "authority says.")  # fmt: skip
    licence_name = _text("What your licence is called", help_text="Such as Nursery licence.")
    licence_number = _text("Its number")
    inspection_certificate = _text("Certificate of inspection, number")
    iban = _text("IBAN", 42)
    bic = _text("BIC", 11)
    bank = _lines(label="Or the account in your own words")
    terms = _lines(4, label="Your terms", help_text="Printed on invoices and receipts.")
    paper = forms.ChoiceField(
        required=False, choices=[("", "the one that goes with your units"), *Paper.choices]
    )
    language = forms.ChoiceField(
        choices=LANGUAGES, help_text="A buyer's own language, where you noted one, comes first."
    )
    invoice_prefix = _prefix("Invoices begin with")
    receipt_prefix = _prefix("Receipts begin with")
    credit_prefix = _prefix("Credit notes begin with")
    passport_country = forms.ChoiceField(
        label="Registered in", required=False,
        choices=[("", "not registered"), *((code, country_name(code)) for code in EUROPEAN_UNION)],
    )  # fmt: skip
    passport_registration = _text("Registration number", 40)

    SECTIONS = (
        (
            "Where you are",
            (
                *("street", "postcode", "city", "region", "country", "address"),
                *("email", "phone", "web"),
            ),
            "",
        ),
        ("Logo, paper and language", ("logo", "no_logo", "paper", "language"), ""),
        (
            "Tax and licences",
            ("tax_id", "licence_name", "licence_number", "inspection_certificate"),
            "",
        ),
        ("How you are paid", ("iban", "bic", "bank", "terms"), ""),
        (
            "Numbers",
            ("invoice_prefix", "receipt_prefix", "credit_prefix"),
            "Each series counts from 1 in each year, without gaps, as INV-2026-0001. Series with "
            "the same letters count together. Numbers given out stay as they are.",
        ),
        (
            "EU plant passports",
            ("passport_country", "passport_registration"),
            "Delivery notes then bear a passport for each lot. The passport itself belongs on "
            "each trade unit, and which plants need one, also for a protected zone, your plant "
            "health authority says. Country of origin is yours: plants you only trade keep the "
            "passport they came with, or get one that names their origin.",
        ),
    )

    def __init__(self, *args, nursery: Nursery, **kwargs):
        initial = {name: getattr(nursery, name) for name in FACTS}
        super().__init__(*args, initial=initial, **kwargs)

    @property
    def sections(self):
        """Yield (heading, fields, what to know) of each part of the page."""
        for heading, names, remark in self.SECTIONS:
            yield heading, [self[name] for name in names], remark

    def clean_logo(self):
        file = self.cleaned_data["logo"]
        if file and file.size > LOGO_BYTES:
            raise forms.ValidationError("The picture is larger than 1 MB. Save it smaller.")
        return file.read() if file else None

    def facts(self) -> dict:
        """Return what `change_letterhead` takes."""
        typed = self.cleaned_data
        picture = b"" if typed["no_logo"] and not typed["logo"] else typed["logo"]
        return {name: typed[name] for name in FACTS} | {"logo": picture}

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
