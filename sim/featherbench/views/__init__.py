"""What each study has to say, as plain data that knows nothing of where it goes."""
