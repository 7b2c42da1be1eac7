"""What the readings say together: derived, and rebuilt at will."""

from typing import Any

from sqlalchemy import LargeBinary
from sqlmodel import Field

from farspun.store.tables.columns import Row, check, json, to


class Estimate(Row, table=True):
    """What the readings of a skein say together, and what is left of it now.

    `loads` lists [shared cause, on ln length, on ln tex, on ln fill]; `now_load` [cause, on ln
    length]; `pulls` maps an evidence id to its residual in spreads. `now_…` are null where the
    length is not known or nothing is left; `now_sd_ln` holds own and shared doubt together.
    """

    skein_id: int = to("skein", primary_key=True)
    ln_length: float
    ln_tex: float
    ln_fill: float
    var_length: float
    cov_length_tex: float
    cov_length_fill: float
    var_tex: float
    cov_tex_fill: float
    var_fill: float
    ln_wraps_per_cm: float
    loads: list[Any] = json()
    chi2: float
    dof: int
    p: float
    length_known: bool
    tex_known: bool
    conflict: dict[str, Any] | None = json(default=None)
    pulls: dict[str, float] = json()
    now_ln_length: float | None = None
    now_own_sd_ln: float | None = None
    now_sd_ln: float | None = None
    now_load: list[Any] | None = json(default=None)
    forgotten_take: bool = False


class SharedCause(Row, table=True):
    """A cause of doubt that skeins share: where it stands in the covariance, and what it is."""

    __tablename__ = "shared_cause"
    key: str = Field(primary_key=True)
    position: int = Field(unique=True)
    mean: float
    sd: float
    skeins: int


class SharedCovariance(Row, table=True):
    """The one covariance of all shared causes: float64, little end first, row by row."""

    __tablename__ = "shared_covariance"
    __table_args__ = (check("shared_covariance_one", "id = 1"),)
    id: int = Field(primary_key=True)
    size: int
    cov: bytes = Field(sa_type=LargeBinary)
