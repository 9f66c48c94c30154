"""Slope and aspect at waypoints from raw soundings, as a scientist would write it with pandas and scipy.

peer.py SOUNDINGS.csv WAYPOINTS.csv OUT.csv: time, lat, lon and depth_ft in; name, lat, lon in; slope and aspect out.
Mean positions and median depths of 3 m squares, then a tricube-weighted quadratic within 60 m.
"""
import sys

import numpy as np
import pandas as pd
from projection import project
from scipy.spatial import cKDTree

CELL, RADIUS, LEAST = 3.0, 60.0, 12


def reduce_to_squares(x, y, z):
    column = np.floor((x - x.min()) / CELL).astype(np.int64)
    row = np.floor((y - y.min()) / CELL).astype(np.int64)
    square = row * (column.max() + 1) + column
    count = np.bincount(square)
    used = count > 0
    mean = lambda v: np.bincount(square, v)[used] / count[used]
    return mean(x), mean(y), pd.Series(z).groupby(square, sort=True).median().to_numpy()


def fit(x, y, z, near, east, north):
    u, v = (x[near] - east) / RADIUS, (y[near] - north) / RADIUS
    weight = (1 - np.minimum(np.hypot(u, v), 1) ** 3) ** 3
    terms = np.stack((np.ones_like(u), u, v, u * u, u * v, v * v))
    weighted = terms * weight
    a = np.linalg.solve(weighted @ terms.T + 1e-9 * np.eye(6), weighted @ z[near])
    east, north = a[1] / RADIUS, a[2] / RADIUS
    return a[0], np.degrees(np.arctan(np.hypot(east, north))), np.degrees(np.arctan2(east, north)) % 360


def main(soundings, waypoints, out):
    log = pd.read_csv(soundings, usecols=["lat", "lon", "depth_ft"], dtype="f8")
    good = np.isfinite(log.lat) & np.isfinite(log.lon) & (log.depth_ft > 0)
    log = log if good.all() else log[good]
    lat0, lon0 = (log.lat.min() + log.lat.max()) / 2, (log.lon.min() + log.lon.max()) / 2
    x, y = project(log.lat.to_numpy(), log.lon.to_numpy(), lat0, lon0)
    x, y, z = reduce_to_squares(x, y, log.depth_ft.to_numpy() * 0.3048)
    marks = pd.read_csv(waypoints, dtype={"name": str})
    places = np.column_stack(project(marks.lat.to_numpy(), marks.lon.to_numpy(), lat0, lon0))
    near = cKDTree(np.column_stack((x, y))).query_ball_point(places, RADIUS, workers=-1)
    rows = [
        fit(x, y, z, np.asarray(found), *place) if len(found) >= LEAST else (np.nan,) * 3
        for found, place in zip(near, places)
    ]
    marks[["depth_m", "slope_deg", "aspect_deg"]] = rows
    marks.to_csv(out, index=False)


main(*sys.argv[1:])
