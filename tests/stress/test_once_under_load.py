"""Nothing lost, nothing doubled: forms sent again and again, two tablets on one piece, workers killed in mid-save."""

import random
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.long_form import FULL

from .conftest import Client
from .results import drill

FORMS = 1000 if FULL else 25
RACES = 300 if FULL else 25
KILLS = 40 if FULL else 3
SAVES = 5_000 if FULL else 200


def person(number: int) -> dict:
    return {"name": f"Person {number}", "password": "a long password", "bench": "on", "once": f"key-{number}"}


def test_forms_sent_two_to_five_times_in_parallel_act_once(open_shop):
    shop = open_shop(0)
    tablets = [Client(shop.port).sign_in() for _ in range(8)]
    chance = random.Random(3)
    sendings = [n for n in range(FORMS) for _ in range(chance.randint(2, 5))]
    chance.shuffle(sendings)
    answers: list[int] = []

    def send(item: tuple[int, int]) -> None:
        place, number = item
        drop = random.Random(place).random() < 0.3
        status, _, _ = tablets[place % 8].post("/shop/people", person(number), drop)
        answers.append(status)

    with drill("forms in parallel", connection.vendor) as shown:
        with ThreadPoolExecutor(8) as pool:
            list(pool.map(send, enumerate(sendings)))
        tablets[0].post("/shop/people", person(0))  # the dropped ones have been taken in by now or never will be
        counted = shop.shell(
            "from regrind.shop.models import Person, SentForm;"
            "print(Person.objects.filter(name__startswith='Person').count(), SentForm.objects.count())"
        )
        made = int(counted.split()[0])
        shown.tries, shown.errors = len(sendings), sum(answer >= 500 for answer in answers)
        shown.lost, shown.doubled = max(0, FORMS - made), max(0, made - FORMS)
    assert set(answers) <= {0, 302}
    assert counted.split() == [str(FORMS)] * 2


@pytest.mark.drill("two tablets on one piece")
def test_two_tablets_on_one_piece_apply_once_or_conflict(open_shop, record_property):
    shop = open_shop(RACES)
    ids = shop.shell(
        "from regrind.record.models import Piece;"
        "print(*Piece.objects.order_by('batch__number').values_list('pk', flat=True))"
    ).split()
    first, second = Client(shop.port).sign_in(), Client(shop.port).sign_in()
    with ThreadPoolExecutor(2) as pool:
        for number, piece in enumerate(ids, start=1):
            gate = threading.Barrier(2)

            def send(tablet: Client, key: str, number=number, piece=piece, gate=gate) -> int:
                gate.wait()
                return tablet.post(f"/office/{number}/parcel", {"once": key, "send": piece})[0]

            statuses = sorted(pool.map(send, (first, second), (f"l{number}", f"r{number}")))
            assert statuses[0] == 302, statuses
            assert statuses[1] in (409, 422), statuses
    counted = shop.shell(
        "from regrind.office.models import Parcel, ParcelPiece;"
        "from regrind.record.models import Step;"
        "print(Parcel.objects.count(), ParcelPiece.objects.count(),"
        " Step.objects.filter(pair='released>left').count())"
    )
    assert counted.split() == [str(len(ids))] * 3
    record_property("tries", len(ids))
    record_property("doubled", 0)


def test_saves_that_were_acknowledged_survive_killed_workers(open_shop):
    shop = open_shop(0)
    clients = [Client(shop.port).sign_in() for _ in range(4)]
    acknowledged: list[int] = []
    numbers = iter(range(10**9))
    lock, done = threading.Lock(), threading.Event()

    def work(client: Client) -> None:
        while not done.is_set():
            with lock:
                number = next(numbers)
            try:
                if client.post("/shop/people", person(number))[0] == 302:
                    acknowledged.append(number)
            except OSError:
                continue  # the worker died in mid-answer: nobody was told that it was saved

    with drill(f"{KILLS} killed workers", connection.vendor) as shown:
        threads = [threading.Thread(target=work, args=(client,)) for client in clients]
        for thread in threads:
            thread.start()
        for kill in range(1, KILLS + 1):
            while len(acknowledged) < SAVES * kill // (KILLS + 1):
                time.sleep(0.02)
            shop.kill_a_worker()
        while len(acknowledged) < SAVES:
            time.sleep(0.02)
        done.set()
        for thread in threads:
            thread.join()
        names = shop.shell(
            "from regrind.shop.models import Person, SentForm;"
            "print(SentForm.objects.filter(redirect_to='').count());"
            "print(*[n.split()[1] for n in Person.objects.filter(name__startswith='Person')"
            ".values_list('name', flat=True)])"
        ).splitlines()
        stored = [int(n) for n in names[1].split()]
        shown.tries, shown.lost = len(acknowledged), len(set(acknowledged) - set(stored))
        shown.doubled = len(stored) - len(set(stored))
    assert names[0] == "0"
    assert set(acknowledged) <= set(stored)
    assert len(stored) == len(set(stored))
