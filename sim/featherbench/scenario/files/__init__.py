"""Files beside the scenario: those that it names."""
