"""Write the tables of docs/design/learned.md anew; about five minutes.

.venv/bin/python tests/calibration/write_learned.py
"""

import re
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
PAGE = TOP / "docs" / "design" / "learned.md"


def main() -> None:
    """Each table stands below a comment with its name, up to the next empty line."""
    sys.path.insert(0, str(TOP / "tests"))
    from calibration.learned_report import TABLES

    text = PAGE.read_text(encoding="utf-8")
    for name, made in TABLES.items():
        rows = "\n".join(made())
        pattern = rf"(<!-- {name} -->\n(?:\|.*\n){{2}})(?:\|.*\n)*"
        text, found = re.subn(pattern, lambda match, rows=rows: f"{match[1]}{rows}\n", text)
        assert found == 1, name
    PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
