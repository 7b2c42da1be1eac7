"""One nursery for all the fault tests."""

from collections.abc import Iterator

import pytest

from faults.nursery import Nursery


@pytest.fixture(scope="session")
def nursery() -> Iterator[Nursery]:
    """Where processes of their own come from."""
    with Nursery() as nursery:
        yield nursery
