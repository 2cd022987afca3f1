"""The pictures of each kind of result: their names, what they show in words, and of what."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.numerals import display_factor, unit_in_print
from featherbench.views.brief.picture_words import causes_told, course_told, play_told, release_told
from featherbench.views.cases import Case
from featherbench.views.view import Picture

if TYPE_CHECKING:
    from featherbench.assembly import Assembly, PlacedPart
    from featherbench.fitting.calibrate import Calibration
    from featherbench.fitting.match import Match
    from featherbench.hovering.bias import Bias
    from featherbench.hovering.wag import Wag
    from featherbench.ranking.outcome import Ranking
    from featherbench.sampling.spread import Spread
    from featherbench.scenario import Scenario
    from featherbench.sizing import Sizing
    from featherbench.sweeping.sweep import Sweep

BAND_CAPTION = (
    "The narrow bands with an edge hold 95 % of what tolerances and doubts allow, at each pitch by itself."
)


def bench_pictures(cases: Sequence[Case], system: str) -> tuple[Picture, ...]:
    """Of one bench run, or of several side by side."""

    band = "The band of each build" if len(cases) > 1 else "The band"
    sure = f" {BAND_CAPTION}" if any(case.spread is not None and case.spread.bands for case in cases) else ""
    return (
        Picture(
            "force",
            "Force on the rod over pitch",
            f"{band} is what friction makes of it: pushing pitch up takes its upper edge, pulling it down "
            "its lower edge. Where the band leaves the room between the servo's lines, the servo cannot "
            f"follow.{sure}",
            (cases, system),
        ),
        Picture(
            "moments",
            "Where the force comes from",
            "What each group of parts and the air put on the rod, friction apart; the sum is what holds the blades. "
            "Where the sum stays inside the friction band, released blades stay put. Where it rises out of the band "
            "with pitch, they return until they are inside it; where it falls out of it, they run to full pitch."
            f"{sure}",
            (cases, system),
            result=causes_told(cases, system),
        ),
        Picture(
            "course",
            "The bench run over time",
            "The supply current is what a meter in the servo's lead would have to follow; the meter averages "
            "and refreshes slowly, so it misses short peaks. The winding current flows inside the servo. At the bottom "
            "the first moments of the move to the high end beside what holding it then draws; the triangle is the peak "
            "that counts, averaged over bench.current_window.",
            (cases, system),
            result=course_told(cases, system),
        ),
        Picture(
            "release",
            "Released at speed",
            "Pitch after the rod is released on the high and on the low side, rotor at speed.",
            (cases,),
            result=release_told(cases),
        ),
        Picture(
            "play",
            "How far play shows",
            "How far a blade lags behind when the servo reverses: the give of the linkage and, where the load is "
            "too small to hold the linkage to one side (bars below: it floats), its whole free play. A hover inside "
            "such a window may show as tail wag; a small load to one side keeps it quiet."
            f"{sure}",
            (cases, system),
            result=play_told(cases, system),
        ),
    )


def rank_picture(found: Ranking, system: str) -> tuple[Picture, ...]:
    """Of changes tried one at a time; none when there were none."""
    if not found.tried:
        return ()
    return (
        Picture(
            "rank",
            "What each change does by itself",
            "A dot is what a change leaves, its line the least and the most of the samples, the broken line the build "
            "as it is. Crosses fail a check, or their strength is not known, or their blades run to full pitch: not to "
            "be made as they stand.",
            (found, system),
        ),
    )


def spread_pictures(spread: Spread, system: str) -> tuple[Picture, ...]:
    """Of a spread; none when nothing varies."""
    from featherbench.views.spread_summary import drawn_findings

    if not drawn_findings(spread):
        return ()
    return (
        Picture(
            "shares",
            "Which tolerance matters",
            "Filled: what the tolerance makes by itself; outlined: with what it makes together with others. The "
            "longer the bar, the more there is to gain by a closer tolerance or a better weighing.",
            (spread, system),
        ),
    )


def match_pictures(found: Match, system: str) -> tuple[Picture, ...]:
    """Of a match: one for each logged column."""

    return tuple(
        Picture(
            f"log-{number}-{one.name.split(' ')[0].replace('_', '-')}",
            f"Measured and predicted: {one.name.replace('_', ' ')}",
            "What was measured, what the model predicts, and where the prediction lies for 95 % of what the "
            "scenario's tolerances allow; below, what is left between them.",
            (one, system),
            kind="log",
        )
        for number, one in enumerate(found.series, start=1)
    )


def wag_pictures(found: Wag, system: str) -> tuple[Picture, ...]:
    """Of a flight in hover."""

    return (
        Picture(
            "flight",
            "As flown",
            "Heading and blade pitch in hover as written, with play, shaking, gusts and gyro noise.",
            (found, system),
        ),
    )


def bias_pictures(found: Bias, system: str) -> tuple[Picture, ...]:
    """Of the sweep from no weights to too many."""

    return (
        Picture(
            "sweep",
            "From no weights to too many",
            "The ring is the chosen build, the dots its neighbours. Grey: out of the question, for what the bars below "
            "say; dotted: play may show in so many draws. The band is what the draws leave open. A dashed line is for "
            "weights that are not turned.",
            (found, system),
        ),
    )


def sweep_pictures(found: Sweep, system: str) -> tuple[Picture, ...]:
    """Of a sweep of two keys that are numbers: a map; none of another."""
    from featherbench.views.swept.region_map import mapped

    if mapped(found) is None:
        return ()
    return (
        Picture(
            "map",
            "Where it may be run",
            "Darker is more. Hatched: where released blades run to full pitch, where the linkage floats in its play at "
            "hover, where what holds blades and weights on fails or is not known. Blank: cannot be built.",
            (found, system),
        ),
    )


def calibration_pictures(done: Calibration, system: str) -> tuple[Picture, ...]:
    """Of a calibration; none when it was interrupted."""

    if done.fitted.interrupted:
        return ()
    return (
        Picture(
            "fitted",
            "What the data says of each unknown",
            "The dot is the fitted value with its 95 % interval, the ring what the scenario said, the open box what "
            "was thought likely beforehand. One about as wide as the box means that the data could not determine it.",
            (done, system),
        ),
    )


def drawing_picture(found: Sizing, cautions: Sequence[str]) -> Picture:
    """The drawing for the lathe."""
    from featherbench.views.first_lines import of_sizing
    from featherbench.workshop.drawing import draw_sheet

    first = of_sizing(found)
    return Picture(
        "drawing",
        "Drawing",
        "At the scale that it states when printed at full size; --drawing writes it alone, as PDF, SVG or DXF.",
        (draw_sheet(found, cautions, first.stamp, first.lines),),
        paper=True,
    )


def swing_pictures(method: str) -> tuple[Picture, ...]:
    """Of a way to hang a part for its swing."""

    return (
        Picture(
            "hung",
            "How it hangs, and what is measured",
            "Not to scale. Twist it a little about the axis drawn, or push it a little aside where it hangs from a "
            "pivot, and time full swings, there and back.",
            (method,),
        ),
    )


def parts_picture(builds: Sequence[tuple[str, Assembly, Scenario]], system: str) -> Picture:
    """The blade roots to scale, from each scenario's own geometry."""
    caption = root_caption(builds, system)
    return Picture("parts", "The parts, to scale", caption, (builds, system))


