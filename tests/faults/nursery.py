"""Processes of their own for the fault tests, quick to start, to be killed at any moment.

Run as a program, it loads farspun once and then forks a child for every line it reads: a JSON
object as in `Wanted`. Each child is a process like one started from a shell: its own memory, its
own connections, its own exit code. `Nursery` is the tests' side.
"""

import contextlib
import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any

HERE = Path(__file__).resolve()
NOBODY = 65534  # the user id that owns nothing, by custom
SLOW_S = 60.0  # no command takes so long


@dataclass(frozen=True, slots=True)
class Wanted:
    """A command line, or `takes` takes of half a gram from the skein Gorse through the services.

    `room` limits the size of every file it writes, in bytes; `nobody` gives up all rights first.
    """

    words: Sequence[str]
    pipes: Sequence[str]
    takes: int = 0
    env: Mapping[str, str] = field(default_factory=dict)
    room: int | None = None
    nobody: bool = False
    patience_s: float | None = None


@dataclass(frozen=True, slots=True)
class Ended:
    """How a child ended: its exit code (below 0: the signal), and what it said."""

    code: int
    out: str
    err: str

    @property
    def acknowledged(self) -> bool:
        """It told that it was done."""
        return self.code == 0 or bool(self.out)

    @property
    def plain(self) -> bool:
        """Refused in two lines of plain words, with nothing on stdout."""
        told = self.err.strip().splitlines()
        blame = ("Traceback", "fault of farspun", "sqlite3.", "sqlalchemy")
        return (
            self.code in (2, 3, 4, 5)
            and not self.out
            and len(told) == 2
            and not any(word in self.err for word in blame)
        )


class Child:
    """A process that was started; to be waited for, or killed."""

    def __init__(self, nursery: "Nursery", pid: int, pipes: Sequence[int]) -> None:
        self._nursery, self.pid, self._pipes = nursery, pid, pipes

    def kill(self) -> Ended:
        """SIGKILL, as a power cut would; what it had said until then."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        return self.ended()

    def ended(self) -> Ended:
        """Wait for it. What it said must fit into a pipe: it does."""
        code = self._nursery.ask({"wait": self.pid})
        said = []
        for pipe in self._pipes:
            with os.fdopen(pipe, "rb") as reader:
                said.append((reader.read() or b"").decode())
        return Ended(code, *said)


class Nursery:
    """The process that forks them."""

    def __init__(self) -> None:
        quiet = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
        self._process = subprocess.Popen(
            [sys.executable, str(HERE)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, **quiet},
        )
        self._folder = tempfile.TemporaryDirectory()
        self._started = 0

    def __enter__(self) -> "Nursery":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        where: TracebackType | None,
    ) -> None:  # fmt: skip
        self._process.communicate("")
        self._folder.cleanup()

    def ask(self, wanted: Mapping[str, object]) -> int:
        """One line out, one number back."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(wanted) + "\n")
        self._process.stdin.flush()
        return int(self._process.stdout.readline())

    def start(
        self, place: Path, *words: str, takes: int = 0, room: int | None = None,
        nobody: bool = False, patience_s: float | None = None, **env: str,
    ) -> Child:  # fmt: skip
        """A command on the stash at `place`, in a process of its own."""
        folder = Path(self._folder.name)
        named = {"FARSPUN_STASH": str(place), "XDG_STATE_HOME": str(folder / "state"), **env}
        # pipes and not files: their room is not limited, and nobody may open them
        pipes = [str(folder / f"{self._started}.{name}") for name in ("out", "err")]
        self._started += 1
        for pipe in pipes:
            os.mkfifo(pipe)
        readers = [os.open(pipe, os.O_RDONLY | os.O_NONBLOCK) for pipe in pipes]
        wanted = Wanted(words, pipes, takes, named, room, nobody, patience_s)
        return Child(self, self.ask(asdict(wanted)), readers)

    def run(self, place: Path, *words: str, **how: Any) -> Ended:
        """As `start`, to its end."""
        return self.start(place, *words, **how).ended()


@contextlib.contextmanager
def a_place(content: bytes | None = None) -> Iterator[Path]:
    """Where a stash may be, in a folder that anybody may enter; in memory if possible."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as name:
        folder = Path(name)
        folder.chmod(0o755)
        if content is not None:
            (folder / "stash.db").write_bytes(content)
        yield folder / "stash.db"
        folder.chmod(0o755)


def wait_for(marker: Path) -> str:
    """What the marker says, once it is there."""
    until = time.monotonic() + SLOW_S
    while time.monotonic() < until:
        with contextlib.suppress(FileNotFoundError):
            said = marker.read_text(encoding="utf-8")
            if said:
                return said
        time.sleep(0.001)
    raise AssertionError(f"{marker} never came")


def _serve() -> None:
    _warm_up()
    for line in sys.stdin:
        wanted = json.loads(line)
        if "wait" in wanted:
            _, status = os.waitpid(wanted["wait"], 0)
            print(os.waitstatus_to_exitcode(status), flush=True)
            continue
        pid = os.fork()
        if pid == 0:
            os._exit(_child(Wanted(**wanted)))
        print(pid, flush=True)


def _warm_up() -> None:
    """Load everything, so that a child only has to do its work."""
    import pkgutil
    from importlib import import_module

    import farspun

    for module in pkgutil.walk_packages(farspun.__path__, "farspun."):
        if not module.name.endswith("__main__"):
            import_module(module.name)
    import pandas
    import scipy.special

    assert pandas
    assert scipy.special


def _child(wanted: Wanted) -> int:
    """Carry it out; the exit code."""
    for number, pipe in enumerate(wanted.pipes, start=1):
        os.dup2(os.open(pipe, os.O_WRONLY), number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.environ.update(wanted.env)
    try:
        return _done(wanted)
    except SystemExit as leaving:
        return int(leaving.code or 0)
    except BaseException:
        traceback.print_exc()
        return 1
    finally:
        with contextlib.suppress(OSError):
            sys.stdout.flush()
            sys.stderr.flush()


def _done(wanted: Wanted) -> int:
    sys.path.insert(0, str(HERE.parents[1]))
    from farspun.cli import main
    from farspun.store import engine
    from faults import pausing

    pausing.install()
    if wanted.patience_s is not None:
        engine.BUSY_TIMEOUT_S = wanted.patience_s
    if wanted.room is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (wanted.room, wanted.room))
    if wanted.nobody and os.geteuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    if wanted.takes:
        return _takes(wanted)
    sys.argv = ["farspun", *wanted.words]
    main()
    return 0


def _takes(wanted: Wanted) -> int:
    from farspun.services.balance import amount, take
    from farspun.services.opening import stash_at

    for _ in range(wanted.takes):
        take(stash_at(wanted.env["FARSPUN_STASH"]), "Gorse", amount("0.5 g"))
        print("taken", flush=True)
    return 0


if __name__ == "__main__":
    _serve()
