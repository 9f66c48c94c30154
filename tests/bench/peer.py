"""What speed is compared with: slope and aspect at waypoints as a scientist would do it with pandas, numpy and scipy.

peer.py LOG.csv WAYPOINTS.csv OUT.csv

Reads the log, projects to local meters, takes the median depth of 3 m cells, finds the cells within 60 m of each
waypoint with a k-d tree and fits a tricube-weighted quadratic.
"""
import sys

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

CELL, RADIUS, LEAST = 3.0, 60.0, 12
A, E2 = 6378137.0, 0.00669437999014


def meters_per_degree(lat):
    s = np.sin(np.radians(lat))
    w = 1 - E2 * s * s
    return np.pi / 180 * A * (1 - E2) / w**1.5, np.pi / 180 * A * np.cos(np.radians(lat)) / np.sqrt(w)


def cells(x, y, z):
    ix, iy = np.floor((x - x.min()) / CELL).astype(np.int64), np.floor((y - y.min()) / CELL).astype(np.int64)
    frame = pd.DataFrame({"cell": iy * (ix.max() + 1) + ix, "x": x, "y": y, "z": z})
    return frame.groupby("cell", sort=False).agg(x=("x", "mean"), y=("y", "mean"), z=("z", "median"))


def fit(near, x0, y0):
    u, v = (near.x.to_numpy() - x0) / RADIUS, (near.y.to_numpy() - y0) / RADIUS
    w = np.sqrt((1 - np.minimum(np.hypot(u, v), 1) ** 3) ** 3)
    m = np.stack((np.ones_like(u), u, v, u * u, u * v, v * v), axis=1)
    c, *_ = np.linalg.lstsq(m * w[:, None], near.z.to_numpy() * w, rcond=None)
    gx, gy = c[1] / RADIUS, c[2] / RADIUS
    return np.degrees(np.arctan(np.hypot(gx, gy))), np.degrees(np.arctan2(gx, gy)) % 360


def main(log, waypoints, out):
    d = pd.read_csv(log, usecols=["lat", "lon", "depth_ft"], engine="c").dropna()
    d = d[d.depth_ft > 0]
    w = pd.read_csv(waypoints)
    lat0, lon0 = d.lat.mean(), d.lon.mean()
    my, mx = meters_per_degree(lat0)
    grid = cells(((d.lon - lon0) * mx).to_numpy(), ((d.lat - lat0) * my).to_numpy(), d.depth_ft.to_numpy() * 0.3048)
    tree = cKDTree(grid[["x", "y"]].to_numpy())
    places = np.column_stack(((w.lon - lon0) * mx, (w.lat - lat0) * my))
    answers = [
        fit(grid.iloc[near], x, y) if len(near) >= LEAST else (np.nan, np.nan)
        for near, (x, y) in zip(tree.query_ball_point(places, RADIUS), places)
    ]
    w["slope"], w["aspect"] = zip(*answers)
    w.to_csv(out, index=False)


main(*sys.argv[1:])
