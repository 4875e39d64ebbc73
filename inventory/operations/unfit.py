"""Say to a person what no ledger can hold, whichever part of it noticed.

Forms ask for what fits. What comes another way, or is worked out to be too large, is noticed by
the arithmetic or by the database; here it becomes a refusal like any other.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import InvalidOperation, Overflow

from django.core.exceptions import ValidationError
from django.db import DataError, IntegrityError

from inventory.errors import LedgerError
from nursery.money import NotAnAmount

# A constraint is named by the rule that it keeps.
RULE = re.compile(r"(?:CHECK constraint failed: |violates check constraint \")(\w+)")
TOO_MUCH = (
    "A number, a day or a text in this is more than the ledger can hold. Nothing was written. "
    "Check what was entered."
)


@contextmanager
def refused_in_words() -> Iterator[None]:
    """Turn what cannot be held, or breaks a rule of the database, into a LedgerError."""
    try:
        yield
    except NotAnAmount as error:
        raise LedgerError(str(error), field="amount") from error
    except ValidationError as error:
        raise LedgerError(" ".join(error.messages)) from error
    except (DataError, OverflowError, InvalidOperation, Overflow) as error:
        raise LedgerError(TOO_MUCH) from error
    except IntegrityError as error:
        broken = RULE.search(str(error))
        if broken is None:
            raise
        rule = broken[1].partition("_")[2].replace("_", " ")
        raise LedgerError(
            f"The ledger keeps a rule that this would break: {rule}. Nothing was written. "
            "Check what was entered."
        ) from error
