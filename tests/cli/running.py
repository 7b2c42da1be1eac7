"""Running commands on a stash of its own, in this process, so that hundreds are quick.

`Desk` is a stash and what is asked of it. What farspun would log as a fault of its own is shown
in the test's failure instead.
"""

import json
import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from typer.testing import CliRunner, Result

from farspun.cli.app import app

FAULT = 1


class Desk:
    """One stash (made when first written to), and commands run on it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.stash = folder / "stash.db"

    def run(self, line: str | Sequence[str], given: str | bytes | None = None) -> Result:
        """The result of a command line; `given` is its standard input. A fault fails the test."""
        words = shlex.split(line) if isinstance(line, str) else list(line)
        homes = {"HOME": str(self.folder), "XDG_STATE_HOME": str(self.folder / "state")}
        homes["FARSPUN_STASH"] = str(self.stash)
        result = CliRunner().invoke(app, words, input=given, env=homes)
        assert result.exit_code != FAULT, f"farspun {shlex.join(words)}\n{self.fault()}"
        return result

    def does(self, *lines: str) -> str:
        """Each line must be answered; what the last one says on stdout."""
        out = ""
        for line in lines:
            result = self.run(line)
            assert result.exit_code == 0, f"{line}\n{result.stderr}"
            out = result.stdout
        return out

    def told(self, line: str | Sequence[str]) -> Any:
        """The one JSON document that a command prints with --json."""
        words = shlex.split(line) if isinstance(line, str) else list(line)
        result = self.run([*words, "--json"])
        assert result.exit_code == 0, f"{shlex.join(words)}\n{result.stderr}"
        return json.loads(result.stdout)

    def refuses(self, line: str | Sequence[str], code: int) -> str:
        """The command must end with this code, in two plain lines on stderr, stdout empty."""
        result = self.run(line)
        assert result.exit_code == code, f"{line}: {result.exit_code}\n{result.stderr}"
        assert result.stdout == ""
        assert "Traceback" not in result.stderr
        return result.stderr

    def fault(self) -> str:
        """What was logged of the last fault."""
        log = self.folder / "state" / "farspun" / "log" / "faults.log"
        return log.read_text(encoding="utf-8")[-3000:] if log.exists() else "no fault was logged"
