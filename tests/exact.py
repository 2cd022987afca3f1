"""Changes of the survey helicopter's plain build that leave nothing uncertain: what a command says of a build can be
looked at without the many simulations by which it finds out how sure it is.
"""

from featherbench.scenario.doubt import TAKEN_OUT

EXACT = {
    "rotor.speed": "10000 rpm",
    "part.blade.mass": "5.0 g",
    "part.grip.mass": "5.2 g",
    "linkage.horn_arm": "13 mm",
    "linkage.servo_arm": "14 mm",
    "linkage.slider_friction": "0.35 N",
    "linkage.stiffness": "35 N/mm",
    "linkage.play.rod": "0.05 mm",
    **{f"doubt.{name}": off for name, off in TAKEN_OUT.items()},
}
"""Each tolerance taken off, and each doubt of the model taken out."""
EXACT_WORDS = tuple(word for key, value in EXACT.items() for word in ("--set", f"{key}={value}"))
