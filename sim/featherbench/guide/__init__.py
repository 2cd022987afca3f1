"""What may be written and asked: every key and finding with its meaning, a schema for editors, a scenario to start."""
