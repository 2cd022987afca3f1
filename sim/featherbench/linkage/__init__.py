"""Geometry, static force, stiffness and play of the linkage from the servo arm to the pitch horn."""

from featherbench.linkage.build import LinkageSetup, build_linkage
from featherbench.linkage.geometry import Linkage, linkage_geometry
from featherbench.linkage.reach import LinkageReach, servo_angle_for, servo_angles_for

__all__ = [
    "Linkage",
    "LinkageReach",
    "LinkageSetup",
    "build_linkage",
    "linkage_geometry",
    "servo_angle_for",
    "servo_angles_for",
]
