"""Slope and aspect at waypoints from a triangulated surface, as a general analyst would write it with numpy and scipy.

triangulation.py SOUNDINGS.csv WAYPOINTS.csv OUT.csv: time, lat, lon and depth_ft in; name, lat, lon in; slope and
aspect out. Means over 3 m squares, linear interpolation on their Delaunay triangles to a 3 x 3 grid with 5 m cells at
each waypoint, and Horn's gradient there.
"""
import csv
import os
import sys

# Many small linear systems are solved faster in one thread.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from projection import project
from scipy.interpolate import LinearNDInterpolator

SQUARE, CELL = 3.0, 5.0
HORN = np.array([[-1, 0, 1], [-2, 0, 2], [-1, 0, 1]]) / (8 * CELL)


def reduce_to_squares(*columns):
    x, y = columns[:2]
    column = np.floor((x - x.min()) / SQUARE).astype(np.int64)
    row = np.floor((y - y.min()) / SQUARE).astype(np.int64)
    square = row * (column.max() + 1) + column
    count = np.bincount(square)
    used = count > 0
    return [np.bincount(square, v)[used] / count[used] for v in columns]


def main(soundings, waypoints, out):
    lat, lon, feet = np.loadtxt(soundings, delimiter=",", skiprows=1, usecols=(1, 2, 3), unpack=True)
    good = np.isfinite(lat) & np.isfinite(lon) & (feet > 0)
    lat, lon, feet = lat[good], lon[good], feet[good]
    middle = (lat.min() + lat.max()) / 2, (lon.min() + lon.max()) / 2
    x, y, z = reduce_to_squares(*project(lat, lon, *middle), feet * 0.3048)
    bottom = LinearNDInterpolator(np.column_stack((x, y)), z)
    with open(waypoints, newline="") as file:
        marks = list(csv.DictReader(file))
    places = np.array([(float(mark["lat"]), float(mark["lon"])) for mark in marks])
    east, north = (v[:, None, None] for v in project(places[:, 0], places[:, 1], *middle))
    depth = bottom(east + CELL * np.array([[-1, 0, 1]]), north + CELL * np.array([[1], [0], [-1]]))
    de, dn = (depth * HORN).sum((1, 2)), (depth * -HORN.T).sum((1, 2))
    slope, aspect = np.degrees(np.arctan(np.hypot(de, dn))), np.degrees(np.arctan2(de, dn)) % 360
    with open(out, "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["name", "depth_m", "slope_deg", "aspect_deg"])
        writer.writerows(zip((mark["name"] for mark in marks), depth[:, 1, 1], slope, aspect))


main(*sys.argv[1:])
