"""What the numbers in a picture mean, and how they become ordinary (SDR, BT.709) ones.

The code points are those of ITU-T H.273 (matrix coefficients, colour primaries, transfer
characteristics), which ffmpeg and PyAV use as they are.
"""

from __future__ import annotations

from dataclasses import dataclass

#: H.273 matrix coefficients -> the name ffmpeg's `scale` filter knows
_MATRICES = {1: "bt709", 4: "fcc", 5: "smpte170m", 6: "smpte170m", 7: "smpte240m", 9: "bt2020"}
_PRIMARIES = {1: "bt709", 5: "bt470bg", 6: "smpte170m", 9: "bt2020", 12: "smpte432"}
_PQ, _HLG = 16, 18
_HDR_TRANSFERS = {_PQ: "smpte2084", _HLG: "arib-std-b67"}
_UNSPECIFIED = 2
_WHITE_NITS = 203  # diffuse white in PQ and HLG pictures: ITU-R BT.2408
_PEAK = 5  # brightest, as a multiple of white: pictures of phones reach about 1000 cd/m2
_LINEAR_UP_TO = 0.5  # of white: what lies below keeps its brightness, what lies above is bent

Filter = tuple[str, dict[str, str | int | float]]


@dataclass(frozen=True)
class Colour:
    """H.273 code points of a picture, and whether its numbers use the full range."""

    matrix: int = _UNSPECIFIED
    primaries: int = _UNSPECIFIED
    transfer: int = _UNSPECIFIED
    full_range: bool = False

    @property
    def is_hdr(self) -> bool:
        """High dynamic range: the transfer is PQ or HLG (ITU-R BT.2100)."""
        return self.transfer in _HDR_TRANSFERS

    @property
    def transfer_name(self) -> str:
        """'smpte2084', 'arib-std-b67' or 'sdr'."""
        return _HDR_TRANSFERS.get(self.transfer, "sdr")

    def matrix_name(self, height_px: int) -> str:
        """The matrix as ffmpeg names it; unsaid, the one usual for the picture's height."""
        usual = "bt709" if height_px >= 720 else "smpte170m"
        if self.is_hdr:
            usual = "bt2020"
        return _MATRICES.get(self.matrix, usual)

    def scale_options(self, height_px: int, *, to_matrix: str, to_range: str) -> dict[str, str]:
        """Options of `scale` that say what comes in and what must come out (SDR only)."""
        return {
            "in_color_matrix": self.matrix_name(height_px),
            "in_range": "pc" if self.full_range else "tv",
            "out_color_matrix": to_matrix,
            "out_range": to_range,
        }

    def tone_filters(self) -> tuple[Filter, ...]:
        """ffmpeg's filters from HDR to planar 8-bit RGB of BT.709, full range.

        A grey card and diffuse white come out as bright as they do in an SDR picture; only what
        is brighter is bent. It ends in RGB since the `zscale` of ffmpeg 5.1 gets the
        colours wrong on the way from float RGB to YUV; `scale` does that step right.
        """
        stated: dict[str, str | int | float] = {
            "color_trc": self.transfer_name,
            "color_primaries": _PRIMARIES.get(self.primaries, "bt2020"),
            "colorspace": "bt709" if self.matrix == 1 else "bt2020nc",
            "range": "pc" if self.full_range else "tv",
        }
        return (
            ("setparams", stated),
            ("zscale", {"transfer": "linear", "npl": _WHITE_NITS}),
            ("format", {"pix_fmts": "gbrpf32le"}),
            ("zscale", {"primaries": "bt709"}),
            ("tonemap", {"tonemap": "mobius", "param": _LINEAR_UP_TO, "peak": _PEAK, "desat": 0}),
            ("zscale", {"transfer": "bt709", "matrix": "gbr", "range": "full"}),
            ("format", {"pix_fmts": "gbrp"}),
        )
