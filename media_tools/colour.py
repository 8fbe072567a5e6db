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
_REFERENCE_WHITE_NITS = {_PQ: 203, _HLG: 100}

Filter = tuple[str, dict[str, str | int]]


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
        """ffmpeg's filters from HDR to linear BT.709 light within what a plain screen shows.

        They end in planar float RGB of linear light: a `zscale` to the wanted matrix and range
        must follow. HLG carries scene light and PQ display light, hence the two levels taken
        as white (ITU-R BT.2408: 203 cd/m2 for graphics white in PQ).
        """
        source: dict[str, str | int] = {
            "transferin": self.transfer_name,
            "primariesin": _PRIMARIES.get(self.primaries, "bt2020"),
            "matrixin": "709" if self.matrix == 1 else "2020_ncl",
            "rangein": "full" if self.full_range else "limited",
            "npl": _REFERENCE_WHITE_NITS[self.transfer],
        }
        return (
            ("zscale", {**source, "transfer": "linear"}),
            ("format", {"pix_fmts": "gbrpf32le"}),
            ("zscale", {"primaries": "bt709"}),
            ("tonemap", {"tonemap": "hable", "desat": 0}),
        )
