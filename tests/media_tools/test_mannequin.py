"""The figure's movement and its truth, without drawing."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from media_tools.mannequin import (
    POSITIONS,
    Film,
    Pose,
    Swinger,
    SwingSpec,
    TimedSwing,
    Truth,
    pose_at,
    position_times_s,
    swaying,
    swinger,
    truth_of,
)
from media_tools.mannequin.camera import HEIGHT_M, stand
from media_tools.mannequin.motion import key_times_s, keys
from media_tools.mannequin.skeleton import BALL_RADIUS_M, SHAFT_M

SWAY, LIFT = swaying(0.11, rise_m=0.04)
SWINGS = {
    "steady": (swinger(), SwingSpec()),
    "thrown early": (
        swinger("heavy", handed="left"),
        SwingSpec(0.9, 0.3, sway_m=SWAY, lift_m=LIFT, release=0.8),
    ),
    "hurried": (swinger("junior"), SwingSpec(0.55, 0.3, plane_deg=8.0)),
    "flat driver": (swinger("senior"), SwingSpec(1.0, 0.31, plane_deg=-8.0, club="driver")),
    "short wedge": (swinger("slight"), SwingSpec(0.7, 0.24, club="wedge")),
}
every_swing = pytest.mark.parametrize(("person", "swing"), SWINGS.values(), ids=SWINGS.keys())


def slope_deg(start: np.ndarray, end: np.ndarray) -> float:
    """How far a line in the world is from level."""
    way = end - start
    return float(np.degrees(np.arcsin(way[1] / np.linalg.norm(way))))


def angle_deg(a: np.ndarray, b: np.ndarray) -> float:
    cosine = a @ b / np.linalg.norm(a) / np.linalg.norm(b)
    return float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))


def at(person: Swinger, swing: SwingSpec, position: str) -> Pose:
    return pose_at(person, swing, position_times_s(person, swing)[position])


@every_swing
@pytest.mark.parametrize("position", ["P2", "P6", "P8"])
def test_the_shaft_is_level_at_p2_p6_and_p8(
    person: Swinger, swing: SwingSpec, position: str
) -> None:
    pose = at(person, swing, position)
    assert slope_deg(pose.grip, pose.club_head) == pytest.approx(0, abs=0.05)


@every_swing
@pytest.mark.parametrize("position", ["P3", "P5"])
def test_the_lead_arm_is_level_at_p3_and_p5(
    person: Swinger, swing: SwingSpec, position: str
) -> None:
    pose = at(person, swing, position)
    assert slope_deg(pose.lead_shoulder, pose.lead_wrist) == pytest.approx(0, abs=0.05)


@every_swing
def test_the_trail_arm_is_level_at_p9(person: Swinger, swing: SwingSpec) -> None:
    pose = at(person, swing, "P9")
    assert slope_deg(pose.trail_shoulder, pose.trail_wrist) == pytest.approx(0, abs=0.05)


@every_swing
def test_the_positions_follow_one_another(person: Swinger, swing: SwingSpec) -> None:
    times = position_times_s(person, swing)
    assert tuple(times) == POSITIONS
    assert list(times.values()) == sorted(set(times.values()))


@every_swing
def test_the_club_turns_at_the_top(person: Swinger, swing: SwingSpec) -> None:
    top = position_times_s(person, swing)["P4"]

    def shaft(when: float) -> np.ndarray:
        pose = pose_at(person, swing, when)
        return pose.club_head - pose.grip

    into_top = np.cross(shaft(top - 0.02), shaft(top))
    out_of_top = np.cross(shaft(top), shaft(top + 0.02))
    assert into_top @ out_of_top < 0


@every_swing
def test_the_club_head_meets_the_ball_at_p7(person: Swinger, swing: SwingSpec) -> None:
    side = 1 if person.handed == "right" else -1
    ball = keys(person, swing)[1].ball * [1, 1, side]
    gap = ball - at(person, swing, "P7").club_head
    deep = 0.05 if swing.club == "driver" else 0.02  # from the middle of the head to its face
    assert BALL_RADIUS_M < gap[0] < BALL_RADIUS_M + deep  # the ball lies toward the target
    assert abs(gap[1]) < BALL_RADIUS_M
    assert abs(gap[2]) < 0.005


@every_swing
def test_the_club_head_stays_above_the_ground(person: Swinger, swing: SwingSpec) -> None:
    end = position_times_s(person, swing)["P10"]
    heights = [pose_at(person, swing, t).club_head[1] for t in np.linspace(0, end, 400)]
    assert min(heights) > 0.0


@every_swing
def test_bones_keep_their_length(person: Swinger, swing: SwingSpec) -> None:
    bones = [
        (f"{side}_{a}", f"{side}_{b}")
        for side in ("lead", "trail")
        for a, b in (("shoulder", "elbow"), ("elbow", "wrist"), ("hip", "knee"), ("knee", "ankle"))
    ] + [("neck", "pelvis"), ("neck", "head"), ("grip", "club_head")]
    end = position_times_s(person, swing)["P10"]
    poses = [pose_at(person, swing, t) for t in np.linspace(0, end, 120)]
    for a, b in bones:
        lengths = [np.linalg.norm(getattr(p, a) - getattr(p, b)) for p in poses]
        assert max(lengths) / min(lengths) < 1.06, (a, b)


def test_the_shape_is_that_of_a_sound_swing() -> None:
    """Hips 45, shoulders 90 degrees at the top, wrists hinged 90: common practice, no source."""
    person, swing = SWINGS["steady"]
    top = at(person, swing, "P4")
    facing = np.array([0.0, 0.0, 1.0])
    level = np.array([1.0, 0.0, 1.0])
    assert angle_deg(top.hips_way * level, facing) == pytest.approx(45, abs=8)
    assert angle_deg(top.chest_way * level, facing) == pytest.approx(90, abs=10)
    hinge = angle_deg(top.lead_wrist - top.lead_shoulder, top.club_head - top.grip)
    assert hinge == pytest.approx(90, abs=15)
    finish = at(person, swing, "P10")
    target = np.array([1.0, 0.0, 0.0])
    assert angle_deg(finish.hips_way * level, target) < 15
    for position in ("P1", "P2", "P3", "P4", "P5", "P6", "P7"):
        pose = at(person, swing, position)
        straight = angle_deg(
            pose.lead_shoulder - pose.lead_elbow, pose.lead_wrist - pose.lead_elbow
        )
        assert straight > 140, position


def test_the_club_is_as_long_as_the_rules_allow() -> None:
    """0.457 to 1.219 m, Rules of Golf on clubs (from memory); the butt is 0.11 m above the grip."""
    assert all(0.457 < length + 0.11 < 1.219 for length in SHAFT_M.values())


def test_throwing_early_opens_the_wrists_before_p6() -> None:
    person = swinger()
    late, early = SwingSpec(), SwingSpec(release=0.9)

    def hinge(swing: SwingSpec) -> float:
        pose = at(person, swing, "P5")
        return angle_deg(pose.lead_wrist - pose.lead_shoulder, pose.club_head - pose.grip)

    assert hinge(early) < hinge(late) - 20
    assert position_times_s(person, early)["P6"] < position_times_s(person, late)["P6"]


def test_positions_come_when_they_do_with_skilled_players() -> None:
    """Between the quartiles of GolfDB's slow-motion clips (McNally et al., arXiv 1903.06528)."""
    person, swing = SWINGS["steady"]
    t = position_times_s(person, swing)
    back, down, after = t["P4"], t["P7"] - t["P4"], t["P10"] - t["P7"]
    assert 0.459 < t["P2"] / back < 0.536
    assert 0.642 < t["P3"] / back < 0.726
    assert 0.516 < (t["P5"] - t["P4"]) / down < 0.606
    assert 0.105 < (t["P8"] - t["P7"]) / after < 0.137
    assert 2.16 < after / down < 2.89


