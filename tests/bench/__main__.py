"""All timings: `python -m tests.bench`, or some of them: `python -m tests.bench fill start`.

Each script runs in a process of its own, so that none waits for what another has loaded. On a busy
machine the times mean little: let it be quiet.
"""

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
NAMES = tuple(path.stem.removeprefix("bench_") for path in sorted(HERE.glob("bench_*.py")))


def main() -> None:
    """Print the figures of every script; the exit code is 1 where one failed."""
    asked = tuple(sys.argv[1:]) or NAMES
    unknown = sorted(set(asked) - set(NAMES))
    if unknown:
        raise SystemExit(f"no timing is called {', '.join(unknown)}; there are {', '.join(NAMES)}")
    environment = {"QT_QPA_PLATFORM": "offscreen"} | os.environ
    failed = []
    for name in asked:
        print(f"--- {name}", flush=True)
        program = [sys.executable, "-m", f"tests.bench.bench_{name}"]
        if subprocess.run(program, env=environment, cwd=HERE.parents[1], check=False).returncode:
            failed.append(name)
    if failed:
        raise SystemExit(f"failed or too slow: {', '.join(failed)}")


if __name__ == "__main__":
    main()
