"""Side-by-side timings; run with `python -m benchmarks`. One core: the limits are set before NumPy loads."""

import os

for _limit in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"):
    os.environ[_limit] = "1"
