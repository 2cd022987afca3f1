"""A bolted joint whose every figure is round, and one way to vary it without running anything."""

import copy
import json
from math import pi
from types import SimpleNamespace

import pytest

from featherbench.bench.setup import build_setup
from featherbench.checks.load_path import load_path_checks
from featherbench.scenario import from_tables

ROOT = {
    "group": "blade",
    "shape": "box",
    "size": {"radius": "12 mm", "chord": "10 mm", "normal": "5 mm"},
    "at": {"radius": "36 mm"},
    "mass": "0.8 g",
    "material": "aluminium 6061",
}
GRIP = {
    "group": "grip",
    "shape": "box",
    "size": {"radius": "30 mm", "chord": "12 mm", "normal": "9 mm"},
    "at": {"radius": "24 mm"},
    "mass": "5.4 +/- 0.02 g",
    "material": "aluminium 6061",
}
BOLT = {
    "group": "bolt",
    "shape": "screw",
    "standard": "ISO 4762",
    "size": "M3x16",
    "at": {"radius": "36 mm"},
    "under_head": "4.5 mm",
    "shank_length": "8.6 mm",
    "property_class": "10.9",
}
NUT = {
    "group": "bolt",
    "shape": "nut",
    "standard": "ISO 4032",
    "size": "M3",
    "at": {"radius": "36 mm", "normal": "-5.7 mm"},
    "property_class": "10.9",
}
SOUND = {
    "part": {"root": ROOT, "grip": GRIP, "bolt": BOLT, "nut": NUT},
    "bearing": {"static_rating": "1400 N"},
    "retention": {"thread": "M4", "property_class": "10.9", "engagement": "6 mm", "into": "steel"},
    "linkage": {"rod_diameter": "2 mm", "rod_material": "carbon"},
    "limits": {"bolt_class": "10.9", "balance_grade": "G6.3", "over_speed": 1.2},
}


def merged(changes, into=None):
    """SOUND with tables merged key by key; None takes a key out."""
    tables = copy.deepcopy(SOUND) if into is None else into
    for key, value in changes.items():
        if value is None:
            tables.pop(key, None)
        elif isinstance(value, dict) and isinstance(tables.get(key), dict):
            merged(value, tables[key])
        else:
            tables[key] = value
    return tables


@pytest.fixture(scope="session")
def sound():
    """Tables of the joint, varied: sound(part={"bolt": {"size": "M3x10"}})."""
    return lambda **changes: merged(changes)


@pytest.fixture(scope="session")
def setup_of(tables):
    """The rig ready to run, varied; each once, and its air once for one rotor: no check of strength depends on it."""
    air, ready = {}, {}

    def found(**changes):
        whole = tables(**changes)
        rotor = json.dumps([whole.get(name) for name in ("rotor", "air", "blade", "scale")])
        key = json.dumps(whole)
        if key not in ready:
            ready[key] = build_setup(from_tables(whole), air.get(rotor))
            air[rotor] = ready[key].air
        return ready[key]

    return found


@pytest.fixture(scope="session")
def path_of(setup_of):
    """Checks of the load path by name without the speed, of the joint varied in the same way."""

    def checks(**changes):
        found = load_path_checks(setup_of(**merged(changes)))
        return {check.name.split(" at 1")[0]: check for check in found}

    return checks


class Bare(SimpleNamespace):
    """A table of which only what matters is stated."""

    def __getattr__(self, name):
        if name.startswith("__"):
            raise AttributeError(name)


def bare(tree):
    return Bare(**{key: bare(value) if isinstance(value, dict) else value for key, value in tree.items()})


def bare_setup(stated):
    """Nothing but the figures that others are held against, and what is stated by its dotted path."""
    tree = {
        "scenario": {
            "rotor": {
                "speed": 10_000.0 * pi / 30.0,
                "pitch_range": (-24.0 * pi / 180.0, 26.0 * pi / 180.0),
                "blades": 2,
            },
            "blade": {"tip": 0.1, "bolt_radius": 0.03, "root": 0.035, "chord": ((0.05, 0.025), (0.08, 0.02))},
            "air": {},
            "bearing": {"mean_diameter": 8.0 * 1e-3},
            "linkage": {"horn_arm": 12.0 * 1e-3, "rod_length": 0.4, "play": {}},
            "servo": {"voltage": 6.0, "stall_torque": 0.2, "stall_current": 0.8, "transit_60": 0.1},
            "supply": {},
            "bench": {"programme": ()},
            "gauge": {},
            "meter": {},
            "scale": {},
            "limits": {},
            "envelope": None,
            "aircraft": None,
            "joint": {"clearance": 0.1 * 1e-3},
            "retention": {},
            "part": {},
            "source": {"tolerances": None},
        },
        "moments": {"mass": 20e-3, "radial": 5e-4},
        "air": {"state": {"density": 1.2, "sound_speed": 340.0}},
        "drive": {"motor": {"resistance": 6.0, "inertia": 4e-11, "torque_constant": 2e-4}},
    }
    for path, value in stated.items():
        table = tree
        *rooms, key = path.split(".")
        for room in rooms:
            table[room] = table[room] if table.get(room) is not None else {}
            table = table[room]
        table[key] = value
    made = bare(tree)
    made.scenario.part, made.scenario.source.tolerances = tree["scenario"]["part"], {}
    made.assembly = SimpleNamespace(parts=(), bolt=SimpleNamespace(radius=0.03, chord=0.0))
    return made


@pytest.fixture(scope="session")
def stated():
    """A build of which only what a remark looks at is stated, by dotted path, SI; nothing is read or worked out."""
    return bare_setup
