"""A program that takes the package in finds itself as it was."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from small import SAMPLES, small_sample

# Imports every module and goes through the Python door, with a watch on what is the whole
# process's: what was set for a moment counts too, since other threads may run in it. (Libraries
# set filters for warnings as they are imported; ours must not.)
_WATCH = """
import importlib, locale, os, pkgutil, random, signal, sys, threading, types, warnings
from pathlib import Path
import numpy as np
from PIL import Image, ImageFile

touched = []

def watch(module, name):
    real = getattr(module, name)
    def watched(*words, **more):
        caller = sys._getframe(1).f_code.co_filename
        if "pix2block" in Path(caller).parts:
            touched.append(f"{name} by {caller}")
        return real(*words, **more)
    setattr(module, name, watched)

class Watched(types.ModuleType):
    def __setattr__(self, name, value):
        touched.append(f"{self.__name__}.{name}")
        super().__setattr__(name, value)

for module, names in {
    os: ["umask", "chdir", "putenv"],
    warnings: ["filterwarnings", "simplefilter", "resetwarnings"],
    warnings.catch_warnings: ["__enter__"],
    locale: ["setlocale"],
    random: ["seed"],
    np.random: ["seed"],
    np: ["seterr"],
    sys: ["setrecursionlimit", "setswitchinterval"],
}.items():
    for name in names:
        watch(module, name)

def state():
    umask = os.umask(0)
    os.umask(umask)
    return {
        "umask": umask,
        "locale": locale.setlocale(locale.LC_ALL),
        "folder": os.getcwd(),
        "environment": dict(os.environ),
        "path": list(sys.path),
        "threads": [thread.name for thread in threading.enumerate()],
        "interrupt": signal.getsignal(signal.SIGINT),
        "random": random.getstate(),
        "numpy random": np.random.get_state()[1].tolist(),
        "numpy errors": np.geterr(),
        "pixels": Image.MAX_IMAGE_PIXELS,
        "truncated": ImageFile.LOAD_TRUNCATED_IMAGES,
        "hooks": (sys.excepthook, sys.displayhook, threading.excepthook),
        "streams": (sys.stdout, sys.stderr),
    }

before = state()
Image.__class__ = ImageFile.__class__ = Watched
import pix2block
for module in pkgutil.walk_packages(pix2block.__path__, "pix2block."):
    if module.name != "pix2block.__main__":
        importlib.import_module(module.name)

samples, out, cat, badge = map(Path, sys.argv[1:])
options = pix2block.Options(width=12, colors=3, calm=3.0, distance=3.0)
study = pix2block.chart_picture(cat, options)
pix2block.save(study, out / "chart")
assert pix2block.study_lines(study)
again = pix2block.open_chart(out / "chart" / "chart.json")
assert pix2block.files_of(again, only=["rows.csv", "chart.png"])
assert pix2block.check_chart(again.chart).holds
striped = pix2block.stripe_plan(samples / "ferry_scarf.toml")
assert pix2block.files_of(striped, only=["stripes.png"])
tried = pix2block.try_palettes(
    badge, [samples / "shelf_5.csv"], [pix2block.Options(width=12, colors=3)]
)
assert pix2block.trial_lines(tried)
after = state()
for name in before:
    if before[name] != after[name]:
        touched.append(f"{name}: {before[name]} is now {after[name]}")
print("\\n".join(touched))
"""


def test_loading_and_calling_it_changes_nothing_of_the_host(tmp_path: Path) -> None:
    pictures = small_sample("tallow_cat.jpg"), small_sample("club_badge.png")
    found = subprocess.run(
        [sys.executable, "-c", _WATCH, *map(str, (SAMPLES, tmp_path, *pictures))],
        capture_output=True,
        text=True,
        check=False,
    )
    assert found.returncode == 0, found.stderr
    assert found.stdout.strip() == ""
    assert found.stderr == ""
    assert (tmp_path / "chart" / "chart.json").exists()
