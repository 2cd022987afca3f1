"""Yaw, gyro, hover trim."""
