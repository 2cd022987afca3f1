"""What all checks against outside sources share: no example of a property is timed."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by numpy as it is imported; see featherbench/cli.py

import hypothesis

hypothesis.settings.register_profile("untimed", deadline=None)  # no check depends on how busy the machine is
hypothesis.settings.load_profile("untimed")
