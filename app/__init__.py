"""The window and the command line around the pattern model."""

import os

# Every matrix here is small: a second thread of numpy's linear algebra costs a third of the
# program's start and only waits afterwards. Read by numpy when it is loaded, so it stands here.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
