package place

// Attribution says where the gazetteer comes from and on what terms, as its
// licence asks of whoever shows or passes on the data.
const Attribution = `Place names, positions, populations, regions and US ZIP codes: GeoNames
(geonames.org), used under the Creative Commons Attribution 4.0 licence
(creativecommons.org/licenses/by/4.0); some hundred towns are from its list of 2012,
under version 3.0 of the same (creativecommons.org/licenses/by/3.0). Chosen, merged
and repacked for this program; positions are rounded to about 11 metres. The names of countries and
some everyday names of towns were added by hand, and some towns of Canada with their
positions. Roads: which towns are neighbours by
land follows from the outlines of Natural Earth (naturalearthdata.com) and of the US
Census Bureau, both in the public domain; bridges, ferries and the towns that the
great roads join were written for this program, from memory.`
