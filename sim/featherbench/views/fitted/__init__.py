"""What a match and a calibration have to say."""
