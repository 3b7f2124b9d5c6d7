"""A worked example of a stretch: a long body, beside the serializer that declares it."""

from __future__ import annotations

from typing import Any, Final

WALL_SLIDE: Final[dict[str, Any]] = {
    "name": "Wall slide",
    "region": "shoulder",
    "position": "standing, facing a wall at half an arm's length",
    "how": "The forearm slides up the wall and comes down again.",
    "movements": ["shoulder_flexion"],
    "contacts": [{"region": "arm", "side": "same", "kind": "hand", "where": "the wrist"}],
    "pulls": [{"region": "chest", "side": "same"}, {"region": "shoulder", "side": "same"}],
    "cues": ["the shoulder stays away from the ear", "exhale on the way up"],
    "doses": [{"technique": "active_isolated", "repetitions": 10, "hold_seconds": 2}],
    "cautions": ["Stay below the painful arc."],
    "cannot_get_into_position": "Lying on the back, the arm sliding along the mat.",
    "instead": ["flexion_pattern"],
    "helps_after": ["mastectomy", "lumpectomy"],
    "helps": "Raising the arm to the front.",
}
