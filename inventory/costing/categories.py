"""Name the cost categories, in the order in which screens and reports show them."""

CATEGORIES = (
    "cuttings",
    "plants",
    "medium",
    "containers",
    "feed",
    "labour",
    "heat",
    "space",
    "royalty",
    "other",
)
