"""What must hold of a ledger after any fault."""

from django.apps import apps
from django.db import connection
from django.db.models import Count, F, Max

from inventory.models import Photo
from inventory.models.kept import COST_FIELDS
from nursery.kept_files import kept_file
from nursery.management.commands.verify import PROOFS
from sales.models import Document

APPS = ("inventory", "sales")


def differences() -> list[str]:
    """Say all that is not as it should be: books, numbers of documents, files of pictures."""
    found = [words for proof in PROOFS for words in proof()]
    return found + list(_gaps()) + list(_missing_files())


def shape() -> tuple:
    """Return how many rows each table has and what the lots hold: a deed once more keeps it."""
    tables = [
        model._meta.db_table for name in APPS for model in apps.get_app_config(name).get_models()
    ]
    counts = [f"(SELECT COUNT(*) FROM {table})" for table in sorted(tables)]
    sums = [f"(SELECT SUM({name}) FROM inventory_lotbalance)" for name in ("on_hand", *COST_FIELDS)]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(counts + sums)}")
        return tuple(cursor.fetchone())


def _gaps():
    numbered = Document.objects.exclude(series="").order_by().values("series")
    ends = numbered.annotate(many=Count("pk"), last=Max("serial"))
    for row in ends.exclude(many=F("last")):
        yield f"Numbers of {row['series']} go to {row['last']}, and there are {row['many']}."


def _missing_files():
    for photo in Photo.objects.all():
        for name in (photo.large, photo.small):
            if not kept_file(name).exists() or not kept_file(name).stat().st_size:
                yield f"Picture {photo.pk} has lost its file {name}."
