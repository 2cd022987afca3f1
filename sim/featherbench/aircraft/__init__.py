"""Yaw, gyro, hover trim."""

from featherbench.aircraft.hover import HoverTrim, hover_trim

__all__ = ["HoverTrim", "hover_trim"]
