"""True matches of the general-purpose library's SIFT and ORB, to stand beside ours: fixtures/matches/library.json.

Tilts real photographs by known homographies, 5 to 30 degrees, with a little roll, zoom, dimming and noise, and counts
the library's matches (2000 strongest keypoints, ratio .8) within 3 px of truth, at the size we work at: a long edge of
1200 px. Photos under 1000 px are left out.

    /usr/bin/python3 test/evaluate/keypoint-yield.py DATA

DATA is the folder that test/fetch-test-data.sh fills. Needs python3-opencv (4.6 gave the file that is kept).
"""

import json
import os
import sys

import cv2
import numpy as np

EXAMPLES = "deb/usr/share/doc/opencv-doc/examples/"
PHOTOS = [
    EXAMPLES + "data/aloeL.jpg",
    EXAMPLES + "text/scenetext02.jpg",
    EXAMPLES + "text/scenetext04.jpg",
    EXAMPLES + "text/scenetext05.jpg",
    "deb/usr/share/libjxl-testdata/jxl/flower/flower.png",
    "npm/exif-parser/test/starfish.jpg",
    "npm/exif/test/sony-alpha-6000.jpg",
    "src/exiv2/test/data/exiv2-bug922.jpg",
    "src/exiv2/test/data/exiv2-bug922a.jpg",
    "src/pillow/Tests/images/junk_jpeg_header.jpg",
]
ANGLES = (5, 10, 15, 20, 30)
LONG_EDGE = 1200
SMALLEST = 1000
# Standard deviation, grey levels.
NOISE = 2


def true_matches(detector, norm, a, b, h):
    points_a, words_a = detector.detectAndCompute(a, None)
    points_b, words_b = detector.detectAndCompute(b, None)
    pairs = cv2.BFMatcher(norm).knnMatch(words_a, words_b, k=2)
    good = [p[0] for p in pairs if len(p) == 2 and p[0].distance < 0.8 * p[1].distance]
    if not good:
        return 0
    start = np.array([points_a[m.queryIdx].pt for m in good]).reshape(-1, 1, 2)
    end = np.array([points_b[m.trainIdx].pt for m in good])
    landed = cv2.perspectiveTransform(start, h)[:, 0]
    return int((np.linalg.norm(landed - end, axis=1) < 3).sum())


def tilt(width, height, degrees, rng):
    """A camera that goes around the middle of the picture, seen from one long edge away."""
    focal = float(max(width, height))
    k = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1.0]])
    azimuth, roll, zoom = rng.uniform(0, 2 * np.pi), np.deg2rad(rng.uniform(-6, 6)), rng.uniform(0.95, 1.1)
    turn, _ = cv2.Rodrigues(np.array([np.cos(azimuth), np.sin(azimuth), 0]) * np.deg2rad(degrees))
    rolled, _ = cv2.Rodrigues(np.array([0, 0, roll]))
    centre = np.array([0, 0, 1.0])
    return k @ rolled @ (turn + np.outer(centre * zoom - turn @ centre, centre)) @ np.linalg.inv(k)


def main(data):
    rng = np.random.default_rng(1)
    sift, orb = cv2.SIFT_create(2000), cv2.ORB_create(2000)
    pairs = []
    for name in PHOTOS:
        grey = cv2.imread(os.path.join(data, name), cv2.IMREAD_GRAYSCALE)
        if grey is None or max(grey.shape) < SMALLEST:
            print("left out:", name, file=sys.stderr)
            continue
        shrink = LONG_EDGE / max(grey.shape)
        grey = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA if shrink < 1 else cv2.INTER_LINEAR)
        height, width = grey.shape
        for degrees in ANGLES:
            h = tilt(width, height, degrees, rng)
            seen = cv2.warpPerspective(grey, h, (width, height), flags=cv2.INTER_CUBIC, borderValue=90)
            gain = round(rng.uniform(0.85, 1.1), 4)
            seen = seen * gain + rng.normal(0, NOISE, seen.shape)
            seen = np.clip(seen, 0, 255).astype(np.uint8)
            pairs.append(
                {
                    "photo": name,
                    "degrees": degrees,
                    "homography": [float(f"{v:.9g}") for v in h.ravel()],
                    "gain": gain,
                    "sift": true_matches(sift, cv2.NORM_L2, grey, seen, h),
                    "orb": true_matches(orb, cv2.NORM_HAMMING, grey, seen, h),
                }
            )
    out = {"longEdgePx": LONG_EDGE, "noise": NOISE, "pairs": pairs}
    folder = os.path.join(os.path.dirname(__file__), "..", "..", "fixtures", "matches")
    with open(os.path.join(folder, "library.json"), "w", encoding="utf-8") as file:
        json.dump(out, file, indent=1)
        file.write("\n")


if __name__ == "__main__":
    main(sys.argv[1])
