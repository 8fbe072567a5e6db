"""A jointed figure that swings a golf club, drawn frame by frame, with its truth.

Films for demonstrations and tests: everything in them (times of positions, joints, strike) is
known exactly. `film()` writes one; `draw_frame()` draws one frame; `pose_at()` gives the joints.
"""

from media_tools.mannequin.framecode import FrameCodeError, read_frame_code
from media_tools.mannequin.frames import draw_frame, frame_count
from media_tools.mannequin.motion import pose_at
from media_tools.mannequin.params import (
    BUILDS,
    POSITIONS,
    Colours,
    Film,
    Swinger,
    SwingSpec,
    TimedSwing,
    swaying,
    swinger,
)
from media_tools.mannequin.recording import film, truth_of
from media_tools.mannequin.skeleton import Pose
from media_tools.mannequin.truth import JOINTS, SwingTruth, Truth, position_times_s

__all__ = [
    "BUILDS",
    "JOINTS",
    "POSITIONS",
    "Colours",
    "Film",
    "FrameCodeError",
    "Pose",
    "SwingSpec",
    "SwingTruth",
    "Swinger",
    "TimedSwing",
    "Truth",
    "draw_frame",
    "film",
    "frame_count",
    "pose_at",
    "position_times_s",
    "read_frame_code",
    "swaying",
    "swinger",
    "truth_of",
]
