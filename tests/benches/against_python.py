"""The questions about a site, answered with scipy and shapely and timed.

Started by against_python.rs with two file names: the data to read, and where to write the answers. It decides nothing:
the Rust side compares every answer with its own and prints both times.

What is ready before the clock starts, as it is on the Rust side: the record in order of time, split by zone, as numpy
arrays; the outlines and margins as prepared shapely geometries; the places as numpy arrays.
"""

import json
import math
import platform
import statistics
import sys
import time

import numpy
import scipy
import shapely
from scipy.spatial import cKDTree

ROUNDS = 25
"""Every way is timed so often over all places; the median round counts."""

HAIR_CM = 1e-9
"""A distance that falls short of its limit by less keeps it, as in the rules."""

AVOID, CAUTION, CLEAR = "avoid", "caution", "clear"


class Zone:
    """One zone's skin, prepared."""

    def __init__(self, told):
        self.outline = shapely.Polygon(told["outline"])
        self.edge = self.outline.exterior
        self.margins = [(shapely.LineString(m["line"]), m["radius_cm"]) for m in told["margins"]]
        self.has_navel = told["has_navel"]
        for geometry in [self.outline, self.edge, *(line for line, _ in self.margins)]:
            shapely.prepare(geometry)


class Record:
    """The earlier injections of one zone, oldest first."""

    def __init__(self, told):
        self.points = numpy.array(told["points"], dtype=float).reshape(-1, 2)
        self.days = numpy.array(told["days"], dtype=numpy.int64)

    def resting(self, today, rest_days):
        """The points of the injections that still rest; the days are in order, so this is a slice."""
        first = numpy.searchsorted(self.days, today - rest_days, side="right")
        last = numpy.searchsorted(self.days, today, side="right")
        return self.points[first:last]


def nearest_from_record(record, place, today, rest_days):
    """One place: the resting injections are picked, a tree is built of them and asked."""
    resting = record.resting(today, rest_days)
    if len(resting) == 0:
        return math.inf
    return cKDTree(resting).query(place)[0]


def on_skin(zone, place, navel_cm):
    """One place: whether it is on the zone's skin, how far the edge is, and how much room the margins leave."""
    point = shapely.Point(place)
    inside = zone.outline.covers(point)
    edge_cm = zone.edge.distance(point)
    room_cm = min((line.distance(point) - radius for line, radius in zone.margins), default=math.inf)
    navel = math.hypot(place[0], place[1]) if zone.has_navel else math.inf
    return inside, edge_cm, min(room_cm, navel - navel_cm)


def on_skin_at_once(zone, places, navel_cm):
    """The same for many places of one zone in a few calls."""
    points = shapely.points(places)
    inside = shapely.covers(zone.outline, points)
    edge_cm = shapely.distance(zone.edge, points)
    room_cm = numpy.full(len(places), math.inf)
    for line, radius in zone.margins:
        room_cm = numpy.minimum(room_cm, shapely.distance(line, points) - radius)
    if zone.has_navel:
        room_cm = numpy.minimum(room_cm, numpy.hypot(places[:, 0], places[:, 1]) - navel_cm)
    return inside, edge_cm, room_cm


def verdict(zone, place, nearest_cm, limits):
    """What weighs most against one place, in a word; no sentence, no source."""
    point = shapely.Point(place)
    if nearest_cm < limits["spacing_cm"] - HAIR_CM:
        return AVOID
    if not zone.outline.covers(point) and zone.edge.distance(point) > HAIR_CM:
        return AVOID
    if any(line.distance(point) < radius - HAIR_CM for line, radius in zone.margins):
        return AVOID
    if zone.has_navel:
        navel_cm = math.hypot(place[0], place[1])
        if navel_cm < limits["least_navel_cm"] - HAIR_CM:
            return AVOID
        if navel_cm < limits["navel_cm"] - HAIR_CM:
            return CAUTION
    return CLEAR


def timed(ask, places):
    """The answers of one round, and the median nanoseconds a place takes."""
    answers, rounds = None, []
    for _ in range(ROUNDS):
        began = time.perf_counter_ns()
        answers = ask()
        rounds.append((time.perf_counter_ns() - began) / places)
    return answers, statistics.median(rounds)


def in_zones(by_zone, zone_of, answer, count):
    """Asks zone by zone and puts the answers back in the order of the places."""
    found = numpy.empty(count)
    for number, places in enumerate(by_zone):
        found[zone_of == number] = answer(number, places)
    return found


def main():
    """Reads, answers, writes."""
    with open(sys.argv[1], encoding="utf-8") as file:
        told = json.load(file)
    zones = [Zone(zone) for zone in told["zones"]]
    limits, today = told["limits"], told["today"]
    rest_days, navel_cm = limits["rest_days"], limits["navel_cm"]
    zone_of = numpy.array([place["zone"] for place in told["places"]])
    at = numpy.array([place["point"] for place in told["places"]], dtype=float)
    by_zone = [at[zone_of == number] for number in range(len(zones))]
    one_by_one = [(int(zone), point) for zone, point in zip(zone_of, at)]
    count = len(one_by_one)
    answers, times = {}, {}

    def keep(name, way, ask):
        answers.setdefault(name, {})[way], times[f"{name}: {way}"] = timed(ask, count)

    for size, by_number in told["records"].items():
        records = [Record(record) for record in by_number]
        trees = [cKDTree(record.resting(today, rest_days)) for record in records]
        name = f"nearest {size}"
        keep(name, "from record", lambda: [
            nearest_from_record(records[zone], point, today, rest_days) for zone, point in one_by_one
        ])
        keep(name, "tree ready", lambda: [trees[zone].query(point)[0] for zone, point in one_by_one])
        keep(name, "all at once", lambda: in_zones(
            by_zone, zone_of, lambda number, places: trees[number].query(places)[0], count
        ).tolist())
        keep(f"verdict {size}", "from record", lambda: [
            verdict(zones[zone], point, nearest_from_record(records[zone], point, today, rest_days), limits)
            for zone, point in one_by_one
        ])

    def skin_at_once():
        found = numpy.empty((3, count))
        for number, places in enumerate(by_zone):
            found[:, zone_of == number] = on_skin_at_once(zones[number], places, navel_cm)
        return found.T.tolist()

    keep("skin", "one by one", lambda: [
        [float(figure) for figure in on_skin(zones[zone], point, navel_cm)] for zone, point in one_by_one
    ])
    keep("skin", "all at once", skin_at_once)
    versions = {
        "Python": platform.python_version(),
        "numpy": numpy.__version__,
        "scipy": scipy.__version__,
        "shapely": shapely.__version__,
    }
    with open(sys.argv[2], "w", encoding="utf-8") as file:
        # No answer is infinite: the Rust side sees to it that every zone was used.
        json.dump({"answers": answers, "times": times, "versions": versions}, file, allow_nan=False)


if __name__ == "__main__":
    main()
