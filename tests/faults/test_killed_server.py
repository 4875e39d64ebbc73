"""The server itself is killed while a browser saves: what was answered is there, once."""

import threading
import time
from collections import Counter
from random import Random

import pytest
from django.db import connection

from inventory.models import Operation
from nursery.models import Deed
from tests.faults import visiting
from tests.faults.process import pause
from tests.faults.proofs import differences
from tests.faults.scene import small_nursery
from tests.faults.tallies import seeded, total

pytestmark = [pytest.mark.campaign, pytest.mark.django_db(transaction=True)]
FEW = 2
FIRST_GUESS = 0.2


def written(post) -> int:
    return Operation.objects.filter(request_id=post.request_id).count()


def test_a_killed_server_kept_what_it_answered_and_nothing_half(seeds, tmp_path):
    small_nursery()
    session, address = visiting.logged_in(), visiting.database_address()
    tally, usual = total("kills of the server", Counter), FIRST_GUESS

    for seed in seeds:
        chance = Random(seed)
        posts = [visiting.next_post(chance, seed % 50 * 3 + number) for number in range(3)]
        deeds = Deed.objects.count()
        connection.close()
        server = visiting.Server(tmp_path, address)
        with seeded(seed):
            began = time.monotonic()
            answered = [post for post in posts[:2] if server.send(post, session) == 302]
            usual = (time.monotonic() - began) / 2
            status = _killed_while(server, posts[2], session, chance.random() * usual * 1.1)
            assert [written(post) for post in answered] == [1] * len(answered)
            there = written(posts[2])
            assert there == 1 or status != 302
            deeds, told = Deed.objects.count() - deeds, len(answered) + (status == 302)
            assert deeds >= told, "what was answered is in the record of who did what"
            tally["there, killed before its deed"] += len(answered) + there - deeds
            assert differences() == []
            tally[_how(status, there)] += 1
            connection.close()

            again = visiting.Server(tmp_path, address)
            statuses = [again.send(post, session) for post in posts]
            again.kill()
            assert all(status == 302 for status in statuses), (posts, statuses)
            assert [written(post) for post in posts] == [1, 1, 1]
            assert differences() == []


def _killed_while(server, post, session, after):
    """Send a post, kill the server so many seconds on, and return the answer's status, if any."""
    answers = []
    sender = threading.Thread(target=lambda: answers.append(server.send(post, session)))
    sender.start()
    pause(after)
    server.kill()
    sender.join()
    return answers[0]


def _how(status, there):
    if status:
        return "answered before"
    return "there, though not answered" if there else "not there, done by the same press"
