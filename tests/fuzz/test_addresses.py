"""No address, parameter or method breaks a page: it answers, or says that it cannot."""

from urllib.parse import quote, urlencode

from tests.fuzz import MORE
from tests.fuzz.addresses import quick_routes, right, routes, some_of, wrong, wrong_values
from tests.fuzz.hostile import VALUES
from tests.fuzz.visiting import Noting, told

METHODS = ("put", "delete", "patch", "options", "head", "trace")


def test_no_path_breaks_a_page(visitor):
    for start, route in enumerate(routes()):
        for address in wrong(route, wrong_values(MORE, start)):
            visitor.ask(address)
            visitor.ask(address, "post", {})

    assert not visitor.faults, told(visitor.faults)
    print(f"{visitor.visits} visits")


def test_no_parameter_breaks_a_page(visitor):
    for start, route in enumerate(quick_routes()[:: 3 if MORE == 1 else 1]):
        address = right(route, start)
        if visitor.ask(address) is None:
            continue
        names = sorted(Noting.names | {"page", "q"})
        for value in some_of(VALUES, MORE, start):
            visitor.ask(address + "?" + urlencode(dict.fromkeys(names, value), errors="replace"))
        for place, name in enumerate(names if MORE > 1 else ()):
            for value in some_of(VALUES, MORE, start + place):
                visitor.ask(f"{address}?{quote(name)}={quote(value, errors='replace')}")
                visitor.ask(f"{address}?{quote(name)}[]=%ff&{quote(name)}=1&{quote(name)}=2")

    assert not visitor.faults, told(visitor.faults)
    print(f"{visitor.visits} visits")


def test_no_method_breaks_a_page(visitor):
    for start, route in enumerate(quick_routes()[:: 2 if MORE == 1 else 1]):
        for method in some_of(METHODS, 1 if MORE == 1 else len(METHODS), start):
            visitor.ask(right(route), method)

    assert not visitor.faults, told(visitor.faults)
    print(f"{visitor.visits} visits")
