"""All tables as they stood after the migrations it replaces, for a new database.

A database that has some of those goes on with them, one by one.
"""

import uuid

import django.core.validators
import django.db.models.deletion
import django.db.models.functions.text
import django.db.models.lookups
from django.conf import settings
from django.db import migrations, models

import nursery.fields
from nursery.append_only import only_grows
from nursery.one_level import one_level


class Migration(migrations.Migration):
    replaces = [
        ("sales", "0001_first"),
        ("sales", "0002_append_only"),
        ("sales", "0003_names_as_issued"),
        ("sales", "0004_account_names"),
        ("sales", "0005_facts_as_issued"),
        ("sales", "0006_money_on_account"),
        ("sales", "0007_price_lists"),
        ("sales", "0008_holds"),
        ("sales", "0009_taxes"),
        ("sales", "0010_taxes_by_row"),
        ("sales", "0011_contacts"),
        ("sales", "0012_certificates"),
        ("sales", "0013_certificates_by_row"),
        ("sales", "0014_same_buyer"),
        ("sales", "0015_hold_deposits"),
        ("sales", "0016_labels_and_shared_papers"),
        ("sales", "0017_stand_days"),
        ("sales", "0018_certificate_files"),
        ("sales", "0019_found_at_sale"),
        ("sales", "0020_public_list"),
        ("sales", "0021_plant_requests"),
        ("sales", "0022_hold_asked"),
        ("sales", "0023_requested_size"),
    ]

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
        ("inventory", "0020_spraying"),
    ]

    operations = [
        migrations.CreateModel(
            name="AccountName",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=24, unique=True)),
                ("code", models.CharField(max_length=16)),
                ("name", models.CharField(max_length=60)),
            ],
            options={
                "ordering": ["code", "key"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("code", ""), _negated=True),
                            models.Q(("name", ""), _negated=True),
                        ),
                        name="sales_accountname_has_code_and_name",
                        violation_error_message="An account has a code and a name.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ArticleNumber",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="article_numbers",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="article_numbers",
                        to="inventory.container",
                    ),
                ),
                ("gtin", models.CharField(blank=True, max_length=14)),
                ("valid_from", models.DateField()),
                ("request_id", models.UUIDField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=django.db.models.lookups.In(
                            django.db.models.functions.text.Length("gtin"), (0, 8, 12, 13, 14)
                        ),
                        name="sales_articlenumber_has_the_digits_of_a_gtin",
                    ),
                    models.UniqueConstraint(
                        fields=("request_id", "plant", "container"),
                        name="sales_articlenumber_is_set_once_by_a_request",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Buyer",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("address", models.TextField(blank=True)),
                ("street", models.CharField(blank=True, max_length=120)),
                ("postcode", models.CharField(blank=True, max_length=16)),
                ("city", models.CharField(blank=True, max_length=80)),
                ("region", models.CharField(blank=True, max_length=60)),
                ("country", models.CharField(blank=True, max_length=2)),
                ("name", models.CharField(max_length=80, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("landscaper", "landscaper"),
                            ("garden", "gardener"),
                            ("trade", "trade"),
                            ("other", "other"),
                        ],
                        default="landscaper",
                        max_length=10,
                    ),
                ),
                (
                    "price_list",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("stand", "stand"),
                            ("landscaper", "landscaper"),
                            ("wholesale", "wholesale"),
                        ],
                        max_length=10,
                    ),
                ),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("tax_id", models.CharField(blank=True, max_length=40)),
                (
                    "language",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("en", "English"),
                            ("de", "Deutsch"),
                            ("fr", "français"),
                            ("es", "español"),
                        ],
                        max_length=2,
                    ),
                ),
                (
                    "terms_days",
                    models.PositiveSmallIntegerField(
                        default=30,
                        help_text="Days from the invoice until it is due.",
                        verbose_name="days to pay",
                    ),
                ),
                (
                    "discount_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=0,
                        max_digits=5,
                        verbose_name="discount for paying early, percent",
                    ),
                ),
                (
                    "discount_days",
                    models.PositiveSmallIntegerField(
                        default=0, verbose_name="days for the discount"
                    ),
                ),
                (
                    "tax_exempt",
                    models.BooleanField(
                        default=False,
                        help_text="Only with a certificate in date. Check with your tax authority.",
                        verbose_name="buys without tax",
                    ),
                ),
                ("note", models.TextField(blank=True)),
                (
                    "same_as",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="doubles",
                        to="sales.buyer",
                    ),
                ),
                (
                    "merge_request_id",
                    models.UUIDField(blank=True, editable=False, null=True, unique=True),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("country", ""),
                            django.db.models.lookups.Exact(
                                django.db.models.functions.text.Length("country"), 2
                            ),
                            _connector="OR",
                        ),
                        name="sales_buyer_country_has_two_letters",
                        violation_error_message="A country is a code of two letters, such as US or DE.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("discount_percent__gte", 0), ("discount_percent__lt", 100)
                        ),
                        name="sales_buyer_discount_is_a_percentage",
                        violation_error_message="A discount is 0 or more, and less than 100 percent.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("price_list", ""),
                            ("price_list__in", ["stand", "landscaper", "wholesale"]),
                            _connector="OR",
                        ),
                        name="sales_buyer_price_list_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("same_as__isnull", True),
                            models.Q(("same_as", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_buyer_is_same_as_another",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BuyerLink",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "buyer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links",
                        to="sales.buyer",
                    ),
                ),
                ("token", models.CharField(max_length=64, unique=True)),
                ("made_on", models.DateField()),
                ("last_on", models.DateField()),
                ("is_withdrawn", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("is_withdrawn", False)),
                        fields=("buyer",),
                        name="sales_buyerlink_one_link_stands",
                    ),
                    models.CheckConstraint(
                        condition=django.db.models.lookups.GreaterThanOrEqual(
                            django.db.models.functions.text.Length("token"), 32
                        ),
                        name="sales_buyerlink_token_is_long",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("last_on__gte", models.F("made_on"))),
                        name="sales_buyerlink_ends_no_earlier_than_it_begins",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Certificate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "buyer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="certificates",
                        to="sales.buyer",
                    ),
                ),
                ("number", models.CharField(max_length=80)),
                ("issuer", models.CharField(blank=True, max_length=50)),
                ("valid_from", models.DateField()),
                ("valid_until", models.DateField(blank=True, null=True)),
                ("is_withdrawn", models.BooleanField(default=False)),
                ("request_id", models.UUIDField(unique=True)),
            ],
            options={
                "ordering": ["-valid_from", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("number", ""), _negated=True),
                        name="sales_certificate_has_a_number",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("valid_until__isnull", True),
                            ("valid_until__gte", models.F("valid_from")),
                            _connector="OR",
                        ),
                        name="sales_certificate_ends_no_earlier_than_it_begins",
                        violation_error_message="A certificate ends on its first day or later.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CertificateFile",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "certificate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="files",
                        to="sales.certificate",
                    ),
                ),
                ("file", models.CharField(max_length=80)),
                ("is_withdrawn", models.BooleanField(default=False)),
                ("request_id", models.UUIDField(unique=True)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=django.db.models.lookups.In(
                            django.db.models.functions.text.Right("file", 4),
                            [".pdf", ".jpg", ".png"],
                        ),
                        name="sales_certificatefile_is_a_pdf_or_a_picture",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Contact",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "buyer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="contacts",
                        to="sales.buyer",
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("role", models.CharField(blank=True, max_length=60)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("is_former", models.BooleanField(default=False)),
                ("request_id", models.UUIDField(unique=True)),
            ],
            options={
                "ordering": ["name", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="sales_contact_has_a_name",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("email", ""), ("phone", ""), _negated=True),
                        name="sales_contact_can_be_reached",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Document",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.CharField(max_length=24, unique=True)),
                ("series", models.CharField(blank=True, max_length=12)),
                ("serial", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[("sale", "invoice"), ("credit", "credit note")], max_length=6
                    ),
                ),
                ("date", models.DateField(db_index=True)),
                ("due_on", models.DateField(blank=True, null=True)),
                (
                    "buyer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="documents",
                        to="sales.buyer",
                    ),
                ),
                ("buyer_name", models.CharField(blank=True, max_length=80)),
                ("issued_by", models.JSONField(default=dict)),
                ("issued_to", models.JSONField(default=dict)),
                (
                    "corrects",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="credits",
                        to="sales.document",
                    ),
                ),
                ("tax_basis", models.CharField(default="invoice", max_length=7)),
                ("prices_include_tax", models.BooleanField(default=False)),
                ("net", nursery.fields.MoneyField()),
                ("tax", nursery.fields.MoneyField()),
                (
                    "discount_percent",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=5, null=True),
                ),
                ("discount_until", models.DateField(blank=True, null=True)),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["-date", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("series", "serial"), name="sales_document_serial_is_used_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("corrects__isnull", False), ("kind", "credit")),
                            models.Q(("corrects__isnull", True), ("kind", "sale")),
                            _connector="OR",
                        ),
                        name="sales_document_credit_names_what_it_corrects",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("net__gte", 0), ("tax__gte", 0)),
                        name="sales_document_amounts_are_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("discount_percent", None), ("discount_until", None)),
                            models.Q(
                                ("discount_percent__gt", 0),
                                ("discount_percent__lt", 100),
                                ("discount_until__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="sales_document_discount_has_its_last_day",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DocumentLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "document",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="sales.document",
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="inventory.container",
                    ),
                ),
                ("quantity", models.PositiveIntegerField()),
                ("unit_price", nursery.fields.MoneyField()),
                ("price_reason", models.CharField(blank=True, max_length=80)),
                ("net", nursery.fields.MoneyField()),
                (
                    "tax_category",
                    models.CharField(
                        choices=[
                            ("S", "taxed"),
                            ("Z", "zero rated"),
                            ("E", "exempt"),
                            ("O", "not subject to tax"),
                        ],
                        max_length=1,
                    ),
                ),
                ("tax_percent", models.DecimalField(decimal_places=4, default=0, max_digits=7)),
                ("printed", models.JSONField(default=dict)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)),
                        name="sales_documentline_quantity_is_positive",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("unit_price__gte", 0)),
                        name="sales_documentline_price_is_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("net__gte", 0)),
                        name="sales_documentline_net_is_not_negative",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DocumentTax",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "document",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taxes",
                        to="sales.document",
                    ),
                ),
                (
                    "category",
                    models.CharField(
                        choices=[
                            ("S", "taxed"),
                            ("Z", "zero rated"),
                            ("E", "exempt"),
                            ("O", "not subject to tax"),
                        ],
                        max_length=1,
                    ),
                ),
                ("percent", models.DecimalField(decimal_places=4, default=0, max_digits=7)),
                ("name", models.CharField(blank=True, max_length=120)),
                ("reason", models.CharField(blank=True, max_length=160)),
                ("base", nursery.fields.MoneyField()),
                ("amount", nursery.fields.MoneyField()),
                ("made_of", models.JSONField(default=list)),
            ],
            options={
                "verbose_name_plural": "document taxes",
                "ordering": ["document", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("document", "category", "percent"),
                        name="sales_documenttax_is_one_of_a_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("amount__gte", 0), ("base__gte", 0)),
                        name="sales_documenttax_amounts_are_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("category", "S"),
                            models.Q(
                                ("amount", 0), ("category__in", ("Z", "E", "O")), ("percent", 0)
                            ),
                            _connector="OR",
                        ),
                        name="sales_documenttax_is_charged_only_where_taxed",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="FoundAtSale",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="found_at_sale",
                        to="inventory.movement",
                    ),
                ),
                (
                    "document",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="found",
                        to="sales.document",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="LabelStock",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                (
                    "paper",
                    models.CharField(
                        choices=[
                            ("A4", "A4, 210 × 297 mm"),
                            ("letter", "letter, 8½ × 11 in"),
                            ("roll", "a roll, one label wide"),
                        ],
                        max_length=6,
                    ),
                ),
                (
                    "columns",
                    models.PositiveSmallIntegerField(
                        default=1, validators=[django.core.validators.MaxValueValidator(20)]
                    ),
                ),
                (
                    "rows",
                    models.PositiveSmallIntegerField(
                        default=1, validators=[django.core.validators.MaxValueValidator(60)]
                    ),
                ),
                (
                    "width",
                    models.DecimalField(
                        decimal_places=2,
                        max_digits=6,
                        validators=[django.core.validators.MinValueValidator(15)],
                    ),
                ),
                (
                    "height",
                    models.DecimalField(
                        decimal_places=2,
                        max_digits=6,
                        validators=[django.core.validators.MinValueValidator(10)],
                    ),
                ),
                ("left", models.DecimalField(decimal_places=2, default=0, max_digits=6)),
                ("top", models.DecimalField(decimal_places=2, default=0, max_digits=6)),
                ("across", models.DecimalField(decimal_places=2, default=0, max_digits=6)),
                ("down", models.DecimalField(decimal_places=2, default=0, max_digits=6)),
                ("in_use", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("paper__in", ["A4", "letter", "roll"])),
                        name="sales_labelstock_paper_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("columns__range", (1, 20)), ("rows__range", (1, 60))),
                        name="sales_labelstock_has_labels",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("width__gte", 15), ("height__gte", 10)),
                        name="sales_labelstock_labels_are_large_enough",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("left__gte", 0), ("top__gte", 0), ("across__gte", 0), ("down__gte", 0)
                        ),
                        name="sales_labelstock_margins_are_not_negative",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ListNews",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("at", models.DateTimeField()),
                ("anchor", models.CharField(max_length=80)),
                ("title", models.CharField(max_length=240)),
                ("said", models.CharField(max_length=240)),
            ],
            options={
                "ordering": ["-at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("title", ""), _negated=True),
                        name="sales_listnews_says_something",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Payment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "document",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="payments",
                        to="sales.document",
                    ),
                ),
                (
                    "buyer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="account",
                        to="sales.buyer",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "method",
                    models.CharField(
                        choices=[
                            ("cash", "cash"),
                            ("card", "card"),
                            ("cheque", "cheque"),
                            ("transfer", "bank transfer"),
                            ("account", "money on account"),
                            ("rounding", "rounding of cash"),
                            ("discount", "discount for paying early"),
                            ("allowance", "letting it go"),
                        ],
                        max_length=10,
                    ),
                ),
                ("amount", nursery.fields.MoneyField()),
                ("note", models.TextField(blank=True)),
                ("request_id", models.UUIDField(unique=True)),
                (
                    "part_of",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parts",
                        to="sales.payment",
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="sales.payment",
                    ),
                ),
            ],
            options={
                "ordering": ["date", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("amount", 0), _negated=True),
                        name="sales_payment_is_not_nothing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("buyer", None), ("document__isnull", False)),
                            models.Q(("buyer__isnull", False), ("document", None)),
                            _connector="OR",
                        ),
                        name="sales_payment_stands_in_one_place",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "method__in",
                                ("cash", "card", "cheque", "transfer", "account", "rounding"),
                            ),
                            models.Q(
                                ("document__isnull", False),
                                ("method__in", ("discount", "allowance")),
                            ),
                            _connector="OR",
                        ),
                        name="sales_payment_method_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("method", "allowance"), _negated=True),
                            models.Q(("note", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_payment_let_go_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("reverses__isnull", True),
                            models.Q(("reverses", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_payment_reversal_is_of_another",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("part_of__isnull", True),
                            models.Q(("part_of", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_payment_part_is_of_another",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlantRequest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("message", models.TextField(blank=True)),
                ("language", models.CharField(blank=True, max_length=2)),
                (
                    "buyer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plant_requests",
                        to="sales.buyer",
                    ),
                ),
                ("received_at", models.DateTimeField(db_index=True)),
                ("origin", models.CharField(db_index=True, max_length=64)),
                ("is_put_away", models.BooleanField(default=False)),
                ("request_id", models.UUIDField(unique=True)),
            ],
            options={
                "ordering": ["-received_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="sales_plantrequest_has_a_name",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("email", ""), ("phone", ""), _negated=True),
                        name="sales_plantrequest_can_be_answered",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Hold",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "buyer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="sales.buyer",
                    ),
                ),
                ("made_on", models.DateField()),
                ("until", models.DateField(db_index=True)),
                ("note", models.TextField(blank=True)),
                (
                    "asked",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="sales.plantrequest",
                    ),
                ),
            ],
            options={
                "ordering": ["until", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("until__gte", models.F("made_on"))),
                        name="sales_hold_ends_no_earlier_than_it_begins",
                        violation_error_message="Plants are kept until the day of the hold or later.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HoldChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "hold",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="changes",
                        to="sales.hold",
                    ),
                ),
                ("request_id", models.UUIDField(unique=True)),
                ("until_before", models.DateField()),
                ("until_after", models.DateField()),
                ("entered_at", models.DateTimeField(auto_now_add=True)),
                (
                    "entered_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="sales.holdchange",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("reverses__isnull", True),
                            models.Q(("reverses", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_holdchange_reverses_another",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HoldDeposit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "hold",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="sales.hold",
                    ),
                ),
                (
                    "payment",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hold_deposit",
                        to="sales.payment",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="HoldLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "hold",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="sales.hold",
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hold_lines",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hold_lines",
                        to="inventory.container",
                    ),
                ),
                ("grade", models.CharField(blank=True, max_length=24)),
                (
                    "lot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hold_lines",
                        to="inventory.lot",
                    ),
                ),
                ("quantity", models.IntegerField()),
                ("unit_price", nursery.fields.MoneyField(blank=True, null=True)),
                ("ahead", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", 0)),
                        name="sales_holdline_quantity_is_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("unit_price__isnull", True), ("unit_price__gte", 0), _connector="OR"
                        ),
                        name="sales_holdline_price_is_not_negative",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HandedOver",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="handed_over",
                        to="sales.holdline",
                    ),
                ),
                (
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="handed_over",
                        to="inventory.movement",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="HoldNumber",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "change",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="numbers",
                        to="sales.holdchange",
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="numbers",
                        to="sales.holdline",
                    ),
                ),
                ("before", models.PositiveIntegerField()),
                ("after", models.PositiveIntegerField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("before", models.F("after")), _negated=True),
                        name="sales_holdnumber_changes_something",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PlantTax",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "plant",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taxed",
                        to="inventory.plant",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("standard", "the standard rate"),
                            ("reduced", "the reduced rate"),
                            ("zero", "no tax, zero rated"),
                        ],
                        max_length=8,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "plant taxes",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ("reduced", "zero"))),
                        name="sales_planttax_is_not_the_standard",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Price",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "list",
                    models.CharField(
                        choices=[
                            ("stand", "stand"),
                            ("landscaper", "landscaper"),
                            ("wholesale", "wholesale"),
                        ],
                        default="stand",
                        max_length=10,
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="prices",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="prices",
                        to="inventory.container",
                    ),
                ),
                ("grade", models.CharField(blank=True, max_length=24)),
                ("least", models.PositiveIntegerField(default=1)),
                ("amount", nursery.fields.MoneyField(blank=True, null=True)),
                ("valid_from", models.DateField()),
                ("request_id", models.UUIDField()),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["plant", "container", "valid_from"], name="sales_price_lookup"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("amount__gte", 0)), name="sales_price_is_not_negative"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("list__in", ["stand", "landscaper", "wholesale"])),
                        name="sales_price_is_on_a_known_list",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("least__gte", 1)),
                        name="sales_price_is_from_one_plant_on",
                    ),
                    models.UniqueConstraint(
                        fields=("request_id", "list", "plant", "container", "grade", "least"),
                        name="sales_price_is_set_once_by_a_request",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PublicList",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("is_on", models.BooleanField(default=False)),
                ("greeting", models.TextField(blank=True)),
                (
                    "numbers",
                    models.CharField(
                        choices=[
                            ("exact", "the exact number"),
                            ("capped", "the number up to 10, else “10+”"),
                            ("yes", "only that there are some"),
                        ],
                        default="capped",
                        max_length=6,
                    ),
                ),
                (
                    "on_list",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("stand", "stand"),
                            ("landscaper", "landscaper"),
                            ("wholesale", "wholesale"),
                        ],
                        max_length=10,
                    ),
                ),
                ("shows_later", models.BooleanField(default=True)),
                ("shows_photos", models.BooleanField(default=True)),
                ("call_name", models.CharField(blank=True, max_length=80)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("takes_requests", models.BooleanField(default=False)),
                ("feed_id", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("kept", models.JSONField(default=list, editable=False)),
                ("tax_included", models.BooleanField(default=False, editable=False)),
                ("mark", models.CharField(blank=True, editable=False, max_length=120)),
                ("kept_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("changed_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("pk", 1)), name="sales_publiclist_is_one_row"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("numbers__in", ["exact", "capped", "yes"])),
                        name="sales_publiclist_numbers_are_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("on_list", ""),
                            ("on_list__in", ["stand", "landscaper", "wholesale"]),
                            _connector="OR",
                        ),
                        name="sales_publiclist_price_list_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RequestedPlants",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="sales.plantrequest",
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="requested",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="requested",
                        to="inventory.container",
                    ),
                ),
                ("grade", models.CharField(blank=True, max_length=24)),
                ("size", models.CharField(blank=True, max_length=40)),
                ("quantity", models.PositiveIntegerField()),
                ("ready_on", models.DateField(blank=True, null=True)),
                ("unit_price", nursery.fields.MoneyField(blank=True, null=True)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", 1)),
                        name="sales_requestedplants_are_some",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("unit_price__isnull", True), ("unit_price__gte", 0), _connector="OR"
                        ),
                        name="sales_requestedplants_price_is_not_negative",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SharedPaper",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "document",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shares",
                        to="sales.document",
                    ),
                ),
                ("token", models.CharField(max_length=64, unique=True)),
                ("shared_at", models.DateTimeField(auto_now_add=True)),
                ("is_withdrawn", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("is_withdrawn", False)),
                        fields=("document",),
                        name="sales_sharedpaper_one_link_stands",
                    ),
                    models.CheckConstraint(
                        condition=django.db.models.lookups.GreaterThanOrEqual(
                            django.db.models.functions.text.Length("token"), 32
                        ),
                        name="sales_sharedpaper_token_is_long",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StandDay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_days",
                        to="inventory.place",
                    ),
                ),
                ("date", models.DateField(db_index=True)),
                ("attended", models.BooleanField(default=True)),
                ("began_with", nursery.fields.MoneyField()),
                (
                    "state",
                    models.CharField(
                        choices=[("open", "open"), ("closed", "closed"), ("undone", "undone")],
                        default="open",
                        max_length=6,
                    ),
                ),
            ],
            options={
                "ordering": ["-date", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state", "open")),
                        fields=("place",),
                        name="sales_standday_is_the_only_one_open_at_its_place",
                        violation_error_message="A stand is open at this place already. Close it first.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("began_with__gte", 0)),
                        name="sales_standday_begins_with_no_less_than_nothing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ("open", "closed", "undone"))),
                        name="sales_standday_state_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StandSale",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sales",
                        to="sales.standday",
                    ),
                ),
                (
                    "document",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_sale",
                        to="sales.document",
                    ),
                ),
                (
                    "payment",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_sale",
                        to="sales.payment",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="StandStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps",
                        to="sales.standday",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("opened", "opened"),
                            ("plants", "plants put out or brought back"),
                            ("money", "money taken out of the box or put in"),
                            ("closed", "closed"),
                        ],
                        max_length=6,
                    ),
                ),
                ("date", models.DateField()),
                ("note", models.TextField(blank=True)),
                ("request_id", models.UUIDField(unique=True)),
                ("entered_at", models.DateTimeField(auto_now_add=True)),
                (
                    "entered_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="sales.standstep",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ("opened", "plants", "money", "closed"))),
                        name="sales_standstep_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("reverses__isnull", True),
                            models.Q(("reverses", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_standstep_reverses_another",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BoxEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="money",
                        to="sales.standstep",
                    ),
                ),
                ("date", models.DateField(db_index=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("over_short", "cash over or short"),
                            ("not_paid", "plants taken and not paid for"),
                            ("bank", "brought to the bank"),
                            ("paid_out", "paid for something"),
                            ("safe", "to or from the house, or noted elsewhere"),
                        ],
                        max_length=10,
                    ),
                ),
                ("amount", nursery.fields.MoneyField()),
                ("note", models.TextField(blank=True)),
                ("request_id", models.UUIDField(unique=True)),
            ],
            options={
                "verbose_name_plural": "box entries",
                "ordering": ["date", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ("over_short", "not_paid", "bank", "paid_out", "safe"))
                        ),
                        name="sales_boxentry_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("amount", 0), _negated=True),
                        name="sales_boxentry_is_not_nothing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "not_paid"), _negated=True),
                            ("amount__lt", 0),
                            _connector="OR",
                        ),
                        name="sales_boxentry_not_paid_is_missing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "paid_out"), _negated=True),
                            models.Q(("note", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="sales_boxentry_paid_out_says_what_for",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StandCount",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "step",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="count",
                        to="sales.standstep",
                    ),
                ),
                ("cash", nursery.fields.MoneyField()),
                ("pieces", models.JSONField(default=dict)),
                ("card", nursery.fields.MoneyField(blank=True, null=True)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cash__gte", 0),
                            models.Q(("card__isnull", True), ("card__gte", 0), _connector="OR"),
                        ),
                        name="sales_standcount_is_not_negative",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="StandPlants",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plants",
                        to="sales.standstep",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_plants",
                        to="inventory.lot",
                    ),
                ),
                ("quantity", models.IntegerField()),
            ],
            options={
                "verbose_name_plural": "stand plants",
                "constraints": [
                    models.UniqueConstraint(
                        fields=("step", "lot"), name="sales_standplants_name_a_lot_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity", 0), _negated=True),
                        name="sales_standplants_are_not_nothing",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Take",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="takes",
                        to="sales.documentline",
                    ),
                ),
                (
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="take",
                        to="inventory.movement",
                    ),
                ),
                ("net", nursery.fields.MoneyField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="TaxRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("jurisdiction", models.CharField(blank=True, max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("standard", "the standard rate"),
                            ("reduced", "the reduced rate"),
                            ("zero", "no tax, zero rated"),
                        ],
                        default="standard",
                        max_length=8,
                    ),
                ),
                ("name", models.CharField(default="Sales tax", max_length=60)),
                ("percent", models.DecimalField(decimal_places=4, max_digits=7)),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("invoice", "rounded once, on the invoice"),
                            ("item", "rounded on each item"),
                        ],
                        default="invoice",
                        max_length=7,
                    ),
                ),
                ("included", models.BooleanField(default=False, verbose_name="prices include it")),
                ("valid_from", models.DateField()),
            ],
            options={
                "ordering": ["-valid_from", "jurisdiction", "kind"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("jurisdiction", "kind", "valid_from"),
                        name="sales_taxrate_is_one_a_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("percent__range", (0, 100))),
                        name="sales_taxrate_is_a_percentage",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ("standard", "reduced"))),
                        name="sales_taxrate_is_of_a_kind_with_a_rate",
                    ),
                ],
            },
        ),
        only_grows(
            "sales_boxentry",
            "sales_document",
            "sales_documentline",
            "sales_documenttax",
            "sales_foundatsale",
            "sales_handedover",
            "sales_holdchange",
            "sales_holddeposit",
            "sales_holdnumber",
            "sales_payment",
            "sales_standcount",
            "sales_standplants",
            "sales_standsale",
            "sales_standstep",
            "sales_take",
        ),
        one_level("sales_buyer", "same_as_id"),
    ]
