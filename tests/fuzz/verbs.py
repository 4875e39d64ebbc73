"""Every verb, and what each is asked."""

from inspect import isclass, signature
from uuid import uuid4

from inventory import operations as grow
from sales import operations as sell
from tests.fuzz.dealing import DEALING
from tests.fuzz.growing import GROWING
from tests.fuzz.raising import RAISING
from tests.fuzz.selling import SELLING

VERBS = {**GROWING, **RAISING, **SELLING, **DEALING}
# A notebook is a file: what breaks one is tried where files are. A step's entry is any other verb.
LEFT_OUT = {
    *(grow.keep_draft, grow.choose_sheet, grow.match_columns, grow.answer_draft),
    *(grow.forget_draft, grow.bring_in_draft, grow.enter_for_step),
}
MAY_BE_NOTHING = {
    *("costs", "place", "to", "quantity", "buyer", "until", "deposit"),
    *("plant", "after", "temperature_c", "valid_until", "content", "stock"),
}


def asked(verb, world) -> dict | None:
    """Draw what a verb is asked, or None where there is nothing yet to ask it of."""
    facts = VERBS[verb](world)
    if any(value is None for name, value in facts.items() if name not in MAY_BE_NOTHING):
        return None
    # One that drafts an entry is given these by what writes the draft.
    known = ("by", "request_id") if hasattr(verb, "draft") else signature(verb).parameters
    more = {"by": world.by, "request_id": uuid4()}
    return {name: more[name] for name in more if name in known} | facts


def untried() -> set[str]:
    """Name the verbs that nothing is asked of."""
    told = {vars(room)[name] for room in (grow, sell) for name in room.__all__}
    return {verb.__name__ for verb in told - set(VERBS) - LEFT_OUT if not isclass(verb)}
