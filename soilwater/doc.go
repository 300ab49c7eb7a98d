// Package soilwater is the root zone: a daily balance of water in the ground
// under one cell, by the dual crop coefficient of FAO-56 chapters 7 and 8, with
// water rising from a shallow table. Sub-package hydraulics has the curves.
//
// Water is in mm, depth in m below ground, coefficients without unit. Nothing
// here reads a file or a clock, prints, or keeps state: a [Column] is the
// ground, made once; a [State] is a plain value that [Column.Step] moves over a
// day, and [Column.Correct] by what somebody has measured.
//
//	FAO-56                                        where
//	Eq. 69, 71 ETc, Ke                            Ke, Step
//	Eq. 72, 76 Kc max, fc                         package et/crop; fields of Demand
//	Eq. 73 TEW                                    TEW
//	Eq. 74 Kr                                     Kr
//	Eq. 75, Table 20 few, fw                      Few, DripFw, Step
//	Eq. 77-79 evaporation layer                   Step
//	Eq. 82, 83 TAW, RAW                           TAW, RAW, Column.Totals
//	Table 22 note 2, p for other ETc              AdjustedP
//	Eq. 84 Ks                                     Ks
//	Eq. 85-88 root zone balance                   Step
//	Eq. 91, 92 salt                               Salinity.KsSalt; not in Step
//	SCS curve number                              Runoff
//
// # One layer
//
// With one layer and no table in reach the column is FAO-56: what is missing
// is missing where the roots are, ground the roots grow into is full, and the
// compensation limit means nothing. The order of a day is at [Column.Step].
//
// # Layers and water table
//
// Layers have fixed boundaries down to the deepest root the crop ever has, so
// that growing roots and a moving table shift no water in the books. A layer is
// full at the wetter, height by height, of the drained content and the content
// at equilibrium with today's table. What it cannot hold goes to the layer
// below and in the end out through the bottom, on the same day; what the table
// gives comes in there, that which raises a layer's full content when the table
// rises included. Over a table the two are one flow, and its daily net is
// entered as percolation or as upflux: what a falling table lets go feeds the
// roots of the day before any of it counts as lost. Below the column only the
// table is kept account of.
//
// Each layer answers for its share of the roots (40, 30, 20, 10 % by quarters
// of today's rooting depth) by its own stress, FAO-56 Eq. 84 with the crop's p
// or, with Profile.Stress, by suction; wet layers stand in for dry ones up to
// Profile.CompensationLimit times their share. The supply of the table is
// shared among the roots by superposition, see uptake in layers.go; what they
// leave refills the layers and moistens the evaporation layer.
//
// # How good it is
//
// Thirty rainless days from equilibrium at the default settings against
// Richards' equation: the mean absolute error of evapotranspiration is 1.2 mm
// and the worst 5.3 of 180 mm over the 24 given cases (field sand and loamy
// sand, mint and corn, tables from 0.6 to 3 m), 1.5 mm and 21 mm over 735 cases
// of seven soils, roots of 0.2 to 1.5 m and demands of 3 to 9 mm/day. The
// column without compensation is never late by more than a day with the first
// stress. It is worst on coarse sand whose whole fringe lies within one layer.
//
// Crops over a table that falls or rises by up to 2 cm a day, forty days with and
// without rain: evapotranspiration is off by 0.6 mm and the net flow through the
// bottom by 8 mm on average over 24 cases, for a column refills to equilibrium
// every day where ground under a crop lags some 10 mm behind it. Rain finds too
// little room in it for the same reason, and shows too much of both flows: 19 mm
// down and as much up again on the following days on average, 74 at worst. Over
// a near table judge the net of a season, not its two parts.
//
// Bare ground over a table evaporates what the air asks for as far as the
// dry-limit flux to the surface carries it, beside TEW after each wetting. Thirty
// days of it are off by 2 mm, at worst 8 of up to 180, over 48 cases of four sands.
// That flux is the limit of liquid water in even ground (Gardner 1958), and an
// upper bound in the field: water films that break in coarse sand and leave a dry
// layer which only vapour crosses, mulch and crusts are left out. Where bare
// ground lies within its reach of the table it evaporates like wet ground day
// after day.
//
// Redistribution between layers other than from the table, water the ground
// between roots and table gives up before it is replaced (1 to 4 mm in a month),
// hysteresis, bypass flow and lateral flow are left out.
//
// DepletionMM passing RAW is not the only sign of stress in layered ground: over
// a table the deep layers may stay full while the shallow roots run dry. Look
// at Ks too.
package soilwater
