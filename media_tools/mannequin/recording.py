"""Writing a film to a file, with its truth."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.video.reformatter import ColorRange, Colorspace
from numpy.typing import NDArray

from media_tools.mannequin.frames import (
    ball_at,
    camera_of,
    draw_array,
    frame_count,
    frame_time,
    motion_of,
)
from media_tools.mannequin.params import Film
from media_tools.mannequin.sound import RATE, bay_sound, heard_us
from media_tools.mannequin.truth import JOINTS, Pixel, SwingTruth, Truth, position_times_s


def _microseconds(seconds: Fraction | float) -> int:
    return round(seconds * 1_000_000)


def swing_truths(film: Film) -> tuple[SwingTruth, ...]:
    """When the positions and strikes of a film's swings are."""
    found = []
    for timed in film.swings:
        times = position_times_s(film.swinger, timed.swing)
        at = {name: _microseconds(timed.start_s + t) for name, t in times.items()}
        strike = at["P7"] if timed.swing.strike else None
        found.append(SwingTruth(at, strike, None if strike is None else heard_us(film, strike)))
    return tuple(found)


def truth_of(film: Film, neighbours_us: tuple[int, ...] | None = None) -> Truth:
    """All that is true of a film, without drawing it."""
    camera, motion = camera_of(film), motion_of(film)
    swings = swing_truths(film)
    if neighbours_us is None:
        neighbours_us = bay_sound(film, _length(film), _heard(swings))[1]
    joints: dict[str, list[Pixel | None]] = {name: [] for name in (*JOINTS, "ball")}
    times = [frame_time(film, k) for k in range(frame_count(film))]
    for time in times:
        pose = motion.pose(float(time))
        seen = camera.pixels(np.stack([getattr(pose, name) for name in JOINTS]))
        for name, (column, row, _) in zip(JOINTS, seen.tolist(), strict=True):
            joints[name].append((round(column, 3), round(row, 3)))
        ball, _ = ball_at(film, float(time))
        visible = ball is not None and camera.seen(ball)
        column, row = camera.pixel(ball) if ball is not None else (0.0, 0.0)
        joints["ball"].append((round(column, 3), round(row, 3)) if visible else None)
    return Truth(
        size_px=film.size_px,
        fps=Fraction(film.fps),
        frame_times_us=tuple(_microseconds(t) for t in times),
        swings=swings,
        joints={name: tuple(places) for name, places in joints.items()},
        neighbours_us=neighbours_us,
        px_per_m=camera.px_per_m(motion.pose(0.0).head),
        handed=film.swinger.handed,
        view=film.view,
    )


def _length(film: Film) -> float:
    return float(frame_count(film) / Fraction(film.fps))


def _heard(swings: tuple[SwingTruth, ...]) -> list[int]:
    return [s.heard_us for s in swings if s.heard_us is not None]


def film(params: Film, path: Path) -> Truth:
    """Draws a film, writes it to `path` as H.264 and AAC in MP4, and tells what is true of it.

    The file is written beside its place and renamed. Frame k is shown at k / fps exactly.
    Raises ValueError for swings that overlap and OSError where the file can't be written.
    """
    swings = swing_truths(params)
    samples, neighbours = bay_sound(params, _length(params), _heard(swings))
    aside = path.with_name(f".{path.name}.part")
    try:
        with av.open(str(aside), "w", format="mp4", options={"movflags": "+faststart"}) as out:
            _write(out, params, samples)
        aside.replace(path)
    finally:
        aside.unlink(missing_ok=True)
    return truth_of(params, neighbours)


def _write(out: av.container.OutputContainer, params: Film, samples: NDArray[np.int16]) -> None:
    rate = Fraction(params.fps)
    width, height = params.size_px
    video = out.add_stream("libx264", rate=rate)
    video.width, video.height = width, height
    video.pix_fmt = "yuv420p"
    video.options = {"crf": str(params.crf), "preset": params.preset}
    video.codec_context.time_base = 1 / rate
    # BT.709 throughout (ITU-T H.273 code points 1), in the limited range
    video.codec_context.color_primaries = 1
    video.codec_context.color_trc = 1
    video.codec_context.colorspace = 1
    video.codec_context.color_range = 1
    audio = out.add_stream("aac", rate=RATE, layout="mono")
    audio.bit_rate = 160_000
    done = 0
    for number in range(frame_count(params)):
        picture = av.VideoFrame.from_ndarray(draw_array(params, number), format="rgb24")
        frame = picture.reformat(
            format="yuv420p", dst_colorspace=Colorspace.ITU709, dst_color_range=ColorRange.MPEG
        )
        frame.pts, frame.time_base = number, 1 / rate
        out.mux(video.encode(frame))
        upto = min(round((number + 1) / rate * RATE), len(samples))
        done = _sound(out, audio, samples, done, upto)
    _sound(out, audio, samples, done, len(samples))
    out.mux(video.encode(None))
    out.mux(audio.encode(None))


def _sound(
    out: av.container.OutputContainer,
    audio: av.audio.stream.AudioStream,
    samples: NDArray[np.int16],
    first: int,
    upto: int,
) -> int:
    if upto > first:
        frame = av.AudioFrame.from_ndarray(samples[None, first:upto], format="s16", layout="mono")
        frame.sample_rate = RATE
        frame.pts, frame.time_base = first, Fraction(1, RATE)
        out.mux(audio.encode(frame))
    return upto
