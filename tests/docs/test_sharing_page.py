"""docs/sharing.md shows what the program prints, and its figures are those of the code."""

import json
import math
import re
from pathlib import Path
from statistics import NormalDist

import numpy as np

from docs.pages import SHARING, Example, answered, examples, prepare
from farspun.craft.allocation import JOIN_M, Sharing, pieces_likely, robust_metres
from farspun.services.claiming import LOST
from farspun.services.share_rounds import ROUNDS
from farspun.services.solving import ENOUGH, ENOUGH_OF_MANY, TIME_S, solved

PAGE = SHARING.read_text(encoding="utf-8")
WORDS = " ".join(PAGE.split())


def test_every_command_of_the_page_answers_what_is_written_below_it(tmp_path: Path) -> None:
    prepare(PAGE, tmp_path)
    shown = examples(PAGE)
    assert [example.words[0] for example in shown] == ["share-out", "share-out"]
    for example in shown:
        output = answered(example, tmp_path).output
        assert example.shown == output, f"farspun {example.words}: write docs/sharing.md anew"


def test_every_key_of_the_document_is_on_the_page(tmp_path: Path) -> None:
    prepare(PAGE, tmp_path)
    found = json.loads(answered(Example("farspun share-out --json", ""), tmp_path).stdout)
    parts = [found, *found["cloths"], *found["changes"], *found["left_out"]]
    needs = [need for cloth in found["cloths"] for need in cloth["needs"]]
    parts += [*needs, *(given for need in needs for given in need["given"])]
    told = set(re.findall(r"`([a-z_]+)`", PAGE.partition("## As JSON")[2]))
    assert {key for part in parts for key in part} == told


def test_what_is_worked_by_hand_holds_by_itself() -> None:
    """With the page's own figures and nothing of the code."""
    sd = math.sqrt(0.06**2 + 0.02**2 + 0.03**2)
    kept = math.exp(-NormalDist().inv_cdf(0.975) * sd)
    share = 300 / (400 * kept)
    for figure in (f"= {sd:.4f}", f"= {kept:.4f}", f"ρ = {400 * kept:.1f} m", f"= {share:.3f} of"):
        assert figure in WORDS, figure
    assert f"of the skein, {400 * share:.0f} m." in WORDS


def test_what_is_worked_by_hand_is_what_the_code_shares_out() -> None:
    z = NormalDist().inv_cdf(0.975)
    pieces = pieces_likely(300.0, np.array([400.0]))
    robust_m = float(robust_metres(400.0, 0.06, 0.02, 0.03, pieces, z))
    one = np.zeros(1, dtype=np.int64)
    asked = Sharing(
        skein=one,
        need=one,
        robust_m=np.array([robust_m]),
        bound_m=np.array([400.0]),
        join_m=np.array([JOIN_M]),
        required_m=np.array([300.0]),
    )
    assert f"ρ = {robust_m:.1f} m" in WORDS
    assert f"= {solved(asked).shares[0]:.3f} of the skein" in WORDS


def test_the_constants_of_the_page_are_the_ones_used() -> None:
    (few, proven), (many, sought) = ENOUGH
    assert proven == 0
    for said in (
        f"| a join | {JOIN_M:.0f} m |",
        f"| no further round after | {TIME_S:.0f} s |",
        f"of up to {few} ways of a skein to a need the least is then proven",
        f"of up to {many} it is sought to within {100 * sought:.0f} %",
        f"of more to within {100 * ENOUGH_OF_MANY:.0f} %",
    ):
        assert said in WORDS, said
    assert ROUNDS == 6 and "six times at most" in WORDS
    assert LOST == 0.005 and "half a point below the promise" in WORDS