def root_caption(builds: Sequence[tuple[str, Assembly, Scenario]], system: str) -> str:
    """What the picture shows, and what it leaves out, in words."""
    unit = unit_in_print(display_factor("length", system)[1])
    words = [
        "One blade root to scale, from the figures of the scenario; the blade is broken off further out. The grid "
        f"counts {unit} from the shaft and from the feathering axis.",
        "A pair (part and mirrored twin) shows the mass of both. Hidden holes are dashed thinly.",
    ]
    if any(assembly.bolt.free for _, assembly, _ in builds):
        words.append(
            "The blade is free on its bolt and swings into line as it turns; it is drawn straight out."
        )
    elif any(assembly.bolt.set_angle for _, assembly, _ in builds):
        words.append("The angle at which the blade is clamped is not drawn: it is shown straight out.")
    parts = [(part, scenario) for _, assembly, scenario in builds for part in assembly.parts]
    if any(_measured(part, scenario) for part, scenario in parts):
        words.append(
            "A cross in a ring is the centre of a mass without a shape; a dotted box round it has the same inertia."
        )
    if any(solid.kind == "surface" for part, _ in parts for solid in part.solids):
        words.append("Of a part given as a surface only the box around it is drawn, dotted.")
    if any(assembly.replaced for _, assembly, _ in builds):
        words.append("Parts that others take the place of are not drawn.")
    return " ".join(words)


def _measured(part: PlacedPart, scenario: Scenario) -> bool:
    written = scenario.part.get(part.name)
    return written is not None and written.shape in ("measured", "point")
