"""docs/csv.md and docs/json.md name every column and every key there is, and no other."""

import re

import pytest
from pydantic import BaseModel

from docs.pages import TOP
from farspun.services import document
from farspun.services.csv_cells import COLUMNS

CSV = (TOP / "docs" / "csv.md").read_text(encoding="utf-8")
JSON = (TOP / "docs" / "json.md").read_text(encoding="utf-8")
PAGES = {
    "the whole": document.StashDocument,
    "`actions`": document.ActionDocument,
    "`looms`": document.LoomDocument,
    "`reeds`": document.ReedDocument,
    "`skeins`": document.SkeinDocument,
    "`readings`": document.ReadingDocument,
    "`ledger`": document.LineDocument,
    "`cloths`": document.ClothDocument,
    "`warp`, `weft`": document.PartDocument,
    "`assumptions`": document.AssumptionDocument,
    "`claims`": document.ClaimDocument,
    "`records`": document.RecordDocument,
    "`confirmed`": document.ConfirmedDocument,
}


def test_every_column_of_a_table_is_on_its_page_in_order() -> None:
    rows = re.findall(r"^\| (`.*?) \|", CSV, flags=re.MULTILINE)
    named = [name for row in rows for name in re.findall(r"`(\w+)`", row)]
    assert sorted(named) == sorted(COLUMNS)


@pytest.mark.parametrize("place", PAGES)
def test_every_key_of_a_document_is_on_its_page(place: str) -> None:
    model: type[BaseModel] = PAGES[place]
    [row] = re.findall(rf"^\| {re.escape(place)} \| (.*) \|$", JSON, flags=re.MULTILINE)
    assert re.findall(r"`(\w+)`", row) == list(model.model_fields)
