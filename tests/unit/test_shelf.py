"""The stash as columns says what the skeins one by one say."""

from pathlib import Path

import numpy as np
import pytest

from cli.running import Desk
from farspun.services.case_for import free_share
from farspun.store.engine import Stash, reading
from farspun.store.shelf import DRAWS, TUGS, WRAPS, shelf, unwashed, wrapped
from farspun.store.supplies import supplies


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    desk = Desk(tmp_path)
    desk.does(
        "skein add A --mass 100g --length 400m --state unwashed --wpi 15wpi --wrap snug",
        "skein add B --mass 100g --length 300m --state relaxed --plies 3 --colour Navy",
        "skein add C --fibre linen --mill --label 'Nm 8/2' --mass 60g --tug holds",
        "skein add D --wpi 12wpi --draw woollen --superwash --tug drifts",
        "skein add E --mass 50g --plies 100",
        "skein add Gone --mass 50g --length 100m --state relaxed",
        "skein close Gone --because used",
        "skein add Slip --mass 50g --length 100m --state unwashed",
        "undo",
        "skein add Empty --mass 50g --length 100m --state relaxed",
        "skein take Empty 50g",
        "skein take B 20g",
        "cloth plan Shawl --size 20cmx60cm --sett 3/cm --warp A --weft B",
        "skein measure B --wpi 14wpi",
        "skein strike B 14wpi",
    )
    return Stash(path=desk.stash)


def test_every_column_is_what_the_skein_alone_says(stash: Stash) -> None:
    with reading(stash) as connection:
        whole = shelf(connection, None)
        found = supplies(connection, whole.ids.tolist())
    names = [found[int(one)].name for one in whole.ids]
    assert names == ["A", "B", "C", "D", "E", "Empty"]
    for at, number in enumerate(whole.ids.tolist()):
        one = found[number]
        flag = {name: int(values[at]) for name, values in whole.flags.items()}
        assert whole.fibres[whole.fibre[at]] == one.blend
        assert flag["tex_known"] == one.tex_known
        assert flag["length_known"] == one.known
        assert (flag["superwash"], flag["mill"]) == (one.superwash, one.mill)
        assert (DRAWS[flag["draw"]], WRAPS[flag["wrap"]]) == (one.draw, one.wrap)
        assert flag["plies"] == (one.plies or 0)
        assert whole.free[at] == pytest.approx(free_share(one, None))
        assert whole.fill[at] == pytest.approx(one.fill)
        if one.known and np.isfinite(one.ln_length):
            assert whole.ln_length[at] == one.ln_length
        else:
            assert np.isnan(whole.ln_length[at])
        tex = (whole.tex[at], whole.wraps_per_cm[at])
        if one.tex_known:
            assert tex == pytest.approx((one.tex, one.wraps_per_cm))
        else:
            assert np.isnan(tex).all()


def test_words_readings_and_claims_are_those_that_count(stash: Stash) -> None:
    with reading(stash) as connection:
        whole = shelf(connection, None)
        own = shelf(connection, 1)
        by_wraps, fresh = wrapped(connection, whole.ids), unwashed(connection, whole.ids)
    assert [whole.colours[at] for at in whole.colour] == [None, "Navy", *[None] * 4]
    assert [TUGS[at] for at in whole.flags["tug"]] == [None, None, "holds", "drifts", None, None]
    assert by_wraps.tolist() == [True, False, False, True, False, False]  # B's was a slip
    assert fresh.tolist() == [True, *[False] * 5]
    assert (whole.free < 1).tolist() == [True, True, False, False, False, False]
    assert own.free.tolist() == [1.0] * 6  # its own claims do not limit a cloth


def test_an_empty_stash_has_no_rows(tmp_path: Path) -> None:
    with reading(Stash(path=tmp_path / "none.db")) as connection:
        whole = shelf(connection, None)
    assert len(whole.ids) == len(whole.free) == 0
    assert whole.fibres == []