@pytest.mark.parametrize("ratio", [2.0, 3.0, 3.43])
def test_the_tempo_is_the_one_asked_for_within_a_frame(ratio: float) -> None:
    film = Film(swings=(TimedSwing(0.5, SwingSpec(0.26 * ratio, 0.26)),), fps=60)
    truth = truth_of(film)
    (swing,) = truth.swings
    assert swing.tempo == pytest.approx(ratio, rel=1e-4)
    first, top, strike = (truth.frame_at(swing.positions_us[p]) for p in ("P1", "P4", "P7"))
    assert top - first == pytest.approx(60 * 0.26 * ratio, abs=1)
    assert strike - top == pytest.approx(60 * 0.26, abs=1)


@every_swing
def test_the_head_goes_where_it_is_told(person: Swinger, swing: SwingSpec) -> None:
    start = at(person, swing, "P1").head
    for k, position in enumerate(POSITIONS):
        moved = pose_at(person, swing, key_time(swing, position)).head - start
        assert moved[0] == pytest.approx(swing.sway_m[k] - swing.sway_m[0], abs=1e-9)
        assert moved[1] == pytest.approx(swing.lift_m[k] - swing.lift_m[0], abs=1e-9)


def key_time(swing: SwingSpec, position: str) -> float:

    return key_times_s(swing)[position]


