"""What may be written: every key with its meaning, a schema for editors, a scenario to start from."""
