"""Property tests here are judged by what they find, not by how loaded the machine is."""

from hypothesis import settings

settings.register_profile("no_deadline", deadline=None)
settings.load_profile("no_deadline")
