"""The shape a plant grows in, for its drawing at the stand.

A plant says its own habit, or its genus is asked. The tables are common practice, from
memory: what a genus mostly looks like in a sales bed. A drawing decorates; nothing else
rests on it.
"""

from django.db import models


class Habit(models.TextChoices):
    """A shape; each has a drawing of its name in icons/plants.svg."""

    SHRUB = "shrub", "shrub, on several stems"
    MOUND = "mound", "mound, close to the ground"
    CONE = "cone", "cone"
    COLUMN = "column", "column, narrow and upright"
    SPREADING = "spreading", "spreading, ground cover"
    GRASS = "grass", "grass"
    TREE = "tree", "tree, on one stem"


_OF_GENUS = {
    Habit.MOUND: "buxus calluna coreopsis erica geranium hebe heuchera hosta ilex lavandula pieris "
    "salvia santolina sarcococca sedum skimmia taxus",
    Habit.CONE: "abies cedrus chamaecyparis cryptomeria cupressocyparis cuprocyparis picea "
    "pseudotsuga sciadopitys thuja tsuga",
    Habit.COLUMN: "cupressus juniperus populus",
    Habit.SPREADING: "ajuga arctostaphylos hedera pachysandra thymus vinca waldsteinia",
    Habit.GRASS: "andropogon bouteloua calamagrostis carex cortaderia deschampsia festuca "
    "hakonechloa helictotrichon imperata juncus liriope miscanthus molinia muhlenbergia "
    "ophiopogon panicum pennisetum schizachyrium sesleria sorghastrum sporobolus stipa",
    Habit.TREE: "acer aesculus betula carpinus castanea catalpa celtis cercis crataegus fagus "
    "fraxinus ginkgo gleditsia juglans liquidambar liriodendron magnolia malus nyssa ostrya "
    "pinus platanus prunus pyrus quercus robinia sorbus styrax tilia ulmus zelkova",
}
# Species that grow otherwise than their genus mostly does.
_OF_SPECIES = {
    Habit.SHRUB: "ilex ×meserveae, ilex verticillata, juniperus ×pfitzeriana, prunus laurocerasus",
    Habit.MOUND: "pinus mugo",
    Habit.CONE: "ilex aquifolium, ilex opaca",
    Habit.SPREADING: "ceanothus gloriosus, cotoneaster dammeri, cotoneaster horizontalis, "
    "euonymus fortunei, juniperus conferta, juniperus horizontalis, juniperus procumbens, "
    "juniperus sabina",
    Habit.TREE: "cornus florida, cornus kousa, cornus mas",
}
_KNOWN = {genus: habit for habit, genera in _OF_GENUS.items() for genus in genera.split()} | {
    species: habit for habit, names in _OF_SPECIES.items() for species in names.split(", ")
}


def guessed_habit(name: str) -> Habit:
    """Return how a plant of that botanical name mostly grows: a shrub where it is unknown."""
    words = name.casefold().split()
    # A hybrid genus, ×Cuprocyparis, stands in the table without its sign.
    words[:1] = [word.lstrip("×") for word in words[:1]]
    known = (_KNOWN.get(" ".join(words[:length])) for length in (2, 1))
    return next(filter(None, known), Habit.SHRUB)
