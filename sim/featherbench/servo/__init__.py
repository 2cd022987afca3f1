"""Data sheet -> motor; motor and gear train; position loop; supply."""

from featherbench.servo.data_sheet import ServoDrive, servo_drive

__all__ = ["ServoDrive", "servo_drive"]
