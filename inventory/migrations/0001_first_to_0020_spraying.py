"""All tables as they stood after the migrations it replaces, for a new database.

A database that has some of those goes on with them, one by one.
"""

import uuid
from decimal import Decimal

import django.db.models.deletion
import django.db.models.functions.text
import django.db.models.lookups
from django.conf import settings
from django.db import migrations, models

import nursery.fields
from inventory.standard_rows import write_standard_rows
from nursery.append_only import only_grows


def write_rows(apps, editor):
    write_standard_rows(
        apps.get_model("inventory", "Container"),
        apps.get_model("inventory", "LossCause"),
    )


class Migration(migrations.Migration):
    replaces = [
        ("inventory", "0001_first"),
        ("inventory", "0002_append_only_and_standard_rows"),
        ("inventory", "0003_standing_lots"),
        ("inventory", "0004_supplies_bills_periods"),
        ("inventory", "0005_letterhead"),
        ("inventory", "0006_paid_ahead"),
        ("inventory", "0007_cash_step"),
        ("inventory", "0008_counted_for_price"),
        ("inventory", "0009_ready_on"),
        ("inventory", "0010_own_time"),
        ("inventory", "0011_own_time_of_old_entries"),
        ("inventory", "0012_import_draft"),
        ("inventory", "0013_photos"),
        ("inventory", "0014_plant_habit"),
        ("inventory", "0015_calendar"),
        ("inventory", "0016_methods"),
        ("inventory", "0017_target"),
        ("inventory", "0018_first_season"),
        ("inventory", "0019_measurement"),
        ("inventory", "0020_spraying"),
    ]

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CalendarLink",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="calendar_links",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("token", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("is_withdrawn", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("is_withdrawn", False)),
                        fields=("person",),
                        name="inventory_calendarlink_one_link_stands",
                    ),
                    models.CheckConstraint(
                        condition=django.db.models.lookups.GreaterThanOrEqual(
                            django.db.models.functions.text.Length("token"), 32
                        ),
                        name="inventory_calendarlink_token_is_long",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Closing",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[("close", "closed"), ("reopen", "opened again")], max_length=6
                    ),
                ),
                ("closed_to", models.DateField(blank=True, null=True)),
                ("reason", models.TextField(blank=True)),
                ("snapshot", models.JSONField(default=list)),
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
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "close"), _negated=True),
                            ("closed_to__isnull", False),
                            _connector="OR",
                        ),
                        name="inventory_closing_of_a_period_has_its_last_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "reopen"), _negated=True),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="inventory_closing_reopened_gives_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Container",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=12, unique=True)),
                ("name", models.CharField(max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[("propagation", "for propagation"), ("sale", "for sale")],
                        max_length=12,
                    ),
                ),
                ("ansi_class", models.CharField(blank=True, max_length=8)),
                (
                    "cubic_inches_min",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=8, null=True),
                ),
                (
                    "cubic_inches_max",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=8, null=True),
                ),
                ("edition", models.CharField(blank=True, max_length=60)),
                ("source", models.CharField(blank=True, max_length=120)),
                ("footprint_cm", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "spacing_cm",
                    models.PositiveSmallIntegerField(
                        blank=True, null=True, verbose_name="spacing, centre to centre, in cm"
                    ),
                ),
                (
                    "spacing_pattern",
                    models.CharField(
                        choices=[("square", "square"), ("diagonal", "on the diagonal")],
                        default="square",
                        max_length=8,
                    ),
                ),
                ("in_use", models.BooleanField(default=True)),
                ("position", models.PositiveSmallIntegerField(default=100)),
            ],
            options={
                "ordering": ["position", "code"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["propagation", "sale"])),
                        name="inventory_container_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cubic_inches_min__isnull", True),
                            ("cubic_inches_max__gte", models.F("cubic_inches_min")),
                            _connector="OR",
                        ),
                        name="inventory_container_range_is_ordered",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("spacing_cm__isnull", True),
                            ("footprint_cm__isnull", True),
                            ("spacing_cm__gte", models.F("footprint_cm")),
                            _connector="OR",
                        ),
                        name="inventory_container_spacing_is_no_less_than_its_width",
                        violation_error_message="Pots cannot stand closer than their own width.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ImportDraft",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("key", models.UUIDField()),
                ("file_name", models.CharField(max_length=120)),
                ("digest", models.CharField(max_length=64)),
                ("told", models.CharField(max_length=200)),
                ("sheets", models.JSONField()),
                ("sheet", models.PositiveSmallIntegerField(default=0)),
                ("heading_row", models.PositiveSmallIntegerField(default=0)),
                ("matching", models.JSONField(default=dict)),
                ("answers", models.JSONField(default=dict)),
                ("mended", models.JSONField(default=dict)),
                ("counted_on", models.DateField()),
                ("kept_at", models.DateTimeField(auto_now=True)),
            ],
            options={
                "ordering": ["-kept_at", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("owner", "key"), name="inventory_importdraft_is_one_for_each_file"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("file_name", ""), _negated=True),
                            models.Q(("digest", ""), _negated=True),
                        ),
                        name="inventory_importdraft_names_its_file",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LossCause",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=16, unique=True)),
                ("name", models.CharField(max_length=60)),
                ("position", models.PositiveSmallIntegerField(default=100)),
            ],
            options={
                "ordering": ["position", "code"],
            },
        ),
        migrations.CreateModel(
            name="Nursery",
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
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("web", models.CharField(blank=True, max_length=120)),
                ("tax_id", models.CharField(blank=True, max_length=40)),
                ("licence_name", models.CharField(blank=True, max_length=60)),
                ("licence_number", models.CharField(blank=True, max_length=60)),
                ("inspection_certificate", models.CharField(blank=True, max_length=60)),
                ("iban", models.CharField(blank=True, max_length=34)),
                ("bic", models.CharField(blank=True, max_length=11)),
                ("bank", models.TextField(blank=True)),
                ("terms", models.TextField(blank=True)),
                ("logo", models.CharField(blank=True, max_length=80)),
                (
                    "paper",
                    models.CharField(
                        blank=True,
                        choices=[("letter", "letter, 8½ × 11 in"), ("A4", "A4, 210 × 297 mm")],
                        max_length=6,
                    ),
                ),
                (
                    "language",
                    models.CharField(
                        choices=[
                            ("en", "English"),
                            ("de", "Deutsch"),
                            ("fr", "français"),
                            ("es", "español"),
                        ],
                        default="en",
                        max_length=2,
                    ),
                ),
                ("passport_country", models.CharField(blank=True, max_length=2)),
                ("passport_registration", models.CharField(blank=True, max_length=40)),
                ("receipt_prefix", models.CharField(blank=True, max_length=7)),
                ("invoice_prefix", models.CharField(blank=True, max_length=7)),
                ("credit_prefix", models.CharField(blank=True, default="C", max_length=7)),
                ("name", models.CharField(max_length=80)),
                ("currency", models.CharField(default="USD", max_length=3)),
                (
                    "units",
                    models.CharField(
                        choices=[
                            ("metric", "metres, litres, grams"),
                            ("us", "feet, gallons, ounces"),
                        ],
                        default="us",
                        max_length=6,
                    ),
                ),
                ("cash_step", nursery.fields.MoneyField(blank=True, null=True)),
                (
                    "counted_for_price",
                    models.CharField(
                        choices=[
                            ("line", "each plant by itself"),
                            ("sale", "all plants of that container in the sale"),
                        ],
                        default="line",
                        max_length=4,
                    ),
                ),
                ("season_start_month", models.PositiveSmallIntegerField(default=4)),
                ("season_end_month", models.PositiveSmallIntegerField(default=9)),
                ("last_frost_month", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("last_frost_day", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("first_frost_month", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("first_frost_day", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "counts_own_time",
                    models.BooleanField(
                        default=True,
                        help_text="Whether what plants cost is shown with the grower's own time.",
                    ),
                ),
                (
                    "shows_first_season",
                    models.BooleanField(
                        default=True,
                        help_text="Whether Today leads through the steps of a first year.",
                    ),
                ),
                ("demo", models.BooleanField(default=False, editable=False)),
                ("calendar_id", models.UUIDField(default=uuid.uuid4, editable=False)),
            ],
            options={
                "verbose_name_plural": "nurseries",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("country", ""),
                            django.db.models.lookups.Exact(
                                django.db.models.functions.text.Length("country"), 2
                            ),
                            _connector="OR",
                        ),
                        name="inventory_nursery_country_has_two_letters",
                        violation_error_message="A country is a code of two letters, such as US or DE.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("passport_country", ""), ("passport_registration", "")),
                            models.Q(
                                models.Q(("passport_registration", ""), _negated=True),
                                models.Q(("passport_country", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_nursery_passport_names_its_country",
                        violation_error_message="A plant-passport registration has a number and a country.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pk", 1)), name="inventory_nursery_is_one_row"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("season_start_month__range", (1, 12)),
                            ("season_end_month__range", (1, 12)),
                        ),
                        name="inventory_nursery_season_months_exist",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("last_frost_day__isnull", True), ("last_frost_month__isnull", True)
                            ),
                            models.Q(
                                ("last_frost_day__isnull", False),
                                ("last_frost_month__isnull", False),
                                ("last_frost_day__range", (1, 31)),
                                ("last_frost_month__range", (1, 12)),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_nursery_last_frost_is_a_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("first_frost_day__isnull", True),
                                ("first_frost_month__isnull", True),
                            ),
                            models.Q(
                                ("first_frost_day__isnull", False),
                                ("first_frost_month__isnull", False),
                                ("first_frost_day__range", (1, 31)),
                                ("first_frost_month__range", (1, 12)),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_nursery_first_frost_is_a_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cash_step", None), ("cash_step__gte", 0), _connector="OR"
                        ),
                        name="inventory_nursery_cash_step_is_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("counted_for_price__in", ["line", "sale"])),
                        name="inventory_nursery_counted_for_price_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Operation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("request_id", models.UUIDField(unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("stick", "stuck"),
                            ("sow", "sown"),
                            ("divide", "divided"),
                            ("receive", "received"),
                            ("opening", "opening stock"),
                            ("cost", "cost added"),
                            ("root_count", "rooted count"),
                            ("loss", "written off"),
                            ("pot_up", "potted up"),
                            ("count", "counted"),
                            ("move", "moved"),
                            ("blend", "blended"),
                            ("measure", "measured"),
                            ("use", "used"),
                            ("give", "given away"),
                            ("sale", "sold"),
                            ("return", "returned"),
                            ("undo", "undone"),
                        ],
                        max_length=12,
                    ),
                ),
                ("date", models.DateField(db_index=True)),
                ("note", models.TextField(blank=True)),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="inventory.operation",
                    ),
                ),
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
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "undo"), ("reverses__isnull", False)),
                            models.Q(
                                models.Q(("kind", "undo"), _negated=True),
                                ("reverses__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_operation_undo_names_what_it_reverses",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60, unique=True)),
                ("hourly_rate", nursery.fields.MoneyField()),
                (
                    "is_own",
                    models.BooleanField(
                        default=False,
                        help_text="The grower's own time, not paid out.",
                        verbose_name="own time",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "people",
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("hourly_rate__gte", 0)),
                        name="inventory_person_rate_is_not_negative",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Place",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60, unique=True)),
                (
                    "parent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parts",
                        to="inventory.place",
                    ),
                ),
                (
                    "area_m2",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        max_digits=8,
                        null=True,
                        verbose_name="area in m²",
                    ),
                ),
                ("heated", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("area_m2__isnull", True), ("area_m2__gt", 0), _connector="OR"
                        ),
                        name="inventory_place_area_is_positive",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="BenchNote",
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
                        related_name="bench_notes",
                        to="inventory.place",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "moisture",
                    models.CharField(
                        blank=True,
                        choices=[("dry", "dry"), ("right", "right"), ("wet", "wet")],
                        max_length=5,
                    ),
                ),
                (
                    "temperature_c",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
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
                ("is_removed", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["-date", "-pk"],
                "indexes": [
                    models.Index(fields=["place", "-date"], name="inventory_benchnote_by_place")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("moisture", ""), _negated=True),
                            ("temperature_c__isnull", False),
                            _connector="OR",
                        ),
                        name="inventory_benchnote_says_something",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("moisture__in", ["", "dry", "right", "wet"])),
                        name="inventory_benchnote_moisture_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PaidAhead",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("request_id", models.UUIDField(unique=True)),
                ("category", models.CharField(max_length=10)),
                ("amount", nursery.fields.MoneyField()),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="%(class)ss",
                        to="inventory.place",
                    ),
                ),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("area", "by area and days"),
                            ("plants", "by plants and days"),
                            ("minutes", "by minutes of work"),
                        ],
                        default="area",
                        max_length=7,
                    ),
                ),
                (
                    "unused",
                    models.CharField(
                        choices=[("plants", "the plants bear it"), ("expense", "it is expensed")],
                        default="plants",
                        max_length=7,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="inventory.paidahead",
                    ),
                ),
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
            ],
            options={
                "verbose_name_plural": "paid ahead",
                "ordering": ["-last_day", "-pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "category__in",
                                [
                                    "cuttings",
                                    "plants",
                                    "medium",
                                    "containers",
                                    "feed",
                                    "labour",
                                    "heat",
                                    "space",
                                    "royalty",
                                    "other",
                                    "own_time",
                                ],
                            )
                        ),
                        name="inventory_paidahead_category_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))),
                        name="inventory_paidahead_days_are_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("amount__gt", 0), ("reverses__isnull", False), _connector="OR"
                        ),
                        name="inventory_paidahead_is_more_than_nothing",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Bill",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("request_id", models.UUIDField(unique=True)),
                ("category", models.CharField(max_length=10)),
                ("amount", nursery.fields.MoneyField()),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="%(class)ss",
                        to="inventory.place",
                    ),
                ),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("area", "by area and days"),
                            ("plants", "by plants and days"),
                            ("minutes", "by minutes of work"),
                        ],
                        default="area",
                        max_length=7,
                    ),
                ),
                (
                    "unused",
                    models.CharField(
                        choices=[("plants", "the plants bear it"), ("expense", "it is expensed")],
                        default="plants",
                        max_length=7,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="inventory.bill",
                    ),
                ),
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
                ("unused_amount", nursery.fields.MoneyField(default=0)),
                (
                    "paid_ahead",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parts",
                        to="inventory.paidahead",
                    ),
                ),
            ],
            options={
                "ordering": ["-last_day", "-pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "category__in",
                                [
                                    "cuttings",
                                    "plants",
                                    "medium",
                                    "containers",
                                    "feed",
                                    "labour",
                                    "heat",
                                    "space",
                                    "royalty",
                                    "other",
                                    "own_time",
                                ],
                            )
                        ),
                        name="inventory_bill_category_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))),
                        name="inventory_bill_days_are_in_order",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BillShare",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "bill",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shares",
                        to="inventory.bill",
                    ),
                ),
                (
                    "operation",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="bill_share",
                        to="inventory.operation",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Plant",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120, unique=True)),
                ("search_key", models.CharField(editable=False, max_length=160, unique=True)),
                ("common_name", models.CharField(blank=True, max_length=80)),
                (
                    "poisonous",
                    models.CharField(
                        blank=True,
                        help_text="A caution for buyers and staff, printed on documents. Ask a poison centre or extension office where unsure.",
                        max_length=200,
                    ),
                ),
                (
                    "regulated",
                    models.CharField(
                        blank=True,
                        help_text="Quarantine, invasive or protected: what the plant-health office asks. Rules differ by place: check with it.",
                        max_length=200,
                    ),
                ),
                (
                    "propagation_right",
                    models.CharField(
                        blank=True,
                        help_text="Patent or breeder's right and the licence held. Propagating a protected plant needs its owner's leave.",
                        max_length=120,
                    ),
                ),
                ("right_filed_on", models.DateField(blank=True, null=True)),
                ("patent_expires", models.DateField(blank=True, null=True)),
                ("licence", models.CharField(blank=True, max_length=120)),
                ("royalty", nursery.fields.MoneyField(blank=True, null=True)),
                (
                    "habit",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("shrub", "shrub, on several stems"),
                            ("mound", "mound, close to the ground"),
                            ("cone", "cone"),
                            ("column", "column, narrow and upright"),
                            ("spreading", "spreading, ground cover"),
                            ("grass", "grass"),
                            ("tree", "tree, on one stem"),
                        ],
                        help_text="The drawing beside its name at the stand, where it has no picture.",
                        max_length=10,
                    ),
                ),
                (
                    "sized_by",
                    models.CharField(
                        choices=[("height", "height"), ("spread", "spread, from side to side")],
                        default="height",
                        help_text="Creeping and low, spreading conifers are sold by spread, upright ones by height.",
                        max_length=6,
                    ),
                ),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["search_key"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "habit__in",
                                [
                                    "",
                                    "shrub",
                                    "mound",
                                    "cone",
                                    "column",
                                    "spreading",
                                    "grass",
                                    "tree",
                                ],
                            )
                        ),
                        name="inventory_plant_habit_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("sized_by__in", ["height", "spread"])),
                        name="inventory_plant_is_sized_by_height_or_spread",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("royalty__isnull", True), ("royalty__gte", 0), _connector="OR"
                        ),
                        name="inventory_plant_royalty_is_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("right_filed_on__isnull", True),
                            ("patent_expires__isnull", True),
                            ("patent_expires__gt", models.F("right_filed_on")),
                            _connector="OR",
                        ),
                        name="inventory_plant_right_ends_after_it_was_filed",
                        violation_error_message="A right ends after it was filed.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ExpectedLoss",
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
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="expected_losses",
                        to="inventory.plant",
                    ),
                ),
                (
                    "stage",
                    models.CharField(
                        choices=[
                            ("rooting", "rooting, until the rooted count"),
                            ("liner", "rooted, still in the tray"),
                            ("growing", "in a container for sale"),
                        ],
                        max_length=8,
                    ),
                ),
                ("percent", models.DecimalField(decimal_places=2, max_digits=5)),
            ],
            options={
                "verbose_name_plural": "expected losses",
                "ordering": ["stage", "plant"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("plant", "stage"), name="inventory_expectedloss_once_per_plant"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("plant__isnull", True)),
                        fields=("stage",),
                        name="inventory_expectedloss_once_for_all",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("percent__range", (0, 100))),
                        name="inventory_expectedloss_is_a_percentage",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Lot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=24, unique=True)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="inventory.container",
                    ),
                ),
                ("grade", models.CharField(blank=True, max_length=24)),
                ("began_on", models.DateField()),
                ("transplanted_on", models.DateField(blank=True, null=True)),
                ("ready_on", models.DateField(blank=True, null=True)),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["code"],
                "indexes": [
                    models.Index(fields=["container", "plant"], name="inventory_lot_container")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("transplanted_on__isnull", True),
                            ("transplanted_on__gte", models.F("began_on")),
                            _connector="OR",
                        ),
                        name="inventory_lot_is_transplanted_after_it_began",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ready_on__isnull", True),
                            ("ready_on__gte", models.F("began_on")),
                            _connector="OR",
                        ),
                        name="inventory_lot_is_ready_after_it_began",
                        violation_error_message="Plants are ready no earlier than their lot began.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CostEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="costs",
                        to="inventory.operation",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "lot",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cost_entries",
                        to="inventory.lot",
                    ),
                ),
                ("category", models.CharField(max_length=10)),
                ("amount", nursery.fields.MoneyField()),
            ],
            options={
                "verbose_name_plural": "cost entries",
                "indexes": [models.Index(fields=["lot", "date"], name="inventory_costentry_lot")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "category__in",
                                [
                                    "cuttings",
                                    "plants",
                                    "medium",
                                    "containers",
                                    "feed",
                                    "labour",
                                    "heat",
                                    "space",
                                    "royalty",
                                    "other",
                                    "own_time",
                                ],
                            )
                        ),
                        name="inventory_costentry_category_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Count",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="counts",
                        to="inventory.operation",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="counts",
                        to="inventory.lot",
                    ),
                ),
                ("found", models.PositiveIntegerField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Measurement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="measurements",
                        to="inventory.operation",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="measurements",
                        to="inventory.lot",
                    ),
                ),
                ("lower_mm", models.PositiveIntegerField(blank=True, null=True)),
                ("upper_mm", models.PositiveIntegerField(blank=True, null=True)),
                ("measured_on", models.DateField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("lower_mm__isnull", True), ("upper_mm__isnull", True)),
                            models.Q(
                                ("lower_mm__gt", 0),
                                ("lower_mm__isnull", False),
                                ("upper_mm__gt", models.F("lower_mm")),
                                ("upper_mm__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_measurement_is_a_range_or_none",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("measured_on__lte", models.F("date"))),
                        name="inventory_measurement_was_made_by_its_date",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LotBalance",
            fields=[
                ("cost_cuttings", nursery.fields.MoneyField(default=0)),
                ("cost_plants", nursery.fields.MoneyField(default=0)),
                ("cost_medium", nursery.fields.MoneyField(default=0)),
                ("cost_containers", nursery.fields.MoneyField(default=0)),
                ("cost_feed", nursery.fields.MoneyField(default=0)),
                ("cost_labour", nursery.fields.MoneyField(default=0)),
                ("cost_heat", nursery.fields.MoneyField(default=0)),
                ("cost_space", nursery.fields.MoneyField(default=0)),
                ("cost_royalty", nursery.fields.MoneyField(default=0)),
                ("cost_other", nursery.fields.MoneyField(default=0)),
                ("cost_own_time", nursery.fields.MoneyField(default=0)),
                (
                    "lot",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="balance",
                        serialize=False,
                        to="inventory.lot",
                    ),
                ),
                ("on_hand", models.IntegerField(default=0)),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="balances",
                        to="inventory.place",
                    ),
                ),
                (
                    "measurement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="balances",
                        to="inventory.measurement",
                    ),
                ),
                ("last_on", models.DateField(null=True)),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("on_hand__gt", 0)),
                        fields=["on_hand"],
                        name="inventory_lotbalance_standing",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("on_hand__gte", 0)),
                        name="inventory_lotbalance_on_hand_is_not_negative",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Method",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80, unique=True)),
                (
                    "wood",
                    models.CharField(
                        choices=[
                            ("softwood", "softwood cuttings"),
                            ("semi", "semi-hardwood cuttings"),
                            ("hardwood", "hardwood cuttings"),
                            ("seed", "seed"),
                            ("division", "division"),
                        ],
                        max_length=8,
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="methods",
                        to="inventory.plant",
                    ),
                ),
                ("source", models.CharField(blank=True, max_length=200)),
                ("note", models.TextField(blank=True)),
                ("is_removed", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("wood__in", ["softwood", "semi", "hardwood", "seed", "division"])
                        ),
                        name="inventory_method_wood_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="inventory_method_has_a_name",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MethodStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "method",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps",
                        to="inventory.method",
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "work",
                    models.CharField(
                        choices=[
                            ("stick", "take and stick"),
                            ("heat_on", "bottom heat on"),
                            ("heat_off", "bottom heat off"),
                            ("root_count", "count what rooted"),
                            ("harden", "harden off"),
                            ("feed", "feed"),
                            ("cover", "winter cover on"),
                            ("uncover", "winter cover off"),
                            ("pot_up", "pull apart and pot up"),
                            ("top_dress", "top-dress"),
                            ("ready", "ready to sell"),
                            ("other", "something else"),
                        ],
                        max_length=10,
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                (
                    "after",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="followers",
                        to="inventory.methodstep",
                    ),
                ),
                (
                    "timing",
                    models.CharField(
                        choices=[
                            ("days", "days or weeks after it"),
                            ("calendar", "between two days of the year"),
                            ("last_frost", "about the last frost"),
                            ("first_frost", "about the first frost"),
                            ("season_start", "about the start of the growing season"),
                            ("season_end", "about the end of the growing season"),
                        ],
                        default="days",
                        max_length=12,
                    ),
                ),
                ("from_days", models.SmallIntegerField(default=0)),
                ("to_days", models.SmallIntegerField(default=0)),
                ("first_month", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("first_day", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("last_month", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("last_day", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "hormone_form",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("dip", "quick dip"),
                            ("soak", "long soak"),
                            ("talc", "powder"),
                            ("gel", "gel"),
                            ("spray", "spray on the leaves"),
                        ],
                        max_length=5,
                    ),
                ),
                ("hormone_ppm", models.PositiveIntegerField(blank=True, null=True)),
                ("note", models.CharField(blank=True, max_length=200)),
                ("source", models.CharField(blank=True, max_length=200)),
                ("is_removed", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["method", "position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("method", "position"),
                        name="inventory_methodstep_position_is_its_own",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("from_days__lte", models.F("to_days"))),
                        name="inventory_methodstep_days_are_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("timing", "calendar"),
                                ("first_day__isnull", False),
                                ("first_month__isnull", False),
                                ("first_day__range", (1, 31)),
                                ("first_month__range", (1, 12)),
                                ("last_day__isnull", False),
                                ("last_month__isnull", False),
                                ("last_day__range", (1, 31)),
                                ("last_month__range", (1, 12)),
                            ),
                            models.Q(
                                (
                                    "timing__in",
                                    [
                                        "days",
                                        "last_frost",
                                        "first_frost",
                                        "season_start",
                                        "season_end",
                                    ],
                                ),
                                ("first_day__isnull", True),
                                ("first_month__isnull", True),
                                ("last_day__isnull", True),
                                ("last_month__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_methodstep_calendar_has_its_days",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("after__isnull", True),
                            models.Q(("after", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="inventory_methodstep_follows_another",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hormone_ppm__isnull", True),
                            ("hormone_ppm__range", (1, 1000000)),
                            _connector="OR",
                        ),
                        name="inventory_methodstep_strength_is_possible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Photo",
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
                        related_name="photos",
                        to="inventory.plant",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="inventory.lot",
                    ),
                ),
                ("large", models.CharField(db_index=True, max_length=80)),
                ("small", models.CharField(db_index=True, max_length=80)),
                ("width", models.PositiveSmallIntegerField()),
                ("height", models.PositiveSmallIntegerField()),
                ("added_at", models.DateTimeField(auto_now_add=True)),
                (
                    "added_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("is_removed", models.BooleanField(default=False)),
                ("request_id", models.UUIDField(unique=True)),
            ],
            options={
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("height__gt", 0), ("width__gt", 0)),
                        name="inventory_photo_has_a_size",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("large", ""), _negated=True),
                            models.Q(("small", ""), _negated=True),
                        ),
                        name="inventory_photo_has_both_files",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Placement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="placements",
                        to="inventory.operation",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="placements",
                        to="inventory.lot",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="placements",
                        to="inventory.place",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Recipe",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[("stick", "sticking"), ("pot_up", "potting up")], max_length=6
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="recipes",
                        to="inventory.container",
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="recipes",
                        to="inventory.plant",
                    ),
                ),
                (
                    "minutes",
                    nursery.fields.QuantityField(
                        default=Decimal("0"), verbose_name="minutes for one plant"
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "container", "plant"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kind", "container", "plant"),
                        name="inventory_recipe_once_per_plant",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("plant__isnull", True)),
                        fields=("kind", "container"),
                        name="inventory_recipe_once_for_all_plants",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("minutes__gte", 0)),
                        name="inventory_recipe_minutes_are_not_negative",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Spraying",
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
                        related_name="sprayings",
                        to="inventory.place",
                    ),
                ),
                ("ended_at", models.DateTimeField()),
                ("reentry_hours", models.PositiveSmallIntegerField()),
                ("product", models.CharField(max_length=80)),
                ("registration", models.CharField(blank=True, max_length=40)),
                ("amount", models.CharField(blank=True, max_length=60)),
                ("crop", models.CharField(blank=True, max_length=80)),
                ("applicator", models.CharField(blank=True, max_length=80)),
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
                ("is_removed", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["-ended_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("product", ""), _negated=True),
                        name="inventory_spraying_names_its_product",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reentry_hours__range", (0, 2000))),
                        name="inventory_spraying_reentry_is_possible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StockPlant",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=24, unique=True)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stock_plants",
                        to="inventory.plant",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="inventory.place",
                    ),
                ),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["code"],
            },
        ),
        migrations.CreateModel(
            name="Batch",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=24, unique=True)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="batches",
                        to="inventory.plant",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("stick", "cuttings stuck"),
                            ("sow", "seed sown"),
                            ("divide", "divided"),
                            ("receive", "liners bought in"),
                            ("opening", "opening stock"),
                        ],
                        max_length=8,
                    ),
                ),
                ("started_on", models.DateField()),
                (
                    "stock_plant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="batches",
                        to="inventory.stockplant",
                    ),
                ),
                (
                    "treatment",
                    models.CharField(
                        blank=True,
                        help_text="Hormone and strength, wounding, medium. The product's label is the law.",
                        max_length=120,
                    ),
                ),
                (
                    "method",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="batches",
                        to="inventory.method",
                    ),
                ),
                (
                    "wood",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("softwood", "softwood cuttings"),
                            ("semi", "semi-hardwood cuttings"),
                            ("hardwood", "hardwood cuttings"),
                            ("seed", "seed"),
                            ("division", "division"),
                        ],
                        max_length=8,
                    ),
                ),
                ("hormone", models.CharField(blank=True, max_length=60)),
                (
                    "hormone_form",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("dip", "quick dip"),
                            ("soak", "long soak"),
                            ("talc", "powder"),
                            ("gel", "gel"),
                            ("spray", "spray on the leaves"),
                        ],
                        max_length=5,
                    ),
                ),
                ("hormone_ppm", models.PositiveIntegerField(blank=True, null=True)),
                ("medium", models.CharField(blank=True, max_length=60)),
                (
                    "bottom_heat_c",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "taken_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="batches_taken",
                        to="inventory.person",
                    ),
                ),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "verbose_name_plural": "batches",
                "ordering": ["-started_on", "code"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("wood__in", ["", "softwood", "semi", "hardwood", "seed", "division"])
                        ),
                        name="inventory_batch_wood_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hormone_form__in", ["", "dip", "soak", "talc", "gel", "spray"])
                        ),
                        name="inventory_batch_hormone_form_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hormone_ppm__isnull", True),
                            ("hormone_ppm__range", (1, 1000000)),
                            _connector="OR",
                        ),
                        name="inventory_batch_strength_is_possible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("bottom_heat_c__isnull", True),
                            ("bottom_heat_c__range", (1, 60)),
                            _connector="OR",
                        ),
                        name="inventory_batch_heat_is_possible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["stick", "sow", "divide", "receive", "opening"])
                        ),
                        name="inventory_batch_kind_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Movement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="inventory.operation",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("begun", "begun"),
                            ("found", "found by a count"),
                            ("moved", "moved to another lot"),
                            ("sold", "sold"),
                            ("returned", "returned"),
                            ("lost", "lost, as expected"),
                            ("lost_abnormal", "lost beyond what is expected"),
                            ("used", "used"),
                            ("given", "given away"),
                        ],
                        max_length=13,
                    ),
                ),
                (
                    "from_lot",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements_out",
                        to="inventory.lot",
                    ),
                ),
                (
                    "to_lot",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements_in",
                        to="inventory.lot",
                    ),
                ),
                ("quantity", models.PositiveIntegerField()),
                (
                    "batch",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="inventory.batch",
                    ),
                ),
                (
                    "cause",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="inventory.losscause",
                    ),
                ),
                (
                    "of",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="given_back",
                        to="inventory.movement",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["from_lot", "date"], name="inventory_movement_out"),
                    models.Index(fields=["to_lot", "date"], name="inventory_movement_in"),
                    models.Index(
                        fields=["date", "operation", "id"], name="inventory_movement_order"
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)),
                        name="inventory_movement_quantity_is_positive",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("from_lot__isnull", False),
                                ("kind", "moved"),
                                ("to_lot__isnull", False),
                            ),
                            models.Q(
                                models.Q(("kind", "moved"), _negated=True),
                                models.Q(
                                    models.Q(("from_lot__isnull", True), ("to_lot__isnull", False)),
                                    models.Q(("from_lot__isnull", False), ("to_lot__isnull", True)),
                                    _connector="OR",
                                ),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_movement_between_lots_only_when_moved",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("from_lot", models.F("to_lot")), _negated=True),
                        name="inventory_movement_leaves_its_lot",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("batch__isnull", False), ("kind", "begun")),
                            models.Q(
                                models.Q(("kind", "begun"), _negated=True), ("batch__isnull", True)
                            ),
                            _connector="OR",
                        ),
                        name="inventory_movement_begun_names_its_batch",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("cause__isnull", False), ("kind__in", ["lost", "lost_abnormal"])
                            ),
                            models.Q(
                                models.Q(("kind__in", ["lost", "lost_abnormal"]), _negated=True),
                                ("cause__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_movement_lost_names_its_cause",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "returned"), _negated=True),
                            ("of__isnull", False),
                            _connector="OR",
                        ),
                        name="inventory_movement_returned_names_its_sale",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Carried",
            fields=[
                ("cost_cuttings", nursery.fields.MoneyField(default=0)),
                ("cost_plants", nursery.fields.MoneyField(default=0)),
                ("cost_medium", nursery.fields.MoneyField(default=0)),
                ("cost_containers", nursery.fields.MoneyField(default=0)),
                ("cost_feed", nursery.fields.MoneyField(default=0)),
                ("cost_labour", nursery.fields.MoneyField(default=0)),
                ("cost_heat", nursery.fields.MoneyField(default=0)),
                ("cost_space", nursery.fields.MoneyField(default=0)),
                ("cost_royalty", nursery.fields.MoneyField(default=0)),
                ("cost_other", nursery.fields.MoneyField(default=0)),
                ("cost_own_time", nursery.fields.MoneyField(default=0)),
                (
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="carried",
                        serialize=False,
                        to="inventory.movement",
                    ),
                ),
                ("on_hand_after", models.IntegerField(default=0)),
            ],
            options={
                "verbose_name_plural": "carried",
            },
        ),
        migrations.CreateModel(
            name="StepDone",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps_done",
                        to="inventory.batch",
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="done",
                        to="inventory.methodstep",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[("done", "done"), ("skipped", "left out"), ("undone", "undone")],
                        max_length=7,
                    ),
                ),
                ("date", models.DateField()),
                ("what", models.CharField(max_length=80)),
                ("reason", models.CharField(blank=True, max_length=200)),
                (
                    "operation",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps_done",
                        to="inventory.operation",
                    ),
                ),
                (
                    "follows",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="followed_by",
                        to="inventory.stepdone",
                    ),
                ),
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
            ],
            options={
                "verbose_name_plural": "steps done",
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("follows__isnull", True)),
                        fields=("batch", "step"),
                        name="inventory_stepdone_is_one_chain",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "undone"), _negated=True),
                            ("follows__isnull", False),
                            _connector="OR",
                        ),
                        name="inventory_stepdone_undoing_follows_what_it_undoes",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "skipped"), _negated=True),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="inventory_stepdone_left_out_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Supply",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80, unique=True)),
                (
                    "unit",
                    models.CharField(
                        choices=[
                            ("piece", "pieces"),
                            ("litre", "litres"),
                            ("gram", "grams"),
                            ("metre", "metres"),
                        ],
                        default="piece",
                        max_length=6,
                    ),
                ),
                ("category", models.CharField(default="containers", max_length=10)),
                (
                    "pack_size",
                    nursery.fields.QuantityField(
                        blank=True, null=True, verbose_name="units in one pack"
                    ),
                ),
                (
                    "reorder_at",
                    nursery.fields.QuantityField(
                        blank=True, null=True, verbose_name="order again at"
                    ),
                ),
                (
                    "settling_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=0,
                        help_text="How much of its loose volume a medium loses in the pot.",
                        max_digits=5,
                        verbose_name="settles by percent",
                    ),
                ),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "verbose_name_plural": "supplies",
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "category__in",
                                [
                                    "cuttings",
                                    "plants",
                                    "medium",
                                    "containers",
                                    "feed",
                                    "labour",
                                    "heat",
                                    "space",
                                    "royalty",
                                    "other",
                                ],
                            )
                        ),
                        name="inventory_supply_category_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("settling_percent__gte", 0), ("settling_percent__lt", 100)
                        ),
                        name="inventory_supply_settles_by_less_than_all",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("pack_size__isnull", True), ("pack_size__gt", 0), _connector="OR"
                        ),
                        name="inventory_supply_pack_holds_something",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RecipeLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "recipe",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="inventory.recipe",
                    ),
                ),
                (
                    "supply",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="recipe_lines",
                        to="inventory.supply",
                    ),
                ),
                ("quantity", nursery.fields.QuantityField(verbose_name="for one plant")),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("recipe", "supply"), name="inventory_recipeline_once_per_supply"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)),
                        name="inventory_recipeline_takes_something",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SupplyEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "supply",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="inventory.supply",
                    ),
                ),
                ("date", models.DateField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("bought", "bought"),
                            ("used", "used"),
                            ("counted", "counted"),
                            ("undone", "undone"),
                        ],
                        max_length=7,
                    ),
                ),
                ("quantity", nursery.fields.QuantityField()),
                ("amount", nursery.fields.MoneyField()),
                (
                    "operation",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="supplies",
                        to="inventory.operation",
                    ),
                ),
                ("supplier", models.CharField(blank=True, max_length=80)),
                ("note", models.TextField(blank=True)),
                ("request_id", models.UUIDField(blank=True, null=True, unique=True)),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="inventory.supplyentry",
                    ),
                ),
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
            ],
            options={
                "verbose_name_plural": "supply entries",
                "indexes": [
                    models.Index(fields=["supply", "date"], name="inventory_supply_by_date")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "bought"), _negated=True),
                            models.Q(("amount__gte", 0), ("quantity__gt", 0)),
                            _connector="OR",
                        ),
                        name="inventory_supplyentry_bought_comes_in",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "undone"), ("reverses__isnull", False)),
                            models.Q(
                                models.Q(("kind", "undone"), _negated=True),
                                ("reverses__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="inventory_supplyentry_undoing_names_what_it_undoes",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Target",
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
                        related_name="targets",
                        to="inventory.plant",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="targets",
                        to="inventory.container",
                    ),
                ),
                ("quantity", models.PositiveIntegerField()),
                ("ready_by", models.DateField()),
                (
                    "assurance",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (80, "four times in five"),
                            (90, "nine times in ten"),
                            (95, "nineteen times in twenty"),
                        ],
                        default=90,
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=200)),
                ("is_removed", models.BooleanField(default=False, editable=False)),
                ("request_id", models.UUIDField(editable=False, unique=True)),
            ],
            options={
                "ordering": ["ready_by", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__range", (1, 9999999))),
                        name="inventory_target_wants_plants",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("assurance__in", [80, 90, 95])),
                        name="inventory_target_assurance_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="UncarriedCost",
            fields=[
                (
                    "entry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="uncarried",
                        serialize=False,
                        to="inventory.costentry",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="WorkEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work",
                        to="inventory.operation",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work",
                        to="inventory.person",
                    ),
                ),
                ("category", models.CharField(default="labour", max_length=10)),
                ("minutes", nursery.fields.QuantityField()),
                ("amount", nursery.fields.MoneyField()),
            ],
            options={
                "verbose_name_plural": "work entries",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("category__in", ["labour", "own_time"])),
                        name="inventory_workentry_category_is_of_time",
                    )
                ],
            },
        ),
        only_grows(
            "inventory_bill",
            "inventory_billshare",
            "inventory_closing",
            "inventory_costentry",
            "inventory_count",
            "inventory_measurement",
            "inventory_movement",
            "inventory_operation",
            "inventory_paidahead",
            "inventory_placement",
            "inventory_stepdone",
            "inventory_supplyentry",
            "inventory_workentry",
        ),
        migrations.RunPython(write_rows, migrations.RunPython.noop),
    ]
