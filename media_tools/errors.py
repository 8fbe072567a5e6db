"""What can go wrong with a video: each kind is a class.

`.sentence` is for the person who uploaded the file: what happened and what to do.
`.detail` is for the log: the words of the library or the tool.
"""

from __future__ import annotations


class MediaError(Exception):
    """Base of all errors of media_tools; `sentence` for a person, `detail` for the log."""

    #: True where trying the same file again may work; False where the file itself is at fault.
    may_pass_later = False

    def __init__(self, sentence: str, detail: str = "") -> None:
        super().__init__(sentence, detail)
        self.sentence = sentence
        self.detail = detail

    def __str__(self) -> str:
        return f"{self.sentence} ({self.detail})" if self.detail else self.sentence


class NotAVideo(MediaError):
    """The bytes are none of the kinds of file that phones and cameras write."""


class NoPicture(MediaError):
    """A media file without a picture track that can be read, such as a voice recording."""


class TooLong(MediaError):
    """It plays longer, or has more frames, than the limits allow."""


class TooLarge(MediaError):
    """The file has more bytes, or its picture more pixels, than the limits allow."""


class Unreadable(MediaError):
    """A video by its first bytes, but cut short or damaged beyond use."""


class PointsElsewhere(MediaError):
    """A playlist or any other file whose pictures lie in another file or at an address."""


class Encrypted(MediaError):
    """The tracks are encrypted."""


class BlankPatch(MediaError):
    """A part of a picture that is to be known again, and is all of one shade."""


class ToolFailed(MediaError):
    """ffmpeg is missing, ended with an error, or wrote what it was not asked to write."""

    may_pass_later = True


class NoRoom(ToolFailed):
    """The disk is full."""


class TimedOut(MediaError):
    """The work took longer than its time limit."""

    may_pass_later = True


class Stopped(MediaError):
    """Whoever asked for the work wants it no more."""

    may_pass_later = True
