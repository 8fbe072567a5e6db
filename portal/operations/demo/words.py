"""What the demo's people are, were told and have to practise: words only."""

from __future__ import annotations

from dataclasses import dataclass, field

GROUND = "Sallow Creek Practice Ground"
COACH = ("Ines Marlowe", "ines@sallow-creek.example")

DRILLS: list[dict[str, object]] = [
    {
        "name": "Sway gate",
        "purpose": "Turn around the trail hip instead of sliding past it.",
        "set_up": "Push a stick into the ground a hand's width outside your trail hip. "
        "Take your usual stance with an iron.",
        "steps": "Swing to the top at half speed and stop.\n"
        "Look: the stick is still a hand's width away.\n"
        "Finish the swing. After five slow ones, hit one ball.",
        "feel": "The trail pocket goes back, behind you, not sideways.",
        "works_when": "You can stop at the top without touching the stick ten times in a row.",
        "slip": "Keeping the hips still. They turn; they just do not slide.",
        "equipment": "One alignment stick, a 7 iron",
        "sets": 3,
        "reps": 10,
        "days_a_week": 5,
    },
    {
        "name": "Nine-to-three swings",
        "purpose": "Keep the club's angle until the hands are past the trail leg.",
        "set_up": "A short iron, ball in the middle, feet a little closer than usual.",
        "steps": "Lead arm to nine o'clock, no further.\n"
        "Through to three o'clock, both arms long.\n"
        "Hold the finish until the ball lands.",
        "feel": "The hands arrive first, the club head last.",
        "works_when": "The ball starts on line and flies lower than you expect.",
        "slip": "Swinging longer as soon as it goes well.",
        "equipment": "A 9 iron, twenty balls",
        "sets": 2,
        "reps": 10,
        "days_a_week": 4,
    },
    {
        "name": "Three-count to the top",
        "purpose": "Give the backswing time, so that the downswing need not be rushed.",
        "set_up": "No ball at first. Your usual stance.",
        "steps": "Say one at the start, two at waist height, three at the top.\n"
        "Swing down only after three.\n"
        "Ten without a ball, then ten with.",
        "feel": "As if you had all day at the top.",
        "works_when": "A friend who counts with you says three before the club comes down.",
        "slip": "Counting faster once a ball lies there.",
        "equipment": "Any iron",
        "sets": 2,
        "reps": 10,
        "days_a_week": 4,
    },
    {
        "name": "Feet together",
        "purpose": "Balance and rhythm.",
        "set_up": "Feet touching, ball in the middle, a short iron.",
        "steps": "Half swings only.\nFinish standing still.\nStep out after five good ones.",
        "feel": "Quiet legs, long arms.",
        "works_when": "You stand still for three seconds after every ball.",
        "slip": "Swinging too hard.",
        "caution": "Skip it on wet mats.",
        "equipment": "A 9 iron",
        "minutes": 10,
        "days_a_week": 3,
    },
    {
        "name": "Towel behind the ball",
        "purpose": "Strike the ball before the ground.",
        "set_up": "Lay a folded towel a club head's length behind the ball.",
        "steps": "Miss the towel, hit the ball.\nIf you touch it, half speed again.",
        "feel": "Chest over the ball at impact.",
        "works_when": "Ten balls without touching the towel.",
        "slip": "Lifting the arms to get over it.",
        "equipment": "A towel, an 8 iron",
        "sets": 2,
        "reps": 10,
        "days_a_week": 3,
    },
    {
        "name": "Ladder of wedge distances",
        "purpose": "Know three swings that fly three distances.",
        "set_up": "Targets at 40, 60 and 80 metres. One wedge.",
        "steps": "Five balls to 40, five to 60, five to 80.\n"
        "Then one to each in turn, five times over.\n"
        "Write down how many landed within five metres.",
        "feel": "The same tempo for all three; only the length of the swing changes.",
        "works_when": "Nine of the last fifteen land within five metres.",
        "slip": "Slowing down for the short one.",
        "equipment": "One wedge, thirty balls",
        "minutes": 25,
        "days_a_week": 6,
    },
]


