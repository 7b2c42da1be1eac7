"""A new skein and the cloth it was spun for, in words: labels and what belongs to them."""

from collections.abc import Iterator, Sequence
from shlex import quote
from typing import TYPE_CHECKING

from farspun.services.wording import Row, in_100
from farspun.units import (
    m_per_100g_from_tex,
    say_cm,
    say_inches,
    say_odds,
    say_per_cm,
    say_per_inch,
    say_percent,
    yd_per_lb_from_tex,
)

if TYPE_CHECKING:
    from farspun.services.answers import Check
    from farspun.services.spun_for import SpunFor

SAME = 0.005  # of a figure; judgement: below it nobody sees a difference


def fit_rows(name: str, fit: "SpunFor") -> Iterator[Row]:
    """Whether it fits, what the cloth's answer is now, and what would change."""
    yield ("Fits" if fit.joined else "Differs", " ".join(_fits(name, fit)))
    if fit.tex and fit.yarn_tex:
        ours, theirs = yd_per_lb_from_tex(fit.tex), yd_per_lb_from_tex(fit.yarn_tex)
        yield ("", f"in yd per lb: {ours:.0f} beside {theirs:.0f}")
    yield from _odds_rows(fit)
    if fit.anew is not None:
        yield from _anew_rows(fit.before, fit.anew)
    if not fit.joined:
        use = fit.command or "name it with its part: farspun cloth change"
        yield ("To use", use)


def _fits(name: str, fit: "SpunFor") -> Iterator[str]:
    """The grist beside the one meant, and what became of the skein."""
    sides = " and ".join(fit.sides)
    ratio = fit.grist_ratio
    if ratio is None:
        which = name if fit.tex is None else fit.yarn
        yield f"how fine {which} is is not known yet: weigh it and count it."
    else:
        assert fit.tex is not None and fit.yarn_tex is not None
        ours, theirs = m_per_100g_from_tex(fit.tex), m_per_100g_from_tex(fit.yarn_tex)
        yield (
            f"{_came_out(ratio)} {fit.yarn} in the {sides}: {ours:.0f} beside {theirs:.0f} m per"
            " 100 g."
        )
    if fit.differs:
        yield f"{_sentence(fit.differs)}."
    yield (
        f"It is put to {fit.yarn} and kept for the cloth."
        if fit.joined
        else "It is in your stash, and the cloth is as it was."
    )


def _came_out(ratio: float) -> str:
    share = say_percent(round(abs(ratio - 1), 2))
    if share == "0 %":
        return "it came out like"
    return f"it came out {share} {'thicker' if ratio > 1 else 'finer'} than"


def _sentence(parts: Sequence[str]) -> str:
    text = "; ".join(parts)
    return text[:1].upper() + text[1:]


def _odds_rows(fit: "SpunFor") -> Iterator[Row]:
    if fit.now is None:
        return
    how = "now" if fit.joined else "with it, set up as planned,"
    asked = f"you asked for {in_100(fit.before.promise)}"
    yield ("Reach", f"{_answer(fit.before)} before; {how} {_answer(fit.now)} ({asked})")
    if fit.joined and fit.now.verdict != "reaches":
        yield ("", f"To see what is still short: farspun to-spin {quote(fit.cloth)}")


def _answer(check: "Check") -> str:
    odds = check.asked_odds
    return check.verdict if odds is None else f"{check.verdict}, {say_odds(odds, check.promise)}"


def _anew_rows(before: "Check", anew: "Check") -> Iterator[Row]:
    """What the set-up would be for both yarns together."""
    was, now = before.setup, anew.setup
    changes = [
        ("sett", was.sett_ends_per_cm, now.sett_ends_per_cm, say_per_cm, say_per_inch),
        ("picks", was.picks_per_cm, now.picks_per_cm, say_per_cm, say_per_inch),
        ("width in the reed", was.reed_width_cm, now.reed_width_cm, say_cm, say_inches),
    ]
    told = [one for one in changes if abs(one[2] / one[1] - 1) > SAME]
    metric = [f"{what} {say(old)}, then {say(new)}" for what, old, new, say, _ in told]
    inches = [f"{what} {say(old)}, then {say(new)}" for what, old, new, _, say in told]
    if was.ends != now.ends:
        metric.append(f"{was.ends} ends, then {now.ends}")
    if was.reed != now.reed:
        metric.append(f"{was.reed or 'no reed'}, then {now.reed or 'no reed'}")
    if not metric:
        yield ("Set-up", "nothing of it would change")
        return
    yield ("Set-up", f"chosen anew for both: {'; '.join(metric)}: {_answer(anew)}")
    if inches:
        yield ("", f"in inches: {'; '.join(inches)}")
