"""What no text for a reader may say any more, and how it is said instead."""

from __future__ import annotations

import re

FORBIDDEN = {
    r"\d%(?!\w)": 'a space before the sign: "47 %"',
    r"per ?cent\b": "%",
    r"ozf\*inch|lbf/inch|oz-in\b|ounce-inch|\d inch\b": "in, ozf*in",
    r"\bruns? (out|away|back)\b": "return to centre, stay put, run to full pitch",
    r"\blets? go (the|of) blades|\bblades (are |that are )?let go|\brod is let go": "released",
    r"\bseat ratio\b": "load over friction",
    r"limit cycle": "keeps hunting",
    r"\bis neutral\b|\b1 neutral\b": "share of the mass pull cancelled",
    r"\b(is|are) wanted\b": "needs",
    r"idle taken off": "above idle",
    r"did not tell|told by (this|the) data": "could not be determined",
    r"laid to play": "blamed",
    r"changes of side": "crosses",
    r"play-free": "without play",
    r"know nothing of each other": "shared tolerances cancel",
    r"Everything else|Assumed where|for want of": "All other results; Assumed (not in your file); data missing",
    r"as put together|left over\b|predicted less measured": "assembled; difference; predicted minus measured",
    r"lets it go|Say how to|Another seed": "comes off; how to; random seed",
    r"\(unmoved\)|holds \+?\d+ x": "no tolerance affects this; OK, 1.9 x",
}
"""Pattern, and what stands for it."""


def relapses(text: str) -> list[str]:
    """Every place where a text says what it should not, with what to say instead."""
    text = re.sub(r"\s+", " ", text)
    return [
        f'"{text[max(found.start() - 40, 0) : found.end() + 20]}": {instead}'
        for pattern, instead in FORBIDDEN.items()
        for found in re.finditer(pattern, text)
    ]
