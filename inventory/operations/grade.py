"""Say which grade a lot's plants are."""

from inventory.errors import LedgerError
from inventory.models import Lot
from inventory.operations.posting import ledger_held


@ledger_held()
def grade_lot(*, lot: Lot, grade: str) -> Lot:
    """Set the grade of a lot's plants; empty is no grade.

    Plants moved into a new lot take the grade along; potted up, they are graded anew. The
    same grade once more changes nothing. Raises LedgerError for one that is too long.
    """
    grade = " ".join(grade.split())
    longest = Lot._meta.get_field("grade").max_length
    if len(grade) > longest:
        raise LedgerError(
            f"“{grade}” has {len(grade)} letters. Write a grade in {longest} or fewer.",
            field="grade",
        )
    Lot.objects.filter(pk=lot.pk).update(grade=grade)
    lot.grade = grade
    return lot
