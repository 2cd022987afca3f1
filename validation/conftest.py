"""What all checks against outside sources share: no example of a property is timed."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by numpy as it is imported; see featherbench/cli.py

import hypothesis

# no check depends on how busy the machine is
hypothesis.settings.register_profile("untimed", deadline=None, max_examples=40)
hypothesis.settings.load_profile("untimed")
