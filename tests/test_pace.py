"""Who asks too much is told to wait, and nobody else is."""

import pytest

from nursery.guarding.pace import DOORS, MOST_PLACES, Buckets
from tests.factories import UserFactory

ELSEWHERE = {"REMOTE_ADDR": "203.0.113.7"}


class Clock:
    """A clock that stands until it is moved."""

    now = 0.0

    def __call__(self):
        return self.now


def test_a_bucket_is_emptied_and_fills_again_by_the_second():
    clock = Clock()
    buckets = Buckets(size=10, refill=2, clock=clock)

    assert [buckets.take("a", 5) for _ in range(3)] == [0, 0, 3]
    assert buckets.take("b", 10) == 0, "another place has its own"
    clock.now = 3.0
    assert buckets.take("a", 6) == 0
    clock.now = 1_000.0
    assert [buckets.take("a", 10), buckets.take("a", 1)] == [0, 1], "it holds no more than its size"


def test_the_place_not_heard_of_for_longest_is_forgotten_first():
    buckets = Buckets(size=1, refill=1, clock=Clock())
    buckets.take("first")
    for number in range(MOST_PLACES - 1):
        buckets.take(str(number))

    assert buckets.take("first") == 1
    buckets.take("one more")
    assert buckets.take("0") == 0 and buckets.take("first") == 1


@pytest.mark.django_db
def test_who_tries_passwords_is_told_to_wait_and_the_ledger_goes_on_for_others(client):
    UserFactory()
    typed = {"username": "grower-0", "password": "guess"}
    door = "/accounts/login/"
    tries = DOORS["size"] // 8

    answers = [client.post(door, typed, **ELSEWHERE) for _ in range(tries + 1)]

    assert {answer.status_code for answer in answers[:-1]} == {200}
    assert answers[-1].status_code == 429 and int(answers[-1]["Retry-After"]) >= 1
    assert "Wait some minutes and try again." in answers[-1].text
    assert client.get(door, REMOTE_ADDR="203.0.113.8").status_code == 200
    assert client.get(door).status_code == 200, "this machine may ask anything"


@pytest.mark.django_db
def test_who_is_logged_in_is_not_held_to_what_strangers_are(client, monkeypatch):
    monkeypatch.setattr("nursery.guarding.pace.DOORS", {"size": 2, "refill": 0.1})
    client.force_login(UserFactory())

    pages = [client.get("/help/", **ELSEWHERE).status_code for _ in range(4)]
    robots = [client.get("/robots.txt", **ELSEWHERE).status_code for _ in range(3)]

    assert pages == [200] * 4 and robots == [200, 200, 429]


@pytest.mark.django_db
def test_whatever_is_asked_of_there_is_an_end_to_it(client, monkeypatch):
    UserFactory()
    monkeypatch.setattr("nursery.guarding.pace.EVERYTHING", {"size": 5, "refill": 1})

    codes = [client.get("/nowhere/", **ELSEWHERE).status_code for _ in range(6)]

    assert codes == [404] * 5 + [429]
