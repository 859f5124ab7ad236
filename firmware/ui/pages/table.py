"""The table of all pages. Used by the app to open a page by its name, which is the name of its module as well. A new
page is one more line: its name, the folder of its module, and the machine that it works with, if any (app_machines.py).
"""

# As text: as tuples it would take four times the memory.
_PAGES = """
home
name
light light
light_actions light
light_pick light
looks looks
look looks
look_crossfade looks
look_store looks
run run order
run_add run order
run_step run order
effects effects effects
effect_settings effects effects
effects_flash_limit effects effects
feed feed feed
feed_counts feed feed
feed_lost feed feed
captures feed feed
capture_settings feed feed
capture_play feed feed
capture_record feed feed
meter meter
meter_lamp meter
meter_trim meter
slate slate
slate_recall slate
rig rig
lamp rig
lamp_kind rig
sheet rig
slots rig
groups rig
load rig
settings settings
selftest settings
faults settings
about settings
shows settings
show settings
"""


def find(name):
    """(dotted name of a page's module, its machine or ""). Errors: ValueError: no such page."""
    at = max(_PAGES.find("\n%s " % name), _PAGES.find("\n%s\n" % name))
    if at < 0:
        raise ValueError("No page called %s" % name)
    words = _PAGES[at + 1:_PAGES.find("\n", at + 1)].split(" ")
    folder = words[1] + "." if len(words) > 1 else ""
    return "firmware.ui.pages." + folder + name, words[2] if len(words) > 2 else ""
