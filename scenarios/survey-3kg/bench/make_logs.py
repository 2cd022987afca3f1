"""Writes the demo bench data of this folder: invented, from the model with a hidden build, noise, drift and bad habits.

    python scenarios/survey-3kg/bench/make_logs.py

The hidden build differs from plain.toml in HIDDEN; the files differ from it further by what instruments and people do:
a gauge that reads 0.05 N too much and drifts, a logger with its own clock, a gap, lost cells, a battery that sags the
rotor. Nothing here was measured on a real machine.
"""

from pathlib import Path

import numpy as np

import featherbench as fb
from featherbench.bench.gauge import run_gauge
from featherbench.bench.instruments import moving_mean
from featherbench.bench.servo_run import run_servo
from featherbench.bench.setup import build_setup

HERE = Path(__file__).parent
HIDDEN = {
    "rotor.speed": "9940 rpm",
    "scale.inertia": "1.04",
    "linkage.slider_friction": "0.43 N",
    "servo.gear_friction": "0.0105 N*m",
    "servo.stall_current": "1.15 A",
}
LABEL = "SYNTHETIC: invented by make_logs.py from the model, not measured on any machine"


def gauge_log(rng: np.random.Generator) -> None:
    """Force gauge on the rod, 10 readings a second, decimal points, commas."""
    setup = build_setup(fb.read(HERE.parent / "plain.toml", HIDDEN))
    run = run_gauge(setup)
    time = np.arange(0.35, run.time[-1], 0.1)
    true = np.interp(time, run.time, run.force)
    read = true + 0.05 + 0.002 * time + rng.normal(0.0, 0.04, len(time))
    rows = [f"{t - 0.35:.1f},{round(f / 0.05) * 0.05:.2f}" for t, f in zip(time, read, strict=True)]
    rows[40] = "battery low"
    text = "\n".join(
        [f"# {LABEL}", "# force gauge on the rod, servo off, push positive", "t [s],Force [N]", *rows]
    )
    (HERE / "plain-gauge.csv").write_text(text + "\n", encoding="utf-8")


def servo_log(rng: np.random.Generator) -> None:
    """Current in the servo's lead and rotor speed, 100 rows a second, decimal commas, a gap and lost cells."""
    setup = build_setup(fb.read(HERE.parent / "plain.toml", HIDDEN))
    run = run_servo(setup)
    time = np.arange(run.time[0] + 0.137, run.time[-1], 0.01)
    drawn = np.interp(time, run.time, moving_mean(run.time, run.supply_current, 0.01))
    drawn = drawn * 1.004 + 0.003 + rng.normal(0.0, 0.004, len(time))
    speed = 9940.0 + rng.normal(0.0, 12.0, len(time))
    rows = [
        f"{1000 * (t - time[0]):.1f};{1000 * a:.1f};{s:.0f}".replace(".", ",")
        for t, a, s in zip(time, drawn, speed, strict=True)
    ]
    for lost in (77, 78, 300):
        rows[lost] = rows[lost].split(";")[0] + ";;" + rows[lost].split(";")[2]
    del rows[150:165]
    text = "\r\n".join(
        [
            f"# {LABEL}",
            "# servo test, current in the servo's lead",
            "time [ms];current [mA];rotor speed [rpm]",
            *rows,
        ]
    )
    (HERE / "plain-servo.csv").write_text(text + "\r\n", encoding="utf-8-sig")


def spot_readings(name: str, rng: np.random.Generator) -> None:
    """What one would note by hand: peaks as displayed, three repeats of the gauge, the verdict of a release."""
    run = fb.predict(fb.read(HERE.parent / f"{name}.toml", HIDDEN))
    lines = [f"# {LABEL}", "# +/- is the expanded uncertainty (95 %); a list holds repeats", "[readings]"]
    for finding in ("gauge_push", "gauge_pull"):
        value = run.value(finding) + 0.05
        repeats = [round((value + rng.normal(0.0, 0.05)) / 0.05) * 0.05 for _ in range(3)]
        lines.append(f"{finding} = [" + ", ".join(f'"{repeat:.2f} +/- 0.15 N"' for repeat in repeats) + "]")
    lines.append(
        f'rod_force_breakout = "{run.value("rod_force_breakout") + rng.normal(0.0, 0.06):.2f} +/- 0.15 N"'
    )
    lines.append(f'meter_peak = "{run.value("meter_peak") + rng.normal(0.0, 0.008):.2f} +/- 0.02 A"')
    lines.append(f'meter_hold = "{run.value("meter_hold") + rng.normal(0.0, 0.008):.2f} +/- 0.02 A"')
    lines.append(f'release = "{run.findings["release"].value}"')
    lines.append('rotor_speed = "9940 +/- 30 rpm"')
    (HERE / f"{name}-readings.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Write all files; the same every time."""
    rng = np.random.default_rng(31)
    gauge_log(rng)
    servo_log(rng)
    spot_readings("plain", rng)
    spot_readings("weighted", rng)


if __name__ == "__main__":
    main()
