"""Runs on the 32-bit VM for tests/bench/size.py. Arguments: "stand-ins" (no app), or SCENE FOLDER SCRIPT PANEL NAME...:
run tests/vm/scene.py on a show, then load every module named, and keep them all."""

import sys

sys.path.insert(0, ".")


class Nothing:
    """In place of the chip's modules, so that drivers can be loaded; none of their code is run."""

    def __getattr__(self, name):
        return self

    def __call__(self, *args, **options):
        return args[0] if args and callable(args[0]) and not options else self


kept = []
if sys.argv[1] == "stand-ins":
    import sim.vm

    kept.append(sim.vm)
else:
    for chip in ("machine", "rp2", "esp32", "uctypes"):
        sys.modules[chip] = Nothing()
    scene, names = sys.argv[1], sys.argv[5:]
    sys.argv[1:] = sys.argv[2:5]
    with open(scene) as file:
        exec(file.read())
    for wanted in names:
        kept.append(__import__(wanted, None, None, ("*",)))
