"""Which folders the wheel has: all that a user needs, inside the one package `halfstop` (see halfstop/__init__.py).

The rest of what the wheel is stands in pyproject.toml. The sources stay where they are: firmware/ is packed as
halfstop/firmware, and so on.
"""

import pathlib
import shutil

from setuptools import find_namespace_packages, setup

PARTS = ("firmware", "hal", "boards", "sim", "host")
BUILD = pathlib.Path("build/wheel")

shutil.rmtree(BUILD, ignore_errors=True)  # a file that has gone would stay in the next wheel
folders = {"halfstop": "halfstop"}
for part in PARTS:
    inside = find_namespace_packages(part, exclude=["*__pycache__*"])
    names = [part, *(f"{part}.{one}" for one in inside)]
    folders.update({f"halfstop.{name}": name.replace(".", "/") for name in names})

setup(packages=list(folders), package_dir=folders, package_data={"": ["*"]},
      exclude_package_data={"": ["*.pyc"]}, options={"build": {"build_base": str(BUILD)}})
