"""Properties are checked on 40 examples, however busy the machine is."""

from hypothesis import settings

settings.register_profile("stats", deadline=None, max_examples=40)
settings.load_profile("stats")
