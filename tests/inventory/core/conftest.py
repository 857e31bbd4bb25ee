"""Property tests of the wood draw many amounts; a busy machine is no reason to fail one."""

from hypothesis import settings

settings.register_profile("no_clock", deadline=None)
settings.load_profile("no_clock")
