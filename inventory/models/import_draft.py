"""A notebook on its way into the ledger."""

from django.conf import settings
from django.db import models


class ImportDraft(models.Model):
    """A grower's own table, and what its owner has said of it so far.

    `sheets` holds every sheet as [name, rows], rows of text or None where there are too many;
    `matching` our name of each column by its place, `answers` what was said of a spelling, and
    `mended` the cells typed anew by row. It is forgotten once it is in the ledger. `key` is the
    request id under which it comes in: the same file has the same one until it is there.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    key = models.UUIDField()
    file_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)
    told = models.CharField(max_length=200)
    sheets = models.JSONField()
    sheet = models.PositiveSmallIntegerField(default=0)
    heading_row = models.PositiveSmallIntegerField(default=0)
    matching = models.JSONField(default=dict)
    answers = models.JSONField(default=dict)
    mended = models.JSONField(default=dict)
    counted_on = models.DateField()
    kept_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-kept_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                name="inventory_importdraft_is_one_for_each_file", fields=["owner", "key"]
            ),
            models.CheckConstraint(
                name="inventory_importdraft_names_its_file",
                condition=~models.Q(file_name="") & ~models.Q(digest=""),
            ),
        ]

    def __str__(self):
        return self.file_name

    @property
    def rows(self) -> list[list[str]]:
        """The rows of the sheet that was chosen."""
        return self.sheets[self.sheet][1] or []
