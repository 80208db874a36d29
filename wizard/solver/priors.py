"""What is taken as known before the first reading: every figure of the model, with its ground.

All lengths in mm, all uncertainties are standard uncertainties (JCGM 100). Where no source is
named the figure is common practice, without a source, and only its order of magnitude matters:
readings outweigh it after the first round.
"""

from __future__ import annotations

# The plate before any reading. Coordinates are scaled so that the outermost support or point is at 1.
LEVEL_MM = 1.0  # nozzle height: a bed snugged down is up to a millimetre or two away
TILT_MM = 0.6  # height at the edge by tilt, each direction
TWIST_MM = 0.3  # height at a corner by twist
BOW_MM = 0.12  # height at the edge by curvature, each direction
SMOOTH_MM = 0.02  # any other smooth shape
SMOOTH_LENGTH = 0.5  # over which such a shape is alike
ROUGH_MM = 0.004  # texture and dirt, each point by itself

# A hand and its tool.
HAND_MM = {"leaf": 0.006, "feel": 0.006, "probe": 0.004, "given": 0.004}  # repeatability of one reading
HAND_MM |= {"caliper": 0.005, "micrometer": 0.005, "look": 0.01}  # a printed pad's own texture
DRAG_WIDTH_MM = 0.02  # width of the zone in which a card drags
ANGLE_TURNS = 15.0 / 360.0  # error of one turn made by hand: a clumsy one, for verdicts rest on it
MOTOR_TURNS = 0.0  # a motor's steps are counted

# What a turn does. ISO 965-1 tolerances the pitch diameter and not the pitch, so a thread's own lead is
# nearly exact; the spread here is that of what is between thread and plate (levers, tilting nuts, springs).
PITCH_COMMON = 0.03  # relative, shared by all adjusters of a machine
PITCH_EACH = 0.05  # relative, each adjuster by itself
INFLUENCE = 0.03  # relative error of the influence of an adjuster on a point
UNKNOWN_PITCH_MM = 0.5  # where nothing tells the pitch: M3, ISO 261
SHEET = 0.05  # relative, thickness of one shim sheet

# Share of a commanded twist that the plate takes: k/(k + k_p) on springs k (plate stiffness k_p), near 1
# where the plate is held hard against screw heads.
TWIST_SHARE = {"held": (0.92, 0.08), "floating": (0.22, 0.12), "unknown": (0.6, 0.3)}

# The axis finds its end stop again within this, one value for each pass (common practice, no source).
HOME_MM = 0.006

# Decision rule of ISO 14253-1 with the expanded uncertainty U = COVERAGE * u (JCGM 100, 6.2).
COVERAGE = 2.0

# What goes wrong now and then, for each action: common practice, no source.
SLIP = {
    "turned-other-way": 0.01,
    "not-turned": 0.005,
    "other-adjuster": 0.004,
    "reading-slipped": 0.01,
    "home-shifted": 0.003,
}
SLIP_OF_ALL = 0.003  # all turns of a round made the other way, the direction having been misread
SLIPPED_MM = 0.15  # how far off a reading is that has slipped
HOME_SHIFTED_MM = 0.15  # and a home position that has shifted
VAGUE_MM = 0.5  # a gap known less well than this cannot surprise anybody
SLIPS_LOOKED_AT = 5  # readings that are taken into consideration as slipped, the farthest out
SURPRISE = 3.0  # normal deviate from which on other stories are looked at
ODDS = 5.0  # a story this much likelier than "nothing out of the ordinary" is asked about
