"""GDTF files built from pygdtf's own classes, an independent writer of DIN SPEC 15800. Makers, lamps: invented."""

import pygdtf
from pygdtf import (
    Attribute,
    ChannelFunction,
    ColorCIE,
    DmxChannel,
    DmxMode,
    DmxModes,
    DmxValue,
    Emitter,
    FixtureType,
    FixtureTypeWriter,
    Geometry,
    LogicalChannel,
    NodeLink,
    PhysicalValue,
    Snap,
)


def function(attribute, low=0, high=1, start="0/1", default="0/1", emitter=None, invert=None, name=None):
    made = ChannelFunction(
        name=name or attribute, attribute=NodeLink("Attributes", attribute), dmx_from=DmxValue(start),
        default=DmxValue(default), physical_from=PhysicalValue(low), physical_to=PhysicalValue(high),
        emitter=NodeLink("EmitterCollect", emitter) if emitter else None)
    if invert:
        made.dmx_invert = pygdtf.DmxInvert(invert)
    return made


def channel(attribute, offset, functions=None, snap="No", **how):
    functions = functions or [function(attribute, **how)]
    logical = LogicalChannel(attribute=NodeLink("Attributes", attribute), snap=Snap(snap), channel_functions=functions)
    return DmxChannel(offset=list(offset) if offset else None, geometry="Body", logical_channels=[logical],
                      default=None)


def fixture(path, modes, emitters=(), colours=(), name="Moorhen 60"):
    """Write a GDTF file. modes: {name: [channels]}; emitters: (name, x, y, Y); colours: (attribute, x, y)."""
    made = FixtureType()
    made.name, made.long_name, made.short_name, made.manufacturer = name, name, name, "Reedbed Lighting"
    made.fixture_type_id = "11111111-2222-3333-4444-555555555555"
    made.geometries.append(Geometry(name="Body"))
    made.emitters = [Emitter(name=n, color=ColorCIE(x, y, out), dominant_wave_length=500.0)
                     for n, x, y, out in emitters]
    made.attributes = [Attribute(name=n, color=ColorCIE(x, y, 100)) for n, x, y in colours]
    made.dmx_modes = DmxModes([DmxMode(name=n, geometry="Body", _dmx_channels=list(channels))
                               for n, channels in modes.items()])
    FixtureTypeWriter(made).write_gdtf(path)
    return str(path)
