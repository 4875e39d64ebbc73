"""Labels by their measures, and links by which a buyer sees one document."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import GreaterThanOrEqual

from sales.labels.grid import Grid
from sales.models.documents import Document


def millimetres(**more) -> models.DecimalField:
    """Return a field for a length in millimetres, to a hundredth."""
    return models.DecimalField(max_digits=6, decimal_places=2, **more)


class LabelStock(models.Model):
    """Labels that the nursery entered by their measures: a sheet of them, or a roll.

    All lengths are in millimetres. `left` and `top` are the margins before the first
    label, `across` and `down` the gaps between labels. A roll has one label a page.
    """

    class Paper(models.TextChoices):
        A4 = "A4", "A4, 210 × 297 mm"
        LETTER = "letter", "letter, 8½ × 11 in"
        ROLL = "roll", "a roll, one label wide"

    name = models.CharField(max_length=40, unique=True)
    paper = models.CharField(max_length=6, choices=Paper)
    columns = models.PositiveSmallIntegerField(default=1, validators=[MaxValueValidator(20)])
    rows = models.PositiveSmallIntegerField(default=1, validators=[MaxValueValidator(60)])
    width = millimetres(validators=[MinValueValidator(15)])
    height = millimetres(validators=[MinValueValidator(10)])
    left = millimetres(default=0)
    top = millimetres(default=0)
    across = millimetres(default=0)
    down = millimetres(default=0)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="sales_labelstock_paper_is_known",
                condition=Q(paper__in=["A4", "letter", "roll"]),
            ),
            models.CheckConstraint(
                name="sales_labelstock_has_labels",
                condition=Q(columns__range=(1, 20)) & Q(rows__range=(1, 60)),
            ),
            models.CheckConstraint(
                name="sales_labelstock_labels_are_large_enough",
                condition=Q(width__gte=15) & Q(height__gte=10),
            ),
            models.CheckConstraint(
                name="sales_labelstock_margins_are_not_negative",
                condition=Q(left__gte=0) & Q(top__gte=0) & Q(across__gte=0) & Q(down__gte=0),
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def grid(self) -> Grid:
        """Where its labels lie."""
        return Grid(**{name: getattr(self, name) for name in Grid.__dataclass_fields__})


class SharedPaper(models.Model):
    """A link that shows one document to whoever has it, without a login.

    `token` is 192 random bits, so it cannot be guessed, and says nothing of the document.
    One that was stopped is `is_withdrawn`: it leads nowhere, and is back by Undo.
    """

    document = models.ForeignKey(Document, models.PROTECT, related_name="shares")
    token = models.CharField(max_length=64, unique=True)
    shared_at = models.DateTimeField(auto_now_add=True)
    is_withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                name="sales_sharedpaper_one_link_stands",
                fields=["document"],
                condition=Q(is_withdrawn=False),
            ),
            models.CheckConstraint(
                name="sales_sharedpaper_token_is_long",
                condition=GreaterThanOrEqual(Length("token"), 32),
            ),
        ]

    def __str__(self):
        return f"{self.document}, link {self.pk}"
