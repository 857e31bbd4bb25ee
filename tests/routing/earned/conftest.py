"""Property tests here are short; a busy machine must not fail them by the clock."""

from hypothesis import settings

settings.register_profile("no_clock", deadline=None)
settings.load_profile("no_clock")
