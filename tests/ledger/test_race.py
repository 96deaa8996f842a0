"""Many writers, one chain."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from opsrisk.ledger import actions
from opsrisk.ledger.models import Entry
from tests.ledger.test_append import append

WRITERS, EACH = 10, 10


@pytest.mark.django_db(transaction=True)
def test_entries_of_parallel_writers_form_one_unbroken_log():
    """No two writers take the same place, and the head is the root over all of them."""

    def write(writer: int) -> None:
        for number in range(EACH):
            append(writer * EACH + number)
        connection.close()

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(write, range(WRITERS)))

    assert sorted(Entry.objects.values_list("index", flat=True)) == list(range(WRITERS * EACH))
    assert actions.verify().problems == ()
