"""Note what was seen on a heated bench."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.errors import LedgerError
from inventory.models import BenchNote, Place
from inventory.operations.posting import ledger_held

COLDEST, HOTTEST = -40, 60


@ledger_held()
def note_bench(
    *,
    place: Place,
    on: date,
    request_id: UUID,
    moisture: str = "",
    temperature_c: Decimal | None = None,
    by=None,
) -> BenchNote:
    """Note how moist the medium is and, where it was read, its temperature in °C.

    Raises LedgerError where nothing is said, or for a temperature no bench has.
    """
    if known := BenchNote.objects.filter(request_id=request_id).first():
        return known
    if not moisture and temperature_c is None:
        raise LedgerError("Say how moist it is, or the temperature.", field="moisture")
    if temperature_c is not None and not COLDEST <= temperature_c <= HOTTEST:
        raise LedgerError(
            f"{temperature_c:g} °C is no temperature of a bench. Read it once more.",
            field="temperature",
        )
    return BenchNote.objects.create(
        place=place,
        date=on,
        moisture=moisture,
        temperature_c=temperature_c,
        request_id=request_id,
        entered_by=by,
    )


@ledger_held()
def remove_bench_note(*, note: BenchNote) -> None:
    """Take a note back."""
    BenchNote.objects.filter(pk=note.pk).update(is_removed=True)


@ledger_held()
def put_bench_note_back(*, note: BenchNote) -> None:
    """Keep a note again that was taken back."""
    BenchNote.objects.filter(pk=note.pk).update(is_removed=False)
