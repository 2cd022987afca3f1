"""What the first screen shows of a study: the figures that matter, and what to do next."""
