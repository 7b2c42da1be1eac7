"""Whether what a document tells of a woven cloth is what commands could have written."""

from collections.abc import Callable, Iterator

from farspun.craft.plan import STAGES
from farspun.craft.records import GROUPED_BY
from farspun.craft.woven import Meant, Told, check_possible
from farspun.errors import FarspunError
from farspun.services.document import ClothDocument, RecordDocument
from farspun.services.stages import OPTIONS, SAID, measurable
from farspun.store.records import MICRO_PER_M, SAMPLE, UM_PER_CM, told_in

Troubles = Iterator[tuple[str, str]]  # the part of the cloth, why it cannot be
TAKEN_BACK = "that command was taken back, or takes one back itself"


def record_troubles(one: ClothDocument, stands: Callable[[int], bool]) -> Troubles:
    """Everything in `records` and `confirmed` that cannot be, and in what hangs on them."""
    yield from _of_its_status(one)
    told, sample, before, stage = Told(), Told(), -1, "planned"
    for at, record in enumerate(one.records):
        place = f".records[{at}]"
        if not stands(record.action):
            yield f"{place}.action", TAKEN_BACK
        if record.action < before:
            yield f"{place}.action", "records go by their command"
        before = record.action
        now = told_in(record.model_dump())
        if record.stage == SAMPLE:
            sample = sample.corrected(now)
            known = sample
        else:
            yield from _out_of_order(one, record, stage, place)
            stage, told = record.stage, told.corrected(now)
            known = told
        yield from _not_measurable(record, now, known, place)
    yield from _impossible(one, told)
    yield from _weighings(one, stands)
    for at, confirmed in enumerate(one.confirmed):
        if not stands(confirmed.action):
            yield f".confirmed[{at}].action", TAKEN_BACK
        if confirmed.factor not in GROUPED_BY:
            yield f".confirmed[{at}].factor", f"those there are: {', '.join(GROUPED_BY)}"


def _weighings(one: ClothDocument, stands: Callable[[int], bool]) -> Troubles:
    """Balls weighed at the loom: of its own weft, while it was there, within its warp."""
    wefts = {part.skein for part in one.weft}
    stages = {record.stage for record in one.records}
    warps = [record.warp_um or 0 for record in one.records]
    longest_um = max([one.warp_cut_um or 0, *warps])
    for at, ball in enumerate(one.weighings):
        place = f".weighings[{at}]"
        if not stands(ball.action):
            yield f"{place}.action", TAKEN_BACK
        if "on-loom" not in stages:
            yield place, "no record says that it is on the loom"
        if ball.skein not in wefts:
            yield f"{place}.skein", f"“{ball.skein}” is no weft of it"
        if ball.woven_um > longest_um:
            yield f"{place}.woven_um", "that is more than the warp is long"


def _of_its_status(one: ClothDocument) -> Troubles:
    stages = {record.stage for record in one.records} - {SAMPLE}
    if one.status == "given-up":
        return
    if one.status != "planned" and one.status not in stages:
        yield ".status", f"no record says that it is {SAID[one.status]}"
    if one.status != "planned" and (one.ends is None or one.warp_cut_um is None):
        yield ".warp_cut_um", "once it is wound its ends and its warp are settled"
    beyond = [stage for stage in stages if STAGES.index(stage) > STAGES.index(one.status)]
    if beyond:
        yield ".records", f"the cloth is {SAID[one.status]}, and a record says {beyond[0]}"


def _out_of_order(one: ClothDocument, record: RecordDocument, stage: str, place: str) -> Troubles:
    if STAGES.index(record.stage) < STAGES.index(stage):
        yield f"{place}.stage", f"it was {SAID[stage]} already"
    if one.direct and record.stage == "wound":
        yield f"{place}.stage", "it is warped direct, straight onto the loom"


def _not_measurable(record: RecordDocument, now: Told, known: Told, place: str) -> Troubles:
    odd = [name for name in now.names if not measurable(name, record.stage)]
    if odd:
        options = ", ".join(f"--{OPTIONS.get(name, name)}" for name in odd)
        yield place, f"{options} cannot be told then"
    if known.picks_state is not None and known.picks_per_cm is None:
        yield f"{place}.picks_state", "it goes with picks_micro_per_m"


def _impossible(one: ClothDocument, told: Told) -> Troubles:
    """As the commands would refuse it, but for fringes."""
    warp_cm = told.warp_cm or (one.warp_cut_um or 0) / UM_PER_CM or None
    meant = Meant(
        one.picks_micro_per_m / MICRO_PER_M,
        pieces=one.pieces,
        unwoven_cm=(one.pieces - 1) * one.gap_um / UM_PER_CM,
    )
    try:
        check_possible(told.corrected(Told(warp_cm=warp_cm)), meant)
    except FarspunError as error:
        yield ".records", error.message
