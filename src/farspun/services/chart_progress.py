"""The chart of a cloth on the loom: what its ball weighs, and what it should weigh."""

from pathlib import Path

from farspun.errors import NotFound
from farspun.pictures.chart_progress import ProgressChart, progress_figure, progress_told
from farspun.services.charts import draw
from farspun.services.halfway import look_at_cloth
from farspun.services.halfway_answers import HalfwayAnswer, HalfwayYarn
from farspun.services.halfway_words import verdict_sentence
from farspun.services.picture_file import Drawn
from farspun.store.engine import Stash
from farspun.units import name_key


def draw_progress(stash: Stash, name: str, skein: str | None, file: Path) -> Drawn:
    """Draw how far a cloth is, and whether its ball lasts; of several wefts that of `skein`.

    Raises as `look_at_cloth`; NotFound for a skein that is no weft of it; WrongUse for the file.
    """
    answer = look_at_cloth(stash, name)
    chart = progress_chart(answer, _yarn(answer, skein))
    return draw(file, chart, progress_figure, progress_told(chart))


def _yarn(answer: HalfwayAnswer, skein: str | None) -> HalfwayYarn:
    """The weft that was asked for; else the one that is likeliest to give out."""
    if skein is None:
        return min(answer.yarns, key=lambda one: one.odds)
    names = [name for one in answer.yarns for name in one.skeins]
    for one in answer.yarns:
        if name_key(skein) in {name_key(name) for name in one.skeins}:
            return one
    raise NotFound(f"weft in “{answer.cloth}”", skein, names, f"Its weft is {', '.join(names)}.")


def progress_chart(answer: HalfwayAnswer, yarn: HalfwayYarn) -> ProgressChart:
    """The answer for one yarn as it is drawn."""
    return ProgressChart(
        title=f"{answer.cloth}: how far {' + '.join(yarn.skeins)} lasts",
        said=verdict_sentence(yarn, answer),
        woven_cm=[one.woven_cm for one in yarn.marks],
        low_g=[one.low_g for one in yarn.marks],
        middle_g=[one.middle_g for one in yarn.marks],
        high_g=[one.high_g for one in yarn.marks],
        weighings=[(one.woven_cm, one.mass_g) for one in yarn.weighings],
        end_cm=answer.end_cm,
    )
