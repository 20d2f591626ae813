"""Started by the editor's own Python: hands the work to the interpreter that has the libraries.

Standard library only, and nothing newer than Python 3.7, because the editor brings its own.
"""

import os
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))

# what a bundled editor sets for its own Python would make ours load the wrong libraries
DROPPED = ("PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH", "LD_PRELOAD")
DROPPED_BEGINNINGS = ("DYLD_", "GI_", "GTK_", "GDK_")

# tools whose own name another module or package has taken
MODULES = {"booklet": "booklet_tool"}


def clean_environment(environment):
    """The environment without what belongs to the editor's own Python."""
    return {
        name: value
        for name, value in environment.items()
        if name not in DROPPED and not name.startswith(DROPPED_BEGINNINGS)
    }


def command_line(interpreter, arguments):
    """What to run: the interpreter, the tool named by --tool, and every other argument as it came."""
    tools = [argument[len("--tool=") :] for argument in arguments if argument.startswith("--tool=")]
    rest = [argument for argument in arguments if not argument.startswith("--tool=")]
    tool = tools[0] if tools and tools[0].isalpha() else "border"
    tool = MODULES.get(tool, tool)
    return [interpreter, "-I", "-m", "extension." + tool, *rest]


def main():
    """Run the tool and pass its bytes through."""
    try:
        with open(os.path.join(HERE, "interpreter.txt"), encoding="utf-8", errors="replace") as file:
            interpreter = file.read().strip()
    except OSError:
        interpreter = ""
    options = {}
    if sys.platform == "win32":
        options["creationflags"] = 0x08000000  # no console window
    try:
        done = subprocess.run(
            command_line(interpreter, sys.argv[1:]),
            env=clean_environment(os.environ),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            check=False,
            **options,
        )
    except (OSError, ValueError):
        done = None
    if done is None or (not done.stdout and b"No module named" in done.stderr):
        sys.stderr.write(
            "Cornerwise cannot find the Python it was installed with (%s); "
            "please run “cornerwise install” again from its folder.\n" % (interpreter or "not noted down")
        )
        return 2
    sys.stdout.buffer.write(done.stdout)
    sys.stdout.buffer.flush()
    sys.stderr.write(done.stderr.decode("utf-8", "replace"))
    return done.returncode


if __name__ == "__main__":
    sys.exit(main())
