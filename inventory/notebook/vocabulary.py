"""Genera and species that hardy nurseries grow, to expand what a notebook abbreviates.

Names as in common horticultural use, from memory; × marks a hybrid (ICN Art. H.3.1). A
name that is not here is taken as it was written.
"""

_NAMES = """
Abies: alba balsamea concolor fraseri koreana nordmanniana
Acer: campestre ginnala griseum japonicum palmatum platanoides rubrum saccharum ×freemanii
Amelanchier: alnifolia canadensis laevis lamarckii ×grandiflora
Aronia: arbutifolia melanocarpa ×prunifolia
Berberis: julianae thunbergii verruculosa ×stenophylla
Betula: nigra papyrifera pendula utilis
Buddleja: alternifolia davidii globosa
Buxus: microphylla sempervirens sinica
Calluna: vulgaris
Carpinus: betulus caroliniana
Caryopteris: incana ×clandonensis
Chamaecyparis: lawsoniana obtusa pisifera thyoides
Clethra: alnifolia barbinervis
Cornus: alba alternifolia florida kousa mas sanguinea sericea
Corylus: americana avellana colurna
Cotinus: coggygria obovatus
Cotoneaster: dammeri horizontalis salicifolius
Cryptomeria: japonica
Deutzia: gracilis scabra ×hybrida
Diervilla: lonicera sessilifolia
Euonymus: alatus europaeus fortunei japonicus
Fagus: sylvatica
Forsythia: suspensa viridissima ×intermedia
Fothergilla: gardenii major ×intermedia
Ginkgo: biloba
Hamamelis: mollis vernalis virginiana ×intermedia
Hydrangea: arborescens macrophylla paniculata petiolaris quercifolia serrata
Hypericum: calycinum frondosum kalmianum
Ilex: aquifolium cornuta crenata glabra opaca verticillata ×meserveae
Itea: virginica
Juniperus: chinensis communis conferta horizontalis sabina scopulorum squamata virginiana
Kalmia: angustifolia latifolia
Larix: decidua kaempferi laricina
Lavandula: angustifolia stoechas ×intermedia
Ligustrum: ovalifolium vulgare
Magnolia: grandiflora kobus stellata virginiana ×soulangeana
Mahonia: aquifolium japonica ×media
Malus: baccata domestica floribunda sargentii
Microbiota: decussata
Philadelphus: coronarius lewisii ×virginalis
Photinia: villosa ×fraseri
Physocarpus: opulifolius
Picea: abies glauca mariana omorika pungens
Pieris: floribunda japonica
Pinus: banksiana mugo nigra parviflora strobus sylvestris
Potentilla: fruticosa
Prunus: cerasifera laurocerasus lusitanica serotina serrulata ×cistena
Pseudotsuga: menziesii
Quercus: alba bicolor palustris robur rubra
Rhododendron: catawbiense maximum viscosum
Rhus: aromatica typhina
Ribes: alpinum nigrum rubrum sanguineum
Rosa: canina carolina glauca rugosa
Salix: alba caprea integra purpurea
Sambucus: canadensis nigra racemosa
Sciadopitys: verticillata
Spiraea: japonica nipponica thunbergii ×vanhouttei
Symphoricarpos: albus orbiculatus ×chenaultii
Syringa: meyeri pubescens vulgaris ×prestoniae
Taxodium: distichum
Taxus: baccata canadensis cuspidata ×media
Thuja: koraiensis occidentalis orientalis plicata standishii
Thujopsis: dolabrata
Tsuga: canadensis mertensiana
Vaccinium: angustifolium corymbosum macrocarpon
Viburnum: carlesii dentatum opulus plicatum tinus trilobum ×bodnantense ×burkwoodii
Weigela: florida
Wisteria: floribunda sinensis
"""
GENERA: dict[str, tuple[str, ...]] = {
    genus: tuple(species.split())
    for genus, _, species in (line.partition(":") for line in _NAMES.strip().splitlines())
}
