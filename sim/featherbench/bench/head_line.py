"""What a file of readings or a log states of itself, in a line of its own: its day, its build, its instruments."""

from __future__ import annotations

import re


def head_line(text: str, key: str) -> tuple[str, int]:
    """What a line `key = ...` states, in a table `# key: ...`, and the number of that line; "" and 0 where it is blank
    or there is none.
    """
    line = rf"^[ \t]*#?[ \t]*{re.escape(key)}[ \t]*[:=]([^#\n]*)"
    found = re.search(line, text, re.IGNORECASE | re.MULTILINE)
    stated = found[1].strip(" \t\r\"',;") if found else ""
    return (stated, text.count("\n", 0, found.start(1)) + 1) if found and stated else ("", 0)
