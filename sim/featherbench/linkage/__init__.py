"""Servo arm to pitch horn: geometry, stiffness, play."""
