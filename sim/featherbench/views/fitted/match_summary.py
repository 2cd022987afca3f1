"""What a match or a calibration comes to, as rows of text for terminal and page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.bench.release import told
from featherbench.guide.findings import in_words
from featherbench.numerals import MISSING, numeral, percent, row_texts
from featherbench.views.view import RIGHT, WORDS, Table, table_of

NAMED = 4
"""Keys spelt out in the answer; the table has all."""
_ALL = {1: "the unknown", 2: "both unknowns"}

if TYPE_CHECKING:
    from featherbench.fitting.calibrate import Calibration
    from featherbench.fitting.match import Match
    from featherbench.fitting.next_measurement import Advice
    from featherbench.fitting.unknowns import Unknown


def matched_sheet(match: Match, system: str) -> Table:
    """Every quantity, both values, expanded uncertainties (95 %) and E_n."""
    rows = []
    for quantity in match.quantities:
        if (
            quantity.e_n is None
            or not isinstance(quantity.simulated, float)
            or not isinstance(quantity.measured, float)
        ):
            shown, measured = (
                MISSING if text is None else told(str(text))
                for text in (quantity.simulated, quantity.measured)
            )
            rows.append((in_words(quantity.name), shown, "", measured, "", "", "", quantity.verdict))
            continue
        u_sim, u_meas = 2.0 * (quantity.u_simulated or 0.0), 2.0 * (quantity.u_measured or 0.0)
        texts, unit, _ = row_texts(
            [quantity.simulated, u_sim, quantity.measured, u_meas], quantity.kind, system
        )
        rows.append(
            (in_words(quantity.name), texts[0], texts[1], texts[2], texts[3], unit, numeral(quantity.e_n, 2, True),
             quantity.verdict.removeprefix("simulated ").split(":")[0])
        )  # fmt: skip
    return table_of(
        "Predicted against measured; within an E_n of 1 they agree",
        (("", WORDS), ("predicted", RIGHT), ("+/-", RIGHT), ("measured", RIGHT), ("+/-", RIGHT), ("", WORDS),
         ("E_n", RIGHT), ("", WORDS)),
        tuple(rows),
    )  # fmt: skip


def series_sheet(match: Match, system: str) -> Table:
    """Bias and scatter of each logged column."""
    rows = []
    for course in match.series:
        texts, unit, _ = row_texts([course.bias, course.scatter], course.kind, system)
        rows.append(
            (in_words(course.name), *texts, unit, f"{course.lag:+.4f} s", percent(course.inside, sign=False))
        )
    return table_of(
        "Series: predicted minus measured",
        (
            ("", WORDS),
            ("bias", RIGHT),
            ("scatter", RIGHT),
            ("", WORDS),
            ("lag", RIGHT),
            ("inside 95 %", RIGHT),
        ),
        tuple(rows),
    )


def fitted_sheet(done: Calibration, system: str) -> Table:
    """Every unknown: what it was, what it is with its 95 % interval, whether the data tells."""
    fitted, rows = done.fitted, []
    alone = "no" if len(fitted.unknowns) == 1 else "not by itself"
    no = "interrupted" if fitted.interrupted else alone
    for unknown, value, low, high, good in zip(
        fitted.unknowns, fitted.values, fitted.low, fitted.high, fitted.identified, strict=True
    ):
        texts, unit, _ = row_texts(
            [unknown.start, float(value), float(low), float(high)], unknown.kind, system, 4
        )
        rows.append((unknown.key, *texts, unit, "yes" if good else no))
    return table_of(
        "What the data says",
        (("", WORDS), ("was", RIGHT), ("fitted", RIGHT), ("low", RIGHT), ("high", RIGHT), ("", WORDS),
         ("found", WORDS)),
        tuple(rows),
    )  # fmt: skip


def builds_sheet(done: Calibration) -> Table:
    """How well each of several builds fits that were fitted together; none of one build."""
    rows = []
    for one in done.builds:
        off = MISSING if one.off is None else f"{numeral(one.off, 2)} x"
        rows.append((one.name, str(one.readings), str(one.logs), off))
    return table_of(
        "Builds fitted together; off: by how many times the uncertainty of a force, in the mean",
        (("", WORDS), ("readings", RIGHT), ("logs", RIGHT), ("off", RIGHT)),
        tuple(rows),
    )


def correlation_sheet(done: Calibration) -> Table:
    """How the unknowns hang together."""
    keys = [unknown.key for unknown in done.fitted.unknowns]
    return table_of(
        "Correlation",
        (("", WORDS), *((f"({k + 1})", RIGHT) for k in range(len(keys)))),
        tuple(
            (f"({k + 1}) {key}", *(numeral(float(value), 2, True) for value in row))
            for k, (key, row) in enumerate(zip(keys, done.fitted.correlation, strict=True))
        ),
    )


def aside_sheet(done: Calibration, system: str) -> Table:
    """Data kept aside, predicted after the fit."""
    rows = []
    for held_out in done.aside:
        values = [
            held_out.simulated,
            2.0 * held_out.u_simulated,
            held_out.measured,
            2.0 * held_out.u_measured,
        ]
        texts, unit, _ = row_texts(values, held_out.kind, system)
        rows.append((in_words(held_out.name), *texts, unit, numeral(held_out.e_n, 2, True)))
    return table_of(
        "Kept aside and predicted",
        (("", WORDS), ("predicted", RIGHT), ("+/-", RIGHT), ("measured", RIGHT), ("+/-", RIGHT), ("", WORDS),
         ("E_n", RIGHT)),
        tuple(rows),
    )  # fmt: skip


def advice_sheet(advice: Advice, system: str) -> Table:
    """Candidate measurements, the most useful first."""
    rows = []
    for candidate in advice.ranked:
        texts, unit, _ = row_texts([2.0 * candidate.after], advice.kind, system)
        rows.append((candidate.name, percent(candidate.share, sign=False), texts[0], unit, candidate.words))
    return table_of(
        f"What to measure next for {in_words(advice.finding)}",
        (
            ("", WORDS),
            ("left of the interval", RIGHT),
            ("+/-", RIGHT),
            ("", WORDS),
            ("", WORDS),
        ),
        tuple(rows),
    )


def unknowns_sheet(unknowns: tuple[Unknown, ...], system: str) -> Table:
    """What may be freed: start, prior standard deviation, bounds."""
    rows = []
    for one in unknowns:
        texts, unit, _ = row_texts([one.start, one.deviation, one.low, one.high], one.kind, system, 3)
        rows.append((one.key, *texts, unit, one.why))
    return table_of(
        "What may be freed",
        (("", WORDS), ("starts at", RIGHT), ("prior +/- (1 s.d.)", RIGHT), ("low bound", RIGHT),
         ("high bound", RIGHT), ("", WORDS), ("prior from", WORDS)),
        tuple(rows),
    )  # fmt: skip


def improved_sheet(done: Calibration, system: str) -> Table:
    """What the data made surer, unknowns and what was fitted along: half-widths (95 %) before and after."""
    from featherbench.fitting.improved import improved

    rows = []
    for one in improved(done):
        if one.factor:
            texts, unit = [numeral(one.before, 3), numeral(one.after, 3)], "times"
        elif one.kind == "ratio":
            texts, unit = [numeral(100.0 * half, 2) for half in (one.before, one.after)], "%"
        else:
            texts, unit, _ = row_texts([one.before, one.after], one.kind, system, 3)
        rows.append((one.key, texts[0], texts[1], unit, percent(one.share, sign=False)))
    return table_of(
        "What the data made surer",
        (("", WORDS), ("was +/-", RIGHT), ("now +/-", RIGHT), ("", WORDS), ("left", RIGHT)),
        tuple(rows),
    )


def calibration_answer(done: Calibration, system: str) -> list[str]:
    """In words: what was found, how well it fits now, what the data says nothing of."""
    from featherbench.fitting.improved import not_improved

    if done.fitted.interrupted:
        return ["Interrupted: the best so far is shown, and nothing is claimed to be found."]
    every = [unknown.key for unknown in done.fitted.unknowns]
    good = [key for key, told in zip(every, done.fitted.identified, strict=True) if told]
    said = [_determined(good, every)]
    if done.builds:
        names = [one.name for one in done.builds]
        said.append(
            f"{', '.join(names[:-1])} and {names[-1]} were fitted together: what they share is one number."
        )
    for row in fitted_sheet(done, system).rows:
        key, was, value, low, high, unit, _ = row.cells
        if key in good:
            said.append(
                f"{key} is {value} {unit} ({low} to {high}); it was written as {was}.".replace("  ", " ")
            )
    said.append(f"Fit: {_off(done.before, 'was')}, {_off(done.after, 'now')}.")
    same = not_improved(done)
    if same:
        more = f" and {len(same) - NAMED} more" if len(same) > NAMED else ""
        said.append(f"As unsure as before: {', '.join(same[:NAMED])}{more}.")
    return said


def _determined(good: list[str], every: list[str]) -> str:
    if len(good) == len(every):
        return f"The data determine {_ALL.get(len(every), f'all {len(every)} unknowns')}."
    if not good:
        if len(every) == 1:
            return f"The data alone do not determine {every[0]}."
        return f"The data determine none of {', '.join(every)} by itself, only what they come to together."
    rest = [key for key in every if key not in good]
    return f"The data determine {', '.join(good)}, but not {', '.join(rest)}."


def _off(mean_square: float, when: str) -> str:
    size = mean_square**0.5
    if size <= 1.0:
        return f"{when} within the instruments' uncertainty"
    return f"{when} {numeral(size, 2)} x the instruments' uncertainty off"
