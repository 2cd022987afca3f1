"""Writes the tutorial's bench readings: invented, from the model with a hidden build and noise.

    python scenarios/tutorial-2kg/bench/make_readings.py

The hidden build differs from the files of the tutorial in HIDDEN; a gauge that reads 0.03 N too much and the scatter of
readings come on top. Nothing here was measured on a real machine.
"""

from pathlib import Path

import numpy as np

import featherbench as fb

HERE = Path(__file__).parent
SPEED = 11160.0
HIDDEN = {"rotor.speed": f"{SPEED} rpm", "scale.inertia": "1.01", "linkage.slider_friction": "0.46 N"}
LABEL = "SYNTHETIC: invented by make_readings.py from the model, not measured on any machine"


def readings(build: str, name: str, rng: np.random.Generator) -> None:
    """What one would note by hand: three repeats of the gauge, the meter as displayed, the verdict of a release."""
    run = fb.predict(fb.read(HERE.parent / build, HIDDEN))
    lines = [f"# {LABEL}", "[readings]", f'rotor_speed = "{SPEED:.0f} +/- 30 rpm"']
    for finding in ("gauge_push", "gauge_pull"):
        value = run.value(finding) + 0.03
        repeats = [round((value + rng.normal(0.0, 0.05)) / 0.05) * 0.05 for _ in range(3)]
        lines.append(f"{finding} = [" + ", ".join(f'"{repeat:.2f} +/- 0.15 N"' for repeat in repeats) + "]")
    loop = run.value("rod_force_loop") + rng.normal(0.0, 0.04)
    lines.append(f'rod_force_loop = "{round(loop / 0.05) * 0.05:.2f} +/- 0.15 N"')
    lines.append(f'meter_hold = "{run.value("meter_hold") + rng.normal(0.0, 0.006):.2f} +/- 0.02 A"')
    lines.append(f'release = "{run.findings["release"].value}"')
    (HERE / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Write both files; the same every time."""
    rng = np.random.default_rng(12)
    readings("tail.toml", "before.toml", rng)
    readings("finished.toml", "after.toml", rng)


if __name__ == "__main__":
    main()
