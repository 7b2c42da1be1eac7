"""What a second core does meanwhile, where a question goes through the whole stash."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from importlib import import_module
from threading import Thread

from farspun.craft.draws import named_draws

MOST_AHEAD = 60  # skeins drawn ahead; fewer than `named_draws` keeps


def import_scipy() -> None:
    """Import it while the stash is opened: both take their time, and neither needs the other."""

    Thread(target=import_module, args=("scipy.special",), daemon=True).start()


@contextmanager
def drawn_ahead(skeins: Iterable[str]) -> Iterator[Callable[[str], object]]:
    """Draw skeins one after another on another core; the function waits until one is there.

    Whether it is drawn here or where it is asked for, it is the same.
    """
    names = list(dict.fromkeys(skeins))[:MOST_AHEAD]
    with ThreadPoolExecutor(max_workers=1) as pool:
        coming: dict[str, Future[object]] = {
            name: pool.submit(named_draws, "skein", name) for name in names
        }
        yield lambda name: coming[name].result() if name in coming else None
