"""The offer to undo is made once, and only a page that shows it takes it."""

from types import SimpleNamespace

from nursery import context
from nursery.undo import offer_undo, take_undo


def test_undo_is_offered_on_the_next_page_only():
    request = SimpleNamespace(session={})
    offer_undo(request, "Potted up 40.", "/operations/7/undo/")

    assert take_undo(request) == {"text": "Potted up 40.", "url": "/operations/7/undo/"}
    assert take_undo(request) is None


def test_a_request_without_a_session_has_nothing_to_undo():
    assert take_undo(SimpleNamespace()) is None


def test_a_page_that_does_not_show_the_offer_leaves_it_for_the_next():
    request = SimpleNamespace(session={})
    offer_undo(request, "Potted up 40.", "/operations/7/undo/")

    context.nursery(request)

    assert take_undo(request) is not None


def test_a_page_without_an_offer_shows_none():
    given = context.nursery(SimpleNamespace(session={}))

    assert not given["undo"]
