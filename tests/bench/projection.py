"""Projection to a local plane, for the peers."""
import numpy as np


def project(lat, lon, lat0, lon0):
    """Returns east and north, m, on the plane tangent to WGS 84 at the middle of the lake."""
    w2 = 1 - 6.69437999014e-3 * np.sin(np.radians(lat0)) ** 2
    across = 6378137.0 / np.sqrt(w2)
    along = across * (1 - 6.69437999014e-3) / w2
    return np.radians(lon - lon0) * across * np.cos(np.radians(lat0)), np.radians(lat - lat0) * along
