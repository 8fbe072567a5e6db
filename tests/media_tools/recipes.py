"""The files that everything is tried on: what phones, cameras and their exports write."""

from __future__ import annotations

from tests.media_tools.clips import PASSTHROUGH, QUIET_265, X264, X265, Recipe

VARIABLE = "settb=1/90000,setpts='N*2800+1100*sin(N)+if(gt(N,20),9000,0)'"
YUV420 = ("-pix_fmt", "yuv420p")
HDR = ("-c:v", "libx265", "-preset", "ultrafast", "-tag:v", "hvc1", "-pix_fmt", "yuv420p10le")
TO_2020 = "scale=out_color_matrix=bt2020:out_range=tv,format=yuv420p10le"

RECIPES: dict[str, Recipe] = {
    "h264": Recipe(),
    "hevc-240": Recipe(
        *("mov", 120, 240), codec=(*X265, "-x265-params", f"{QUIET_265}:keyint=60:bframes=3")
    ),
    "h264-variable": Recipe(filters=VARIABLE, options=PASSTHROUGH),
    "hevc-variable": Recipe(
        *("mov",), codec=(*X265, "-x265-params", QUIET_265), filters=VARIABLE, options=PASSTHROUGH
    ),
    "few-keys": Recipe(frames=90, codec=(*X264, "-g", "600")),
    "open-gop": Recipe(
        frames=72,
        codec=(*X265, "-x265-params", f"{QUIET_265}:keyint=24:min-keyint=24:open-gop=1:bframes=4"),
    ),
    "silent": Recipe(sound=()),
    "portrait": Recipe(size=(180, 320)),
    "odd": Recipe(
        "mkv", size=(321, 181), shown=(320, 180), codec=("-c:v", "libx264", "-pix_fmt", "yuv444p")
    ),
    "wide-pixels": Recipe(size=(240, 180), shown=(320, 180), filters="setsar=4/3"),
    "full-range": Recipe(
        filters="scale=out_range=pc:out_color_matrix=bt709,format=yuvj420p",
        codec=("-c:v", "libx264", "-color_range", "pc", "-colorspace", "bt709"),
    ),
    "one-frame": Recipe(frames=1),
    "late-sound": Recipe(
        sound=("-itsoffset", "0.4", "-f", "lavfi", "-i", "sine=frequency=440:sample_rate=44100")
    ),
    "late-start": Recipe(options=("-output_ts_offset", "3.7")),
    "mkv": Recipe("mkv", options=("-c:a", "libopus")),
    "webm": Recipe(
        "webm", codec=("-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", *YUV420)
    ),
    "avi": Recipe("avi", codec=("-c:v", "mjpeg", "-q:v", "3"), options=("-c:a", "pcm_s16le")),
    "avi-h264": Recipe("avi", codec=(*X264, "-bf", "0"), sound=()),
    "prores": Recipe("mov", frames=24, codec=("-c:v", "prores_ks", "-pix_fmt", "yuv422p10le")),
    "3gp": Recipe("3gp", options=("-c:a", "aac", "-ac", "1")),
    "mts": Recipe("mts", frames=72),
    "hlg": Recipe(
        *("mov", 24),
        filters=TO_2020,
        codec=(*HDR, "-x265-params", f"{QUIET_265}:transfer=arib-std-b67:colorprim=bt2020"),
        options=("-color_trc", "arib-std-b67", "-color_primaries", "bt2020"),
    ),
    "pq": Recipe(
        *("mov", 24),
        filters=TO_2020,
        codec=(*HDR, "-x265-params", f"{QUIET_265}:transfer=smpte2084:colorprim=bt2020"),
        options=("-color_trc", "smpte2084", "-color_primaries", "bt2020"),
    ),
    "turned-90": Recipe("mov", turn=90, matrix=("-display_rotation", "90")),
    "turned-270": Recipe("mov", turn=270, matrix=("-display_rotation", "270")),
    "turned-180": Recipe("mov", turn=180, matrix=("-display_rotation", "180")),
    "turned-silent": Recipe("mov", turn=90, sound=(), matrix=("-display_rotation", "90")),
    "mirrored": Recipe("mov", flip=True, matrix=("-display_hflip",)),
    "turned-90-mirrored": Recipe(
        "mov", turn=90, flip=True, matrix=("-display_rotation", "270", "-display_hflip")
    ),
    "turned-270-mirrored": Recipe(
        "mov", turn=270, flip=True, matrix=("-display_rotation", "90", "-display_hflip")
    ),
    "mkv-turned": Recipe("mkv", turn=90, matrix=("-display_rotation", "90")),
    "hlg-turned": Recipe(
        *("mov", 12),
        turn=270,
        filters=TO_2020,
        codec=(*HDR, "-x265-params", f"{QUIET_265}:transfer=arib-std-b67:colorprim=bt2020"),
        options=("-color_trc", "arib-std-b67", "-color_primaries", "bt2020"),
        matrix=("-display_rotation", "-90"),
    ),
    "film-24": Recipe("mov", rate=24),
    "tv-25": Recipe(rate=25),
    "59.94": Recipe(rate="60000/1001"),
    "hevc-120": Recipe("mov", 96, 120, codec=(*X265, "-x265-params", QUIET_265)),
    "h264-240-mono": Recipe("mp4", 120, 240, options=("-ac", "1")),
    "stretched": Recipe("mov", 96, 240, sound=(), matrix=("-itsscale", "8")),  # 240 stored as 30
    "trimmed": Recipe("mov", codec=(*X264, "-g", "600"), matrix=("-ss", "0.55"), hidden=17),
    "fragmented": Recipe(options=("-movflags", "frag_keyframe+empty_moov+default_base_moof")),
    "two-sounds": Recipe("mov", options=("-map", "1:a", "-c:a:1", "pcm_s16le")),
    "early-sound": Recipe(
        "mkv", sound=("-itsoffset", "-0.3", "-f", "lavfi", "-i", "sine=sample_rate=22050")
    ),
    "h264-10-bit": Recipe(codec=("-c:v", "libx264", "-pix_fmt", "yuv420p10le")),
    "hevc-240-mkv": Recipe("mkv", 120, 240, codec=(*X265, "-x265-params", QUIET_265)),
    "av1": Recipe("mp4", 24, codec=("-c:v", "libaom-av1", "-cpu-used", "8", *YUV420)),
    "vp8": Recipe("webm", codec=("-c:v", "libvpx", "-deadline", "realtime", *YUV420)),
    "avi-mpeg4": Recipe("avi", codec=("-c:v", "mpeg4", "-q:v", "3", *YUV420)),
    "old-phone": Recipe(
        *("3gp", 30, 15, (176, 144), ("-c:v", "h263", "-q:v", "3", *YUV420)),
        options=("-c:a", "libopencore_amrnb", "-ar", "8000", "-ac", "1"),
        shown=(192, 144),
    ),
    "square": Recipe(size=(242, 242)),
    "narrow-pixels": Recipe("mov", size=(288, 480), shown=(240, 480), filters="setsar=5/6"),
}
