"""Methods to begin with, each to be copied and changed. Every one says where it is from.

Their days are counted from the season and the frosts of the nursery, so that they hold on
both sides of the equator.
"""

from dataclasses import dataclass, field

from inventory.models import MethodStep, Wood

Work, Timing = MethodStep.Work, MethodStep.Timing
COMMON = "common practice"
WEEK = 7


@dataclass(frozen=True)
class StarterStep:
    """One step; `after` is the place in the list of the step it comes after."""

    work: str
    name: str
    timing: str = Timing.DAYS
    from_days: int = 0
    to_days: int = 0
    after: int | None = None
    hormone_form: str = ""
    hormone_ppm: int | None = None
    note: str = ""
    source: str = COMMON


@dataclass(frozen=True)
class Starter:
    """One method to copy."""

    key: str
    name: str
    wood: str
    source: str
    note: str
    steps: tuple[StarterStep, ...] = field(repr=False)


def _weeks(first, last):
    return {"from_days": first * WEEK, "to_days": last * WEEK}


CONIFERS = Starter(
    "conifers",
    "Conifers, hardwood cuttings in winter",
    Wood.HARDWOOD,
    "common practice; strength and weeks as in the university note on Taxus baccata "
    "'Fastigiata Aurea' (Univ. of Florida LPPI sp371)",
    "Yew, arborvitae, juniper, false cypress. Yew is poisonous: gloves, and no clippings where "
    "animals feed.",
    (
        StarterStep(
            Work.STICK,
            "Take and stick after hard frosts",
            Timing.SEASON_END,
            **_weeks(5, 21),
            hormone_form="talc",
            hormone_ppm=8000,
            note="Last year's wood, with a heel or a wound.",
            source="Univ. of Florida LPPI sp371, IBA talc 8,000 ppm",
        ),
        StarterStep(Work.HEAT_OFF, "Bottom heat off", from_days=14, to_days=21),
        StarterStep(
            Work.ROOT_COUNT,
            "Count what rooted",
            **_weeks(10, 14),
            note="Pull gently on a few; wait where there is only callus.",
            source="Univ. of Florida LPPI sp371, 10 to 14 weeks",
        ),
        StarterStep(Work.FEED, "First feed, at half strength", **_weeks(1, 3), after=2),
        StarterStep(Work.HARDEN, "Harden off", Timing.LAST_FROST, **_weeks(-2, 3), after=2),
        StarterStep(
            Work.POT_UP, "Pull apart and pot up", Timing.LAST_FROST, **_weeks(0, 8), after=2
        ),
        StarterStep(
            Work.COVER,
            "Winter cover on",
            Timing.FIRST_FROST,
            from_days=30,
            to_days=45,
            after=5,
            source="Nursery Management: first frost and 30 to 45 days",
        ),
        StarterStep(Work.UNCOVER, "Winter cover off", Timing.LAST_FROST, **_weeks(-6, 0), after=6),
        StarterStep(Work.TOP_DRESS, "Top-dress", Timing.SEASON_START, **_weeks(0, 4), after=6),
        StarterStep(Work.READY, "Look which are ready to sell", **_weeks(52, 104), after=5),
    ),
)
SOFTWOOD = Starter(
    "shrubs-softwood",
    "Shrubs, softwood cuttings in summer",
    Wood.SOFTWOOD,
    "common practice; strength and weeks for hydrangea from memory",
    "Hydrangea, weigela, spirea, forsythia: soft new tips, in the cool of the morning.",
    (
        StarterStep(
            Work.STICK,
            "Take and stick soft tips",
            Timing.SEASON_START,
            **_weeks(7, 15),
            hormone_form="dip",
            hormone_ppm=1000,
            note="Mist or a tent at once; no bottom heat needed in summer.",
            source="from memory: 1,000 to 3,000 ppm",
        ),
        StarterStep(Work.ROOT_COUNT, "Count what rooted", **_weeks(4, 6), source="from memory"),
        StarterStep(Work.HARDEN, "Less mist, harden off", from_days=7, to_days=14, after=1),
        StarterStep(Work.FEED, "First feed, at half strength", **_weeks(1, 3), after=1),
        StarterStep(
            Work.COVER,
            "Winter cover on",
            Timing.FIRST_FROST,
            from_days=30,
            to_days=45,
            source="Nursery Management: first frost and 30 to 45 days",
        ),
        StarterStep(Work.UNCOVER, "Winter cover off", Timing.LAST_FROST, **_weeks(-6, 0), after=4),
        StarterStep(
            Work.POT_UP, "Pull apart and pot up", Timing.LAST_FROST, **_weeks(-2, 6), after=4
        ),
        StarterStep(Work.READY, "Look which are ready to sell", **_weeks(12, 20), after=6),
    ),
)
SEMI = Starter(
    "evergreens-semi",
    "Broad-leaved evergreens, semi-hardwood cuttings",
    Wood.SEMI,
    "common practice; boxwood from July to December by the American Boxwood Society",
    "Boxwood, holly, cherry laurel, and arborvitae in late summer. Boxwood is poisonous to eat.",
    (
        StarterStep(
            Work.STICK,
            "Take and stick when the new growth firms",
            Timing.SEASON_START,
            **_weeks(14, 26),
            hormone_form="talc",
            hormone_ppm=3000,
        ),
        StarterStep(
            Work.ROOT_COUNT,
            "Count what rooted",
            **_weeks(9, 13),
            source="American Boxwood Society: two to three months",
        ),
        StarterStep(Work.COVER, "Winter cover on", Timing.FIRST_FROST, from_days=30, to_days=45),
        StarterStep(Work.UNCOVER, "Winter cover off", Timing.LAST_FROST, **_weeks(-6, 0), after=2),
        StarterStep(
            Work.POT_UP, "Pull apart and pot up", Timing.LAST_FROST, **_weeks(-2, 6), after=2
        ),
        StarterStep(Work.TOP_DRESS, "Top-dress", Timing.SEASON_START, **_weeks(2, 6), after=4),
        StarterStep(Work.READY, "Look which are ready to sell", **_weeks(52, 104), after=4),
    ),
)
DORMANT = Starter(
    "shrubs-hardwood",
    "Shrubs, bare hardwood cuttings in winter",
    Wood.HARDWOOD,
    COMMON,
    "Dogwood, willow, privet, currant: pencil-thick wood without leaves, no heat.",
    (
        StarterStep(Work.STICK, "Take and stick bare wood", Timing.SEASON_END, **_weeks(6, 20)),
        StarterStep(Work.FEED, "First feed", Timing.SEASON_START, **_weeks(4, 8)),
        StarterStep(Work.ROOT_COUNT, "Count what rooted", Timing.SEASON_START, **_weeks(8, 14)),
        StarterStep(Work.POT_UP, "Pull apart and pot up", **_weeks(0, 6), after=2),
        StarterStep(Work.READY, "Look which are ready to sell", **_weeks(26, 52), after=3),
    ),
)
SEED = Starter(
    "seed-spring",
    "Seed sown in spring",
    Wood.SEED,
    COMMON,
    "Many woody seeds need cold or soaking first: look it up for your plant.",
    (
        StarterStep(Work.STICK, "Sow", Timing.SEASON_START, **_weeks(-4, 4)),
        StarterStep(Work.ROOT_COUNT, "Count the seedlings", **_weeks(6, 12)),
        StarterStep(Work.FEED, "First feed, at half strength", **_weeks(6, 8)),
        StarterStep(Work.POT_UP, "Prick out or pot up", **_weeks(1, 6), after=1),
        StarterStep(
            Work.COVER, "Winter cover on", Timing.FIRST_FROST, from_days=30, to_days=45, after=3
        ),
        StarterStep(Work.READY, "Look which are ready to sell", **_weeks(52, 104), after=3),
    ),
)
DIVISIONS = Starter(
    "divisions",
    "Perennials and grasses, divided in spring",
    Wood.DIVISION,
    COMMON,
    "",
    (
        StarterStep(Work.STICK, "Lift and divide", Timing.SEASON_START, **_weeks(-3, 4)),
        StarterStep(Work.ROOT_COUNT, "Count what grows", **_weeks(4, 6)),
        StarterStep(Work.FEED, "Feed", **_weeks(4, 6)),
        StarterStep(Work.READY, "Look which are ready to sell", **_weeks(8, 14)),
    ),
)
STARTERS = {one.key: one for one in (CONIFERS, SEMI, SOFTWOOD, DORMANT, SEED, DIVISIONS)}
