"""Several processes writing at once: each take is counted exactly once."""

import pytest

from farspun.store.engine import Stash
from faults.nursery import Nursery, a_place
from faults.outcomes import Outcome
from faults.stash_state import found_wrong, furnished, rows
from stashes import balance_and_ledger

WRITERS = 4
HALF_A_GRAM_MG = 500
BEGINS_WITH_MG = 890_000  # 900 g, of which 10 g were taken


@pytest.mark.parametrize("each", [25, pytest.param(200, marks=pytest.mark.long)])
def test_writers_at_once_through_the_services(nursery: Nursery, each: int) -> None:
    outcome = Outcome("writers at once through the services", f"{WRITERS} processes")
    with a_place(furnished()) as place:
        children = [nursery.start(place, takes=each) for _ in range(WRITERS)]
        ended = [child.ended() for child in children]
        assert [one.code for one in ended] == [0] * WRITERS, ended
        told = sum(one.out.count("taken") for one in ended)
        balance, ledger = balance_and_ledger(Stash(path=place), "Gorse")
        taken = (BEGINS_WITH_MG - balance) // HALF_A_GRAM_MG
        assert balance == ledger == BEGINS_WITH_MG - HALF_A_GRAM_MG * WRITERS * each
        assert told == taken == WRITERS * each
        assert found_wrong(place) == []
        for _ in range(told):
            outcome.count("done")
    outcome.tell()


@pytest.mark.parametrize("each", [10])
def test_writers_at_once_through_the_commands(nursery: Nursery, each: int) -> None:
    outcome = Outcome("writers at once through the commands", f"{WRITERS} processes")
    with a_place(furnished()) as place:
        before = len(rows(place)["action"])
        ended = []
        for _ in range(each):
            children = [
                nursery.start(place, "skein", "take", "Gorse", "1g") for _ in range(WRITERS)
            ]
            ended += [child.ended() for child in children]
        assert {one.code for one in ended} == {0}, ended
        balance, ledger = balance_and_ledger(Stash(path=place), "Gorse")
        assert balance == ledger == BEGINS_WITH_MG - 1000 * WRITERS * each
        assert len(rows(place)["action"]) == before + WRITERS * each
        assert found_wrong(place) == []
        for _ in ended:
            outcome.count("done")
    outcome.tell()
