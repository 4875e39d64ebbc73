"""No form breaks its page, whatever is sent; what is refused is said, and what was typed stays."""

from tests.fuzz import MORE
from tests.fuzz.addresses import quick_routes, right, some_of
from tests.fuzz.hostile import VALUES
from tests.fuzz.sending import broken, forms_in, handed_in, twice, without
from tests.fuzz.visiting import Noting, told

# Of each form so many fields are broken one by one, and the others all at once.
MOST_FIELDS = 4 * (MORE - 1)
ANSWERS = {200, 302, 303, 400, 403, 404, 405, 409, 413, 429}
MAY_BE_WRONG = ("on", "quantity", "amount", "until")
TYPED = "Typed 🌱 and kept"


def every_form(visitor):
    """Yield each form that the pages show, once for each address it is sent to."""
    seen = set()
    for start, route in enumerate(quick_routes()):
        address = right(route, start)
        answer = visitor.ask(address, follow=True)
        if answer is None or "text/html" not in answer.headers.get("Content-Type", ""):
            continue
        shown_at = answer.request["PATH_INFO"] + "?" + answer.request.get("QUERY_STRING", "")
        for sent_to, sent, files in forms_in(answer.text, shown_at):
            key = (sent_to.partition("?")[0], tuple(sorted(sent)))
            if key not in seen:
                seen.add(key)
                yield sent_to, sent, files


def test_no_value_breaks_a_form_and_what_was_typed_stays(visitor):
    strange, kept = set(), 0

    def send(sent_to, sent):
        answer = visitor.ask(sent_to, "post", sent)
        if answer is not None and answer.status_code not in ANSWERS:
            strange.add((answer.status_code, sent_to))

    for start, (sent_to, sent, files) in enumerate(
        [*every_form(visitor)][:: 2 if MORE == 1 else 1]
    ):
        send(sent_to, sent)
        names = sorted((Noting.names | set(sent)) - {"csrfmiddlewaretoken"})
        for value in some_of(VALUES, MORE, start):
            send(sent_to, broken({}, names, value))
        for place, name in enumerate(some_of(names or ["x"], min(len(names), MOST_FIELDS), start)):
            send(sent_to, without(sent, name))
            for value in some_of(VALUES, MORE, start + place):
                send(sent_to, broken(sent, [name], value))
                send(sent_to, twice(sent, name, value))
        for place, name in enumerate(files):
            for which in range(MORE):
                send(sent_to, handed_in(sent, name, start + place + which))
        wrong = next((name for name in MAY_BE_WRONG if name in sent), None)
        if wrong and "note" in sent:
            answer = visitor.ask(sent_to, "post", {**sent, "note": TYPED, wrong: "-x"}, follow=True)
            if answer is None or answer.status_code != 200 or TYPED not in answer.text:
                strange.add(("lost what was typed", sent_to))
            kept += 1

    assert not visitor.faults, told(visitor.faults)
    assert kept > 5 and not strange, strange
    print(f"{visitor.visits} visits")