# A group's name, its students, its drills
GROUPS: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    ("Short game on Saturdays", ("Lena Osei", "Tobias Renn"), ("Ladder of wedge distances",)),
)


@dataclass(frozen=True)
class Told:
    """One lesson: its words. `days_ago` is its date; `for_days` the time to the next visit."""

    days_ago: int
    for_days: int
    theme: str
    main_point: str
    body: str = ""
    # what, why, what it does to the ball, how it stands
    findings: tuple[tuple[str, str, str, str], ...] = ()
    drills: tuple[str, ...] = ()
    # Days since the lesson on which each drill was logged, with how it felt
    practised: dict[str, dict[int, int]] = field(default_factory=dict)
    notes: dict[tuple[str, int], str] = field(default_factory=dict)
    seen: bool = True


@dataclass(frozen=True)
class Person:
    """One student of the demo and their lessons, first to last."""

    name: str
    email: str
    born_years_ago: int
    handed: str
    handicap: float | None
    aims: str
    cautions: str
    lessons: tuple[Told, ...]
    guardian: tuple[str, str] | None = None
    # A programme from the first lesson on: its name, how many lessons, its aims
    programme: tuple[str, int, tuple[str, ...]] | None = None


SWAY = "Your hips slide away from the target going back"
THROW = "The club is thrown from the top"

TOBIAS = Person(
    name="Tobias Renn",
    email="tobias@renn.example",
    born_years_ago=52,
    handed="left",
    handicap=17,
    aims="Six lessons this season. Wants to stop the hook that loses two balls a round.",
    cautions="",
    programme=(
        "Six lessons against the hook",
        6,
        (
            "Turn around the trail hip without a sway",
            "The hands lead the club head into the ball",
            "Nine of ten 7 irons start where you aim",
        ),
    ),
    lessons=(
        Told(
            67,
            28,
            "Where the hook comes from",
            "Stand a little taller and let the hips turn.",
            "We looked at where your swing stands today and agreed on six lessons.",
            (
                (
                    SWAY,
                    "The weight goes to the outside of the trail foot, and you have to slide back.",
                    "The low point moves: some heavy, some thin.",
                    "new",
                ),
            ),
            ("Feet together",),
            {"Feet together": {2: 3, 5: 3, 9: 4, 13: 4, 20: 4}},
        ),
        Told(
            38,
            28,
            "Turn, do not slide",
            "Turn behind the ball around the trail hip.",
            "Better already at half speed. At full speed the slide comes back.",
            (
                (
                    SWAY,
                    "You try to get behind the ball with the hips instead of the shoulders.",
                    "Heavy strikes, and pushes when the body arrives late.",
                    "working on it",
                ),
            ),
            ("Sway gate",),
            {"Sway gate": {1: 2, 3: 3, 4: 3, 8: 3, 11: 4, 15: 4, 22: 4}},
        ),
        Told(
            9,
            28,
            "Sway and early release",
            "Turn around your trail hip; the hands come down before the club head.",
            "At the start of the lesson your head moved about **13 cm** away from the target going "
            "back. At the end it was half of that, and the strike followed: the last ten balls "
            "started where you aimed.\n\n"
            "Do the sway gate *before* you hit balls, even if it is only one set. If the two "
            "drills fight each other, leave the second one for that day.",
            (
                (
                    SWAY,
                    "The trail knee straightens early, so the hips have nowhere to turn.",
                    "The low point sits behind the ball: heavy, or thin when you save it.",
                    "better",
                ),
                (
                    THROW,
                    "The trail wrist straightens as the first thing coming down.",
                    "The face closes early: the hook. When you hold it off, the push.",
                    "new",
                ),
                (
                    "Your grip has held since lesson one",
                    "The lead thumb sits where we put it.",
                    "The start line is steadier than in spring.",
                    "holding",
                ),
            ),
            ("Sway gate", "Nine-to-three swings"),
            {
                "Sway gate": {1: 3, 2: 3},
                "Nine-to-three swings": {1: 3, 2: 3, 4: 4, 6: 4, 8: 4},
            },
            {("Nine-to-three swings", 6): "Lower flight, and straight. Felt odd at first."},
        ),
    ),
)

