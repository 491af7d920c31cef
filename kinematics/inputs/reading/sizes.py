"""How large an input may be: each bound far above what a garage writes, and low enough to end soon in little memory.

What lies beyond is refused in words, with what was read and what is allowed; nothing is cut off in silence.
"""

from collections.abc import Mapping
from types import MappingProxyType

# Bytes of a file. A car file has a few thousand; a survey's doubt file, one column a reading, some hundred thousand; a
# sheet that was filled in, 200 kB, and more where a viewer keeps its own fonts in it.
MOST_BYTES_TOML = 1_000_000
MOST_BYTES_POINTS = 5_000_000
MOST_BYTES_DOUBTS = 20_000_000
MOST_BYTES_SHEET = 50_000_000

# Characters. A name stands in table heads and legends, so fields of a file may ask for less; a text is a remark.
MOST_IN_A_NAME = 200
MOST_IN_A_TEXT = 2000
# Digits of a number in TOML: sixteen are all that a measurement could have; Python reads none of over 4300.
MOST_DIGITS = 400
# Characters of a word on the command line: as long as the longest path of a file.
MOST_IN_A_WORD = 4096

# Parts of a dotted key; the parser takes time as the square of them.
MOST_PARTS_OF_A_KEY = 200
# Keys in one table, and entries of a list that has no bound of its own below.
MOST_KEYS = 300
MOST_ENTRIES = 1000

# Plans: 100 of them take some ten seconds. A plan on top of another brings the other's changes along, and each plan is
# tried once more without each of its changes: a chain grows as the square of its length.
MOST_PLANS = 100
MOST_CHANGES_IN_A_PLAN = 50
MOST_CHANGES_CARRIED = 1000
MOST_RULES = 200
# Readings: each is checked against all others; a thousand take some seconds, a good survey has a hundred.
MOST_READINGS = 1000
MOST_HELPERS = 100
# A free linkage: the equations of all its parts are solved at once.
MOST_JOINTS = 100
# A shelf: combinations are bounded besides.
MOST_ON_A_SHELF = 100
MOST_COMBINATIONS = 20_000
MOST_PAIRS = 200  # of compression and force

# Rows and columns of tables: a point is a row, a coordinate a row, a reading a column.
MOST_ROWS = 2000
MOST_COLUMNS = 2500

# Lists of a TOML file by key, and what their entries are called.
LISTS: Mapping[str, tuple[int, str]] = MappingProxyType(
    {
        "plan": (MOST_PLANS, "plans"),
        "change": (MOST_CHANGES_IN_A_PLAN, "changes"),
        "rule": (MOST_RULES, "rules"),
        "changes": (MOST_CHANGES_IN_A_PLAN, "names"),
        "readings": (MOST_READINGS, "readings"),
        "helpers": (MOST_HELPERS, "helpers"),
        "joint": (MOST_JOINTS, "joints"),
        "front_spring": (MOST_ON_A_SHELF, "springs"),
        "rear_spring": (MOST_ON_A_SHELF, "springs"),
        "front_bar": (MOST_ON_A_SHELF, "bars"),
        "rear_bar": (MOST_ON_A_SHELF, "bars"),
        "force": (MOST_PAIRS, "pairs"),
    }
)
