"""The table of all pages. Used by the app to open a page by its name, which is the name of its module as well. A new
page is one more line: its name, the folder of its module, and the machine that it works with, if any (app_machines.py).
"""

# As text: as tuples it would take four times the memory.
_PAGES = """
home home
name name
light light.light
light_actions light.light_actions
light_pick light.light_pick
looks looks.looks
look looks.look
look_crossfade looks.look_crossfade
look_store looks.look_store
run run.run order
run_add run.run_add order
run_step run.run_step order
effects effects.effects effects
effect_settings effects.effect_settings effects
effects_flash_limit effects.effects_flash_limit effects
feed feed.feed feed
feed_counts feed.feed_counts feed
feed_lost feed.feed_lost feed
captures feed.captures feed
capture_settings feed.capture_settings feed
capture_play feed.capture_play feed
capture_record feed.capture_record feed
meter meter.meter
meter_lamp meter.meter_lamp
meter_read meter.meter_read
meter_match meter.meter_match
meter_eye meter.meter_eye
meter_trim meter.meter_trim
slate slate.slate
slate_recall slate.slate_recall
rig rig.rig
lamp rig.lamp
lamp_kind rig.lamp_kind
sheet rig.sheet
slots rig.slots
rdm rig.rdm
rdm_lamp rig.rdm_lamp
groups rig.groups
load rig.load
settings settings.settings
selftest settings.selftest
faults settings.faults
about settings.about
storage settings.storage
network settings.network feed
network_text settings.network_text feed
network_sources settings.network_sources feed
shows settings.shows
show settings.show
"""


def find(name):
    """(dotted name of a page's module, its machine or ""). Errors: ValueError: no such page."""
    at = _PAGES.find("\n%s " % name)
    if at < 0:
        raise ValueError("No page called %s" % name)
    words = _PAGES[at + 1:_PAGES.find("\n", at + 1)].split(" ")
    return "firmware.ui.pages." + words[1], words[2] if len(words) > 2 else ""