def test_sway_in_metres_is_sway_in_pixels_face_on() -> None:
    sway, lift = swaying(0.10)
    spec = SwingSpec(sway_m=sway, lift_m=lift)
    truth = truth_of(Film(swings=(TimedSwing(0.5, spec),), fps=100))
    top = truth.frame_at(truth.swings[0].positions_us["P4"])
    moved = truth.joint("head", top)[0] - truth.joint("head", 0)[0]
    assert moved == pytest.approx(sway[3] * truth.px_per_m, abs=0.2)


@pytest.mark.parametrize("view", ["face-on", "down-the-line"])
def test_a_left_hander_is_the_mirror_of_a_right_hander(view: str) -> None:
    spec = SwingSpec(release=0.4, plane_deg=3.0)
    right = Film(swings=(TimedSwing(0.2, spec),), view=view, fps=30)
    left = replace(right, swinger=swinger(handed="left"))
    one, two = truth_of(right), truth_of(left)
    assert one.swings == two.swings
    width = right.size_px[0]
    for name, places in one.joints.items():
        for a, b in zip(places, two.joints[name], strict=True):
            assert (a is None) == (b is None)
            if a is not None and b is not None:
                assert (width - 1 - a[0], a[1]) == pytest.approx(b, abs=0.002)


def test_both_views_are_of_one_swing() -> None:
    """The same height above the ground is read in both views at the depth of each camera."""
    film = Film(fps=30)
    pose = pose_at(film.swinger, film.swings[0].swing, 0.5)

    for view in ("face-on", "down-the-line"):
        camera = stand(film.swinger, view, film.size_px)
        for field in ("head", "grip", "club_head", "lead_knee"):
            point = getattr(pose, field)
            _, row = camera.pixel(point)
            height = HEIGHT_M - (row - camera.centre_px[1]) / camera.px_per_m(point)
            assert height == pytest.approx(point[1], abs=1e-9)


def test_everything_stays_in_the_picture() -> None:
    for view in ("face-on", "down-the-line"):
        for size in ((1280, 720), (1080, 1920)):
            for build in ("adult", "junior"):
                film = Film(swinger=swinger(build), view=view, size_px=size, fps=30)
                for name, places in truth_of(film).joints.items():
                    for place in places:
                        assert place is None or (
                            0 <= place[0] < size[0] and 0 <= place[1] < size[1]
                        ), (view, size, build, name)


def test_several_swings_stand_in_one_film() -> None:
    swings = (
        TimedSwing(0.4, SwingSpec(strike=False)),
        TimedSwing(4.4, SwingSpec()),
    )
    truth = truth_of(Film(swings=swings, fps=30))
    practice, strike = truth.swings
    assert practice.strike_us is None
    assert practice.heard_us is None
    assert strike.strike_us == 4_400_000 + 1_100_000
    assert truth.joints["ball"][truth.frame_at(practice.positions_us["P7"])] is None
    assert truth.joints["ball"][truth.frame_at(strike.begin_us)] is not None


def test_the_movement_never_jumps() -> None:
    film = Film(swings=(TimedSwing(0.4), TimedSwing(4.0)), fps=240)
    places = np.array(truth_of(film).joints["head"])
    assert np.abs(np.diff(places, axis=0)).max() < 4


def test_truth_survives_json() -> None:
    truth = truth_of(Film(fps=30))
    assert Truth.from_json(truth.to_json()) == truth


def test_the_sound_comes_later_from_afar() -> None:
    """Sound travels 343 m/s in air at 20 C (standard tables)."""
    (swing,) = truth_of(Film(mic_distance_m=3.43)).swings
    assert swing.heard_us is not None
    assert swing.strike_us is not None
    assert swing.heard_us - swing.strike_us == 10_000


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: swinger("giant"), "no build 'giant'"),
        (lambda: Swinger(height_m=0.5), "1.0 to 2.3 m"),
        (lambda: SwingSpec(backswing_s=9), "backswing"),
        (lambda: SwingSpec(release=2), "release"),
        (lambda: SwingSpec(plane_deg=40), "plane_deg"),
        (lambda: SwingSpec(sway_m=(0.0,)), "ten values"),
        (lambda: Film(fps=10), "24 to 240"),
        (lambda: Film(size_px=(641, 480)), "even"),
        (lambda: Film(view="above"), "face-on or down-the-line"),
        (lambda: Film(swings=()), "at least one swing"),
        (lambda: truth_of(Film(swings=(TimedSwing(0), TimedSwing(1)))), "come back to address"),
    ],
)
def test_it_refuses_what_cannot_be(wrong: object, words: str) -> None:
    assert callable(wrong)
    with pytest.raises(ValueError, match=words):
        wrong()


def test_a_mirrored_pose_keeps_every_joint() -> None:
    pose = pose_at(swinger(), SwingSpec(), 0.3)
    twice = pose.mirrored().mirrored()
    assert all(np.allclose(getattr(pose, f.name), getattr(twice, f.name)) for f in fields(Pose))