ASHA = Person(
    name="Asha Quill",
    email="asha@quill.example",
    born_years_ago=14,
    handed="right",
    handicap=None,
    aims="Plays for the fun of it. Would like to play nine holes with her uncle in spring.",
    cautions="",
    guardian=("Merit Quill", "merit@quill.example"),
    lessons=(
        Told(
            34,
            28,
            "First look",
            "Finish every swing standing still.",
            "A lovely first lesson.",
            (
                (
                    "You rush from the top",
                    "The arms want to hit before the turn is done.",
                    "Thin strikes, and the slice when it is in a hurry.",
                    "new",
                ),
            ),
            ("Feet together",),
            {"Feet together": {1: 4, 3: 4, 6: 5, 10: 4}},
        ),
        Told(
            6,
            22,
            "Time at the top",
            "Count to three on the way back; only then come down.",
            "Your swing is the same length as at the start. All that changed is the time you give "
            "it, and the ball already flies higher.",
            (
                (
                    "You rush from the top",
                    "There is no pause between back and down.",
                    "Thin strikes that start right.",
                    "working on it",
                ),
            ),
            ("Three-count to the top", "Feet together"),
            {"Three-count to the top": {1: 4, 3: 5, 5: 5}, "Feet together": {1: 4}},
        ),
    ),
)

DOV = Person(
    name="Dov Hartigan",
    email="dov@hartigan.example",
    born_years_ago=61,
    handed="right",
    handicap=22,
    aims="Play eighteen holes without being sore the day after.",
    cautions="Shoulder operation (right) last year. Cleared for golf by his surgeon; no full "
    "swings with the driver yet. Stop on pain; questions go to his physiotherapist.",
    lessons=(
        Told(
            16,
            28,
            "A shorter swing that is enough",
            "Stop at nine o'clock: it is far enough.",
            "We keep the swing short while the shoulder settles. Nothing in here should hurt; if "
            "it does, stop and ask your physiotherapist.",
            (
                (
                    "You reach further back than the shoulder likes",
                    "The arms keep going when the turn is done.",
                    "The club passes the ball before the body: pulls to the left.",
                    "new",
                ),
            ),
            ("Nine-to-three swings",),
        ),
    ),
)

LENA = Person(
    name="Lena Osei",
    email="lena@osei.example",
    born_years_ago=29,
    handed="right",
    handicap=4,
    aims="County team next year. Wedges from 40 to 80 metres.",
    cautions="",
    lessons=(
        Told(
            23,
            28,
            "Three lengths, one tempo",
            "Change the length of the swing, never its speed.",
            "The 60 is already yours. The 40 comes up short because you slow down into it.",
            (
                (
                    "You slow down into the short wedge",
                    "The swing is longer than the shot needs.",
                    "Short of the target by four to eight metres, with less spin.",
                    "working on it",
                ),
            ),
            ("Ladder of wedge distances", "Towel behind the ball"),
            {
                "Ladder of wedge distances": dict.fromkeys(
                    [1, 2, 3, 5, 6, 7, 8, 9, 11, 12, 13, 14, 15, 17, 18, 19, 20, 21, 22], 4
                ),
                "Towel behind the ball": dict.fromkeys([2, 5, 8, 9, 12, 15, 18, 21], 4),
            },
            {("Ladder of wedge distances", 20): "11 of 15 within five metres."},
        ),
    ),
)

PEOPLE = (TOBIAS, ASHA, DOV, LENA)
