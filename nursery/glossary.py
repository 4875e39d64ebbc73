"""Explain each word of the ledger once: a tap on any page, and the whole list under Help.

A meaning is one or two sentences in a grower's words. It uses no word of the trade or of
the books that is not explained here too.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.text import slugify


@dataclass(frozen=True)
class Chapter:
    """Words that belong together, with what each means."""

    title: str
    words: Mapping[str, str]


GLOSSARY = (
    Chapter(
        "Plants and where they stand",
        {
            "plant": "A kind of plant, not a single one, under its botanical name.",
            "stock plant": "A parent that cuttings are taken from, or a row of them.",
            "container": "A size of pot or tray. One is for sale, as #1, or for raising young "
            "plants, as a tray.",
            "#1": "A size class of pots with a smallest and a largest volume, as #3 and #5 are. "
            "It is not a gallon, and a pot may fall between two classes.",
            "liner": "A young rooted plant, still in its tray or cell, that goes into a pot next. "
            "Many are bought in.",
            "place": "Where plants stand and are counted together: a house, a bench, a bed, the "
            "stand.",
            "batch": "One beginning: the cuttings of one plant stuck on one day, a sowing, a "
            "division, a delivery. A plant remembers its batch for good.",
            "lot": "Plants that are alike and are counted together: one plant, one container, one "
            "place, one age. A batch goes through several lots.",
            "age class": "The growing seasons before and after the first potting. 1+2 had one "
            "before and two after.",
            "season": "The months in which plants grow, as Settings say. Ages count the seasons "
            "that have ended.",
            "grade": "How good the plants of a lot are, by your own words. A grade can have its "
            "own price.",
            "size": "How tall or how wide plants are, as a range: at least the first figure and "
            "less than the second.",
        },
    ),
    Chapter(
        "What happens to them",
        {
            "entry": "One thing that happened on a day: stuck, counted, potted up, lost, moved, "
            "sold. It is never rubbed out, only undone by another.",
            "undo": "Takes an entry back. The ledger keeps both and counts as if the first had "
            "not been.",
            "opening stock": "The plants that stood there when the ledger began, with a fair guess "
            "of what each had cost by then.",
            "method": "A way to raise plants, step by step: when to stick, take off the heat, "
            "feed, cover and pot up.",
            "ppm": "Parts in a million, the strength of a rooting hormone: 1 ppm is 1 milligram "
            "in a litre, 1 percent is 10,000 ppm.",
            "stick": "Put cuttings into their tray to root.",
            "bottom heat": "Warmth from below, by a mat or cables, until cuttings have roots.",
            "rooting": "Stuck or sown, and not counted yet.",
            "rooted count": "The look under the tray: how many have roots. The others are lost as "
            "not rooted.",
            "strike": "The share of the cuttings stuck that rooted.",
            "pot up": "Move plants into a larger container. Its pot, medium and minutes join what "
            "they have cost.",
            "overwinter": "Bring plants through the cold months. What died is written off in "
            "spring.",
            "blend": "Put one lot to another that is alike. From then on the plants cannot be told "
            "apart, so each batch has a share of them.",
            "count": "What you find when you count a lot. Fewer than the ledger has are lost, more "
            "are found, at no cost.",
            "write off": "Take dead, missing or thrown-out plants out of the ledger, with the "
            "cause.",
            "cause": "Why plants were lost: not rooted, winter, disease and so on.",
            "expected loss": "The share that a stage loses in an ordinary year, as you set it. "
            "Its cost stays with the plants that live; the books call it a normal loss.",
            "beyond expected": "What was lost over the expected share: a hard frost, a disease. "
            "Its cost is a loss of the year and makes no other plant dearer.",
            "normal loss": "What the books call an expected loss. It stays in the cost of the "
            "plants that live, and no gain is booked where fewer are lost.",
            "abnormal loss": "What the books call a loss beyond expected. Its cost counts against "
            "the year at once and is not put on the plants that live (IAS 2, paragraph 16).",
            "trace": "The way from a sold plant back to its batch, and from a batch to every paper "
            "its plants are on.",
        },
    ),
    Chapter(
        "How well they root and live",
        {
            "likely": "If the same were stuck again and again, the true share would lie between "
            "the two numbers 95 times in 100 (the score interval of Wilson, 1927). Cuttings of one "
            "tray share its mist and its mould, so take it for the least doubt there is.",
            "band of chance": "What chance alone does to a batch of that size: three standard "
            "errors to either side of the usual share (the control chart for proportions, NIST "
            "e-Handbook 6.3.3.2). About one usual batch in 370 falls outside.",
            "under watch": "Alive in the lots looked at. Plants sold, used, given or moved on "
            "were alive when they left and count until then; those that a count missed and a "
            "later one found were never lost.",
            "share alive": "At each age the lost are a share of those under watch; what is left "
            "at one age is multiplied by what is left at the next (Kaplan and Meier, 1958). The "
            "bounds are Greenwood's, 95 times in 100.",
            "learnt loss": "Your record added to the number that stood before: the one for all "
            "plants, or what is common practice, which counts as much as 40 plants. A few plants "
            "of yours move it little, many outweigh it (the beta-binomial rule of Bayes).",
            "comparing two": "The bounds of the difference are Newcombe's (1998), 95 times in 100; "
            "whether chance alone would do it is Fisher's exact test. How many more would tell is "
            "worked out for finding it four times in five (NIST e-Handbook 7.2.4), and several "
            "trays of each say more than one large one.",
        },
    ),
    Chapter(
        "Holding and selling",
        {
            "ready": "In a container for sale, and past the day you gave it, if you gave one.",
            "free to sell": "Ready, not held for anyone, and not out at a stand.",
            "available": "Free to sell: ready and not held for anyone.",
            "held": "Kept for a buyer until a day, or out at an open stand.",
            "hold": "Plants kept for a buyer until a day. After that day they are free again by "
            "themselves.",
            "order ahead": "Promise plants that still grow, as far as they are expected to live.",
            "short": "Promised to buyers, but not there or expected to be.",
            "deposit": "Money a buyer pays ahead for a hold. It stays theirs until plants are "
            "handed over or it is given back.",
            "on account": "A buyer's own money that lies with you: paid ahead and not used yet.",
            "hand over": "Give a buyer what is held for them, with an invoice.",
            "pick list": "A page for whoever fetches the plants: which lots, where, how many.",
            "stand day": "The stand from opening to closing: plants put out, money in the box, "
            "and the count at the end.",
            "box": "The money at a stand. It should hold what it began with and the sales in cash.",
            "over or short": "What was counted in the box, less what should be there.",
            "walk-in": "Somebody who buys without a name in the ledger.",
            "availability list": "What is free to sell, for a buyer to choose from, at their "
            "prices.",
            "price list": "The prices for one kind of buyer, stand, landscaper or wholesale. Where "
            "a list has no price, the stand's counts.",
            "price from": "A lower price each, from so many plants on.",
            "article number": "The number of a plant in its size in shops and invoices, a GTIN.",
            "receipt": "The paper of a sale paid at once.",
            "invoice": "The paper that says what a buyer owes and until when. Once written, it is "
            "never changed.",
            "delivery note": "The paper that goes with the plants, without prices.",
            "credit note": "The paper that corrects an invoice, all or a part of it.",
            "statement": "One buyer's invoices and payments in a span of days, and what is left.",
            "owed by age": "What buyers owe, sorted by how long it is past its day.",
            "sales tax": "Tax added to a sale by the rates of the day. Who charges it and on what "
            "is for your tax authority to say.",
            "certificate": "The paper by which a buyer buys without sales tax, between its first "
            "and last day.",
        },
    ),
    Chapter(
        "What plants cost",
        {
            "cost so far": "All that went into a plant until now, with its share of those lost as "
            "expected.",
            "supply": "What you buy to grow with and use up: pots, medium, feed, hormone, tags.",
            "average price": "What is there of a supply, divided by what it cost. It moves with "
            "each purchase, and what is used leaves at it.",
            "recipe": "What one plant takes when it is stuck or potted: a pot, medium, feed, "
            "minutes. Each potting then charges it by itself.",
            "bill": "A cost shared by many plants, as a month of heat: each bears its part of it.",
            "square-metre-days": "The ground a plant takes, times the days it took it. A bill for "
            "heat or space is shared by it, or by square-foot-weeks.",
            "unused space": "The part of a bill for space that no plant took. Either the plants "
            "there bear it, or it is a loss of the year.",
            "paid ahead": "Money spent for days to come: film, rent, insurance. Each month a part "
            "is charged to the plants that stood there.",
            "own time": "Your own hours, at the rate you give them. Costs are shown with them or "
            "without.",
            "royalty": "What the owner of a protected cultivar gets for each plant.",
            "a plant rooted": "What was spent before potting, over the plants that rooted: each "
            "one that lives bears its part of those that did not.",
            "a plant fit for sale": "What one in a pot for sale has cost on average, sold or still "
            "here, with its part of the losses that were to be expected.",
            "an hour of your own work": "What the sales of a batch brought, less all cost but your "
            "own time, over the hours you worked on it.",
            "earned by the ground": "What the sales of a batch brought, less all cost but your own "
            "time, over the ground its plants took and how long.",
        },
    ),
    Chapter(
        "In the books",
        {
            "revenue": "What plants were sold for, before tax and less what came back.",
            "cost of sales": "What the plants sold had cost until they left, with their share of "
            "the plants lost along the way, less those that came back.",
            "margin": "Revenue less cost of sales. Its percent is of the price, not of the cost; "
            "selling and the office are not in it.",
            "cost added": "All that was put into plants in these days: cuttings and liners, "
            "medium, pots, time, heat, space.",
            "expensed": "Counted against the year at once, with no plant to bear it: plants lost "
            "beyond expected, used or given away, and cost that found no plant.",
            "carried": "Borne by the plants that live: what those lost as expected had cost.",
            "closing": "The end of a stretch of days, as a year. From then on nothing dated in it "
            "can be entered, so its figures stay what they are.",
            "journal": "Each thing that happened, written twice: what it was for, and where it "
            "came from. The two sums are always the same, and whoever keeps the books can take "
            "the file in.",
            "debit and credit": "The two sides of a journal: what it was for, and where it came "
            "from.",
            "net realisable value": "The price in force that day, less what it costs to sell and "
            "what it still takes to finish the plant. Where that is less than it has cost, the "
            "lower value is shown; a gain on another does not make up for it (IAS 2, paragraphs "
            "28 to 33).",
            "farm price": "The market price less the direct cost of getting the plants sold, as "
            "commission and carriage (26 CFR 1.471-6). A farm that uses it must generally use it "
            "for all it produces.",
        },
    ),
)

MEANINGS = {word: meaning for chapter in GLOSSARY for word, meaning in chapter.words.items()}


def anchor_of(word: str) -> str:
    """Return where a word stands on the help page. The sign of #1 is read as "number"."""
    return slugify(word.replace("#", "number "))


def chapters_with(wanted: str) -> list[Chapter]:
    """Return the chapters with the words that hold what is wanted, or whose meaning does."""
    sought = wanted.casefold().strip()
    found = [
        Chapter(
            chapter.title,
            {
                word: meaning
                for word, meaning in chapter.words.items()
                if sought in f"{word} {meaning}".casefold()
            },
        )
        for chapter in GLOSSARY
    ]
    return [chapter for chapter in found if chapter.words]
