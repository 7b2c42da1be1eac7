"""What came of every fault, told to whoever asked for it.

Where FARSPUN_OUTCOMES names a file, each test adds one JSON line to it; `table.py` makes the table
of docs/reliability.md from them.
"""

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path


@dataclass(slots=True)
class Outcome:
    """How often a fault was tried, and how often each thing came of it.

    `done`: the command was carried out, whole. `refused`: told in plain words, nothing stored.
    `cut_off`: the process ended without a word, and nothing was stored. `lost`: told as done, and
    not there. `half`: something stored that is neither all of it nor nothing.
    """

    test: str
    fault: str
    tried: int = 0
    done: int = 0
    refused: int = 0
    cut_off: int = 0
    lost: int = 0
    half: int = 0

    def count(self, kind: str) -> None:
        """One more of that kind."""
        self.tried += 1
        setattr(self, kind, getattr(self, kind) + 1)

    def tell(self) -> None:
        """Write it down, and fail where anything was lost or half written."""
        place = os.environ.get("FARSPUN_OUTCOMES")
        if place:
            with Path(place).open("a", encoding="utf-8") as lines:
                lines.write(json.dumps(asdict(self)) + "\n")
        assert self.tried == self.done + self.refused + self.cut_off + self.lost + self.half
        assert self.tried > 0
        assert (self.lost, self.half) == (0, 0), self
