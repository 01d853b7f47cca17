"""The desk companion of a telephone seating adviser."""

import os

__version__ = "0.1.0"

# Products of small matrices are worked out here, and to wait for a second core takes ten times as
# long as they do. It is read when NumPy is loaded; who has set it knows why.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
