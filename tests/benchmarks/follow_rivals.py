"""What is followed on the same clips for comparison: OpenCV's stock tracker and Lucas-Kanade."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.follow_films import Clip

Places = NDArray[np.float64]


def by_mil(clip: Clip) -> Places:
    """TrackerMIL, the one of OpenCV's trackers in the headless wheel that needs no model file."""
    tracker = cv2.TrackerMIL.create()
    box = clip.box
    left, top = box.x_px - box.width_px / 2, box.y_px - box.height_px / 2
    rect = (round(left), round(top), round(box.width_px), round(box.height_px))
    tracker.init(cv2.cvtColor(clip.pictures[0], cv2.COLOR_GRAY2BGR), rect)
    # Its boxes are of whole pixels: count from where it was put
    off = np.array([box.x_px - rect[0] - rect[2] / 2, box.y_px - rect[1] - rect[3] / 2])
    places = [np.array([box.x_px, box.y_px])]
    for picture in clip.pictures[1:]:
        is_there, (x, y, wide, tall) = tracker.update(cv2.cvtColor(picture, cv2.COLOR_GRAY2BGR))
        there = np.array([x + wide / 2, y + tall / 2]) + off
        places.append(there if is_there else np.full(2, np.nan))
    return np.array(places)


def by_lucas_kanade(clip: Clip) -> Places:
    """Pyramidal Lucas-Kanade on corners within the box; the middle moves by their median."""
    box = clip.box
    mask = np.zeros_like(clip.pictures[0])
    x0, x1 = round(box.x_px - box.width_px / 2), round(box.x_px + box.width_px / 2)
    y0, y1 = round(box.y_px - box.height_px / 2), round(box.y_px + box.height_px / 2)
    mask[max(y0, 0) : y1, max(x0, 0) : x1] = 255
    points = cv2.goodFeaturesToTrack(clip.pictures[0], 60, 0.01, 5, mask=mask)
    place = np.array([box.x_px, box.y_px])
    places = [place]
    for before, after in zip(clip.pictures, clip.pictures[1:], strict=False):
        if points is None or len(points) < 3:
            places.append(np.full(2, np.nan))
            continue
        moved, is_there, _ = cv2.calcOpticalFlowPyrLK(
            before, after, points, None, winSize=(31, 31), maxLevel=4
        )
        kept = is_there[:, 0] == 1
        if kept.sum() >= 3:
            place = place + np.median((moved - points)[kept][:, 0], axis=0)
        places.append(place)
        points = moved[kept]
    return np.array(places)
