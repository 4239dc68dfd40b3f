"""The strong edges of a photo, as a picture in which brightness is strength; black is no edge.

Canny's edges (J. Canny, IEEE PAMI 8(6), 1986) are one pixel wide; each keeps the strength of the
brightness step under it, so that a corner snaps to the stronger of two.
"""

import cv2
import numpy as np

from triage_app.imaging.decode import decode

# Sharper than a hand can point: at most one pixel of a 12 MP photo, two of a 48 MP one.
LONGEST_SIDE_PX = 4_096
_NOISE_PX = 1.4


def edges_png(data: bytes) -> bytes:
    """Return the edges of the upright photo as a grey PNG, LONGEST_SIDE_PX long at most."""
    grey = decode(data, at_least_px=LONGEST_SIDE_PX).pixels.convert("L")
    grey.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    smooth = cv2.GaussianBlur(np.asarray(grey), (0, 0), _NOISE_PX)
    across = cv2.Sobel(smooth, cv2.CV_16S, 1, 0)
    down = cv2.Sobel(smooth, cv2.CV_16S, 0, 1)
    size = np.abs(across).astype(np.float32) + np.abs(down)
    # Thresholds from the photo itself: dark undersides have weak edges that still matter.
    high = max(20.0, float(np.percentile(size, 95)))
    drawn = cv2.Canny(across, down, 0.4 * high, high)
    strength = np.clip(size * (255.0 / (2.0 * high)), 1, 255).astype(np.uint8)
    kept = np.where(drawn > 0, strength, 0).astype(np.uint8)
    done, png = cv2.imencode(".png", kept, [cv2.IMWRITE_PNG_COMPRESSION, 6])
    if not done:
        raise RuntimeError("the picture of the edges could not be written")
    return png.tobytes()
