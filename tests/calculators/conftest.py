"""A bench hand who is signed in."""

import pytest


@pytest.fixture
def hand(client, bench_hand):
    client.force_login(bench_hand)
    return client
