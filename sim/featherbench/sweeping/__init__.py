"""Many builds of one scenario: a grid or a table of them, on this machine or an engine."""
