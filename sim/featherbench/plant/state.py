"""The servo chain's state: one float array with named indices.

Angles and speeds of the motor are reflected to the output (divided by the gear ratio). Energies are totals since
the state was made: works are positive into the chain, losses positive out of it.
"""

from __future__ import annotations

CURRENT = 0  # A, motor winding
MOTOR_SPEED = 1  # rad/s
MOTOR_ANGLE = 2  # rad
OUTPUT_SPEED = 3  # rad/s
OUTPUT_ANGLE = 4  # rad
PITCH_RATE = 5  # rad/s
PITCH = 6  # rad
COMMAND = 7  # rad at the servo output
DUTY = 8  # -1..1
FILTERED_SPEED = 9  # rad/s
LAST_ANGLE = 10  # rad, at the last drive update
ROD_FORCE = 11  # N, push positive, over the last step
SUPPLY_CURRENT = 12  # A, over the last step
ROTOR_MOMENT = 13  # N m, all blades, at the present pitch
WORK_ELECTRIC = 14  # J
WORK_ROTOR = 15  # J, centrifugal and air moment
LOSS_COPPER = 16  # J
LOSS_FRICTION = 17  # J
LOSS_CONTACT = 18  # J
LOSS_VISCOUS = 19  # J
RIPPLE = 20  # A/V, that the chopping draws beside duty x current, at the present duty (slow decay)
SIZE = 21
