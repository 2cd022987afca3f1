"""Predicts the pushrod force and servo current of a model-helicopter tail rotor before any metal is cut."""

__version__ = "0.1.0"
