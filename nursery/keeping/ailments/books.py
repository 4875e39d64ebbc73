"""Whether what the ledger holds agrees with itself, and with the files beside it."""

from collections.abc import Iterator
from itertools import islice

from django.conf import settings
from django.db.models import Count, Max, Min

from inventory.models import Nursery, Photo
from inventory.operations.rebuild import rebuild
from inventory.queries.clock import is_behind, newest_entry
from inventory.queries.proof import differences
from nursery.keeping import proof
from nursery.keeping.ailments.ailment import GRAVE, MEND, RESTORE, SMALL, Ailment
from sales.models import CertificateFile, Document
from sales.operations.open_sales import keep_all_open
from sales.queries.open_sales import open_differences

# What names a file that somebody handed in (see nursery/kept_files.py).
KEPT_COLUMNS = {Nursery: ["logo"], Photo: ["large", "small"], CertificateFile: ["file"]}
AT_MOST = 3
# What proves that a thing kept beside the ledger is right, and what works it out again.
WORKED_OUT_AGAIN = {differences: rebuild, open_differences: keep_all_open}


def books() -> Iterator[Ailment]:
    """See the books agree with a replay of the ledger."""
    from nursery.management.commands.verify import PROOFS

    holds = True
    for prove in PROOFS:
        # Only what is kept beside the ledger can be worked out again from it.
        mend = WORKED_OUT_AGAIN.get(prove)
        way_out = MEND if mend else RESTORE
        for words in islice(prove(), AT_MOST):
            holds = False
            yield Ailment(GRAVE, words, way_out, mend)
    proof.remember(holds=holds)


def numbers() -> Iterator[Ailment]:
    """See the numbers of documents have no gaps."""
    counted = {"first": Min("serial"), "last": Max("serial"), "number": Count("pk")}
    for row in Document.objects.values("series").annotate(**counted).order_by("series"):
        missing = row["last"] - row["first"] + 1 - row["number"]
        if missing:
            words = f"Series {row['series']} lacks {missing} of its numbers."
            yield Ailment(SMALL, words, "If they were never imported, ask an accountant.")


def clock() -> Iterator[Ailment]:
    """See this machine's clock was not set back."""
    newest = newest_entry()
    if is_behind(newest):
        words = f"The newest entry was made at {newest:%Y-%m-%d %H:%M}, which is still to come."
        yield Ailment(SMALL, words, "Set this machine's clock right.")


def papers() -> Iterator[Ailment]:
    """See the files that people handed in are there."""
    for model, columns in KEPT_COLUMNS.items():
        names = {name for row in model.objects.values_list(*columns) for name in row if name}
        missing = sorted(name for name in names if not (settings.DATA / "kept" / name).is_file())
        if missing:
            words = f"{len(missing)} files of {model._meta.verbose_name_plural} are missing"
            way_out = f"Copy them from the folder kept beside the copies to {settings.DATA}/kept."
            yield Ailment(SMALL, f"{words}, as {missing[0]}.", way_out)
