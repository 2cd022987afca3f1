"""What tolerances and doubts do to findings: places to sample, shortened runs, ranges and shares."""
