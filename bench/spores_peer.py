"""The plain way to measure bodies in a picture with scikit-image: threshold, watershed, regionprops."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage import color, feature, filters, measure, morphology, segmentation

from fruitbody.examine.spores.detection import Body


def plain_pipeline(picture: NDArray[np.uint8]) -> list[Body]:
    """Otsu's threshold on the steepness of the light, holes filled, touching ones parted by a watershed of distances,
    border ones cleared, then regionprops; kept are compact ones near the usual size."""
    grey = color.rgb2gray(picture) if picture.ndim == 3 else picture / 255.0
    smooth = filters.gaussian(grey, 1.5)
    edges = filters.sobel(smooth)
    mask = ndimage.binary_fill_holes(morphology.closing(edges > filters.threshold_otsu(edges), morphology.disk(2)))
    mask = morphology.opening(mask, morphology.disk(3))
    distance = ndimage.distance_transform_edt(mask)
    labels, _ = ndimage.label(mask)
    peaks = feature.peak_local_max(filters.gaussian(distance, 2), min_distance=15, labels=labels, exclude_border=False)
    markers = np.zeros(mask.shape, dtype=np.int32)
    markers[tuple(peaks.T)] = np.arange(1, len(peaks) + 1)
    labels = segmentation.clear_border(segmentation.watershed(-distance, markers, mask=mask))
    regions = [r for r in measure.regionprops(labels) if r.area > 100 and r.solidity > 0.93]
    usual = float(np.median([r.area for r in regions])) if regions else 0.0
    return [
        Body(
            r.centroid[1], r.centroid[0], r.axis_major_length, r.axis_minor_length,
            float(np.degrees(np.pi / 2 - r.orientation) % 180), True, (), "",
        )
        for r in regions
        if 0.5 * usual < r.area < 2 * usual
    ]  # fmt: skip
