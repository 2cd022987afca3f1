"""What all checks against outside sources share: no example of a property is timed."""

import hypothesis

hypothesis.settings.register_profile("untimed", deadline=None)  # no check depends on how busy the machine is
hypothesis.settings.load_profile("untimed")
