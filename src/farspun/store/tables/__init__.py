"""The tables of a stash, as farspun knows them now.

Amounts are whole numbers of a small unit, named in the column (mm, mg, millionths); a scale's
step is in micrograms. `action` has one row for each command that wrote; every other row carries
its id. What was measured and what was made, taken and weighed is only ever added to. Estimates are
derived from it and may be rebuilt at will, so they alone hold floating numbers.

The file itself is made by farspun.store.migrations; a test compares the two.
"""

from sqlalchemy import Table

from farspun.store.tables import cloths, doings, equipment, estimates, records, skeins
from farspun.store.tables.columns import Row

METADATA = doings.Action.metadata


def _table(row: type[Row]) -> Table:
    return METADATA.tables[str(row.__tablename__)]


action, change = _table(doings.Action), _table(doings.Change)
skein, evidence, entry = (_table(of) for of in (skeins.Skein, skeins.Evidence, skeins.Entry))
struck = _table(skeins.Struck)
loom, reed = _table(equipment.Loom), _table(equipment.Reed)
cloth, cloth_yarn = _table(cloths.Cloth), _table(cloths.ClothYarn)
cloth_spread, claim = _table(cloths.ClothSpread), _table(cloths.Claim)
record, confirmed = _table(records.Record), _table(records.Confirmed)
weighing = _table(records.Weighing)
estimate = _table(estimates.Estimate)
shared_cause = _table(estimates.SharedCause)
shared_covariance = _table(estimates.SharedCovariance)
