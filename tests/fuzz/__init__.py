"""Bad input, made by rule and by chance: addresses, forms, files, operations and stored text.

A small part runs with every test run. NURSERY_FUZZ=20 asks for twenty times as much of the same.
"""

import os

# How many times as much is tried as in an ordinary run.
MORE = int(os.environ.get("NURSERY_FUZZ", "1"))
