"""Keep a notebook while its owner matches and mends it; forget it afterwards.

A draft is no ledger: it may be changed and thrown away. Nothing of it counts before
`bring_in_draft` enters it.
"""

from collections.abc import Mapping
from datetime import date
from uuid import UUID, uuid5

from inventory.errors import LedgerError
from inventory.models import ImportDraft, Operation
from inventory.notebook.columns import guess_heading_row, guess_matching
from inventory.operations.posting import ledger_held
from nursery.sheet_file import SheetFile

NAMESPACE = UUID("8b0f3a52-6f0e-4c0b-9a35-2d1c7be04f19")
MOST_DRAFTS = 5


def keep_draft(*, file: SheetFile, file_name: str, by) -> ImportDraft:
    """Keep a file that was read; the same file again gives its owner the same draft.

    A file that is in the ledger already may be kept anew, under another key. Raises
    LedgerError where its owner keeps too many.
    """
    with ledger_held():
        key = _key_of(file.digest)
        there = ImportDraft.objects.filter(owner=by, key=key).first()
        if there:
            return there
        if ImportDraft.objects.filter(owner=by).count() >= MOST_DRAFTS:
            raise LedgerError(
                f"You keep {MOST_DRAFTS} notebooks here already. Bring one in, or forget one.",
                field="file",
            )
        draft = ImportDraft(
            owner=by,
            key=key,
            file_name=file_name[-120:] or "notebook",
            digest=file.digest,
            told=file.told,
            sheets=[[sheet.name, sheet.rows] for sheet in file.sheets],
            counted_on=date.today(),
        )
        draft.sheet = max(range(len(file.sheets)), key=lambda n: len(file.sheets[n].rows or ()))
        _guess(draft)
        draft.save()
        return draft


def choose_sheet(*, draft: ImportDraft, sheet: int) -> ImportDraft:
    """Take another sheet of the file; what was matched and answered is guessed anew."""
    with ledger_held():
        draft.refresh_from_db()
        if sheet != draft.sheet:
            draft.sheet, draft.mended, draft.answers = sheet, {}, {}
            _guess(draft)
            draft.save()
        return draft


def match_columns(
    *,
    draft: ImportDraft,
    heading_row: int,
    matching: Mapping[str, str],
    fill: bool,
    counted_on: date,
) -> ImportDraft:
    """Say which column is what, where the headings stand, and when plants were counted."""
    with ledger_held():
        draft.refresh_from_db()
        draft.heading_row, draft.matching = heading_row, dict(matching)
        draft.counted_on = counted_on
        draft.answers = draft.answers | {"fill": fill}
        draft.save()
        return draft


def answer_draft(
    *,
    draft: ImportDraft,
    answers: Mapping[str, Mapping[str, str]],
    mended: Mapping[str, Mapping[str, str]],
) -> ImportDraft:
    """Add answers by spelling, {kind: {spelling: answer}}, and cells typed anew, {row: {…}}."""
    with ledger_held():
        kept = ImportDraft.objects.get(pk=draft.pk)
        for kind, said in answers.items():
            kept.answers[kind] = kept.answers.get(kind, {}) | dict(said)
        for row, cells in mended.items():
            kept.mended[row] = kept.mended.get(row, {}) | dict(cells)
        kept.save()
        return kept


def forget_draft(*, draft: ImportDraft) -> None:
    """Throw a draft away. Nothing in the ledger changes."""
    with ledger_held():
        ImportDraft.objects.filter(pk=draft.pk).delete()


def brought_in_before(digest: str) -> list[Operation]:
    """Return the entries that brought a file in, the latest last."""
    found, number = [], 0
    while operation := Operation.objects.filter(request_id=_numbered(digest, number)).first():
        found.append(operation)
        number += 1
    return found


def _key_of(digest):
    return _numbered(digest, len(brought_in_before(digest)))


def _numbered(digest, number):
    return uuid5(NAMESPACE, f"{digest} {number}")


def _guess(draft):
    draft.heading_row = guess_heading_row(draft.rows)
    draft.matching = guess_matching(draft.rows, draft.heading_row)
