"""A complete scenario, invented, and small helpers to change and read it."""

import pytest

EXAMPLE = """title = "Survey helicopter, 6 kg: plain blade bolts"     # invented rig
[rotor]
blades = 2
speed = "8400 rpm"
pitch_range = ["-26 deg", "26 deg"]
coning = "0 deg"
[air]
density = "1.18 kg/m^3"
[blade]
root = "40 mm"
tip = "135 mm"
chord = "27 mm"
section = "NACA 0012"
axis_at = 0.38
swing = "free"
bolt_radius = "36 mm"
[part.blade]
group = "blade"
shape = "aerofoil"
mass = "6.4 +/- 0.05 g"
[part.grip]
group = "grip"
shape = "box"
size = { radius = "30 mm", chord = "12 mm", normal = "9 mm" }
at = { radius = "24 mm" }
mass = "5.6 g"
[part.blade-bolt]
group = "bolt"
shape = "screw"
standard = "ISO 4762"
size = "M3x14"
axis = "normal"
at = { radius = "36 mm" }
material = "steel"
[part.weight]
group = "counterweight"
shape = "cylinder"
axis = "normal"
diameter = "5 mm"
length = "6 mm"
at = { radius = "30 mm", normal = "11 mm" }
mirror = "normal"
material = "brass"
[part.collar]
group = "other"
shape = "stack"
axis = "radius"
pieces = [
  { from = "0 mm", length = "4 mm", diameter = "8 mm", bore = "3 mm" },
  { from = "4 mm", length = "3 mm", across_flats = "7 mm" },
]
density = "2700 kg/m^3"
[part.swung]
group = "other"
shape = "measured"
mass = "2.1 g"
period = "0.9 s"
cord_length = "300 mm"
spacing = "60 mm"
[bearing]
kind = "thrust ball"
mean_diameter = "7 mm"
starting_moment = "0.2 N*mm"
static_rating = "900 N"
[linkage]
horn_arm = "14 mm"
lever_out = "14 mm"
lever_in = "20 mm"
rod_length = "420 mm"
rod_diameter = "2 mm"
rod_material = "carbon"
servo_arm = "13 mm"
slider_friction = "0.3 N"
rod_friction = "0.2 N"
stiffness = "40 N/mm"
play = { rod = "0.05 mm", slider = "0.04 mm", horn = "0.05 mm" }
[servo]
voltage = "6 V"
stall_torque = "0.32 N*m"
transit_60 = "0.07 s"
stall_current = "1.6 A"
idle_current = "12 mA"
gear_ratio = 240
gear_friction = "0.012 N*m"
gear_load_friction = 0.15
rotor_inertia = "0.9 g*mm^2"
dead_band = "0.4 deg"
proportional_band = "6 deg"
drive_rate = "333 Hz"
gear_play = "0.3 deg"
damping = "4 ms"
output_friction = "1 N*mm"
travel = "60 deg"
[supply]
voltage = "6 V"
resistance = "80 mohm"
limit = "5 A"
[bench]
programme = [ { go = 1.0, hold = "1.5 s" }, { go = -1.0, hold = "1.5 s" }, { go = 0.0, hold = "1 s" } ]
release_from = "15 deg"
[gauge]
resolution = "0.05 N"
rate = "10 Hz"
stiffness = "30 N/mm"
uncertainty = "0.15 N"
[meter]
resolution = "0.01 A"
window = "300 ms"
rate = "3 Hz"
zero_idle = true
uncertainty = "0.02 A"
[limits]
rod_ball_link = "90 N"
bolt_class = "10.9"
regulator_current = "4 A"
balance_grade = "G6.3"
[aircraft]
tail_arm = "0.78 m"
yaw_inertia = "0.42 kg*m^2"
main_torque = "5.1 N*m"
gyro = { rate_gain = "0.10 s", hold_gain = 0.6, rate = "250 Hz", delay = "4 ms" }
[envelope]
height_above = "16 mm"
height_below = "14 mm"
diameter = "9 mm"
materials = ["steel", "brass"]
stock = ["6 mm", "8 mm", "9 mm"]
lathe_step = "0.1 mm"
target = { compensation = 0.93 }
"""


@pytest.fixture(scope="session")
def example() -> str:
    """Text of the complete scenario."""
    return EXAMPLE


@pytest.fixture
def plain(tmp_path, example):
    """The complete scenario as a file."""
    path = tmp_path / "plain.toml"
    path.write_text(example, encoding="utf-8")
    return path
