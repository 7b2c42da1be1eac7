"""The causes of doubt that skeins share: a niddy-noddy's bias, a lot's relaxation, a wrap style.

`shared_cause` says where each stands in the one covariance matrix of `shared_covariance`.
"""

from collections.abc import Sequence

import numpy as np
from sqlalchemy import Connection, delete, insert, select

from farspun.craft.readings import Floats
from farspun.store.tables import shared_cause, shared_covariance

STORED = np.dtype("<f8")


def keep_shared(connection: Connection, causes: Sequence[dict[str, object]], cov: Floats) -> None:
    """Replace what is kept of the shared causes; `causes` are rows of shared_cause in order."""
    connection.execute(delete(shared_cause))
    connection.execute(delete(shared_covariance))
    if causes:
        connection.execute(insert(shared_cause), list(causes))
    connection.execute(
        insert(shared_covariance).values(
            id=1, size=len(causes), cov=np.asarray(cov, dtype=STORED).tobytes()
        )
    )


def shared_block(connection: Connection, keys: Sequence[str]) -> Floats:
    """Covariance (k, k) of the shared causes named, in the order of `keys`.

    Raises KeyError for a key that is not kept.
    """
    if not keys:
        return np.zeros((0, 0))
    position = {
        row.key: row.position
        for row in connection.execute(select(shared_cause.c.key, shared_cause.c.position))
    }
    size, stored = connection.execute(
        select(shared_covariance.c.size, shared_covariance.c.cov)
    ).one()
    cov = np.frombuffer(stored, dtype=STORED).reshape(size, size)
    at = [position[key] for key in keys]
    return np.asarray(cov[np.ix_(at, at)], dtype=np.float64)
