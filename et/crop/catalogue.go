// The catalogue: what FAO-56 tabulates for each crop, and what we assume where
// it tabulates nothing.

package crop

import (
	"math"
	"slices"
	"strings"
)

// Words that several crops share.
const (
	table11 = "FAO-56 Table 11, "
	table12 = "FAO-56 Table 12, "
	table17 = "FAO-56 Table 17, "
	table22 = "FAO-56 Table 22, "
	table24 = "FAO-56 Table 24, "

	bareAssumed = "Kc of bare ground 0.30: the Kc ini of Table 12 for crops sown in bare ground; single mode takes it only where fewer than ten days tell how the ground was wetted"
	seedRoots   = "smallest rooting depth 0.2 m: the dry bean of FAO-56 Annex 8, used for every seeded crop"
	heatAssumed = "degree-day limits: common practice, no published source; used only where stage lengths are given in degree-days"
)

// catalogue builds the crops anew on every call, so that nobody can change
// another's.
func catalogue() []Crop {
	nan := math.NaN()
	mint := Crop{
		KcIni: 0.60, KcMid: 1.15, KcEnd: 1.10, KcbIni: 0.40, KcbMid: 1.10, KcbEnd: 1.05,
		HeightM: 0.7, RootMinM: 0.6, RootMaxM: 0.6, P: 0.40, Ky: 1, Perennial: true,
		Lengths:  Lengths{Ini: 20, Dev: 40, Mid: 40, Late: 10},
		Recovery: Lengths{Ini: 5, Dev: 20, Mid: 20, Late: 10},
		GDDBaseC: 5, GDDUpperC: 30,
		Sources: []Source{
			{"Kc, height", table12 + "mint, 0.6 to 0.8 m"},
			{"Kcb", table17 + "mint"},
			{"rooting depth, p", table22 + "mint, 0.4 to 0.8 m"},
		},
		Assumed: []string{
			"peppermint and spearmint share FAO-56's one row for mint",
			"stage lengths 20/40/40/10 days from green-up: FAO-56 has none for mint; full cover in June (OSU FG 69, 1998) after green-up in mid-April",
			"stage lengths after a cut 5/20/20/10 days: no published source; alfalfa's (Table 11) with a longer mid-season, as mint is cut later",
			"Kc and Kcb after a cut begin at the ini values, as FAO-56 has it for alfalfa cut by cut",
			"height 0.7 m and rooting depth 0.6 m: the middle of their ranges; an established stand has its roots from green-up on",
			"Ky 1.0, oil lost in step with ET missed: FAO-56 has none for mint (its other crops run from 0.85 to 1.25), and trials disagree on whether drought costs oil",
			bareAssumed, heatAssumed,
		},
	}
	peppermint, spearmint := mint, mint
	peppermint.Name, spearmint.Name = "peppermint", "spearmint"
	spearmint.Sources, spearmint.Assumed = slices.Clone(mint.Sources), slices.Clone(mint.Assumed)

	return []Crop{
		peppermint, spearmint,
		{
			Name:  "corn",
			KcIni: 0.30, KcMid: 1.20, KcEnd: 0.35, KcbIni: 0.15, KcbMid: 1.15, KcbEnd: 0.15,
			HeightM: 2, RootMinM: 0.2, RootMaxM: 1.0, P: 0.55, Ky: 1.25,
			Lengths:  Lengths{Ini: 30, Dev: 40, Mid: 50, Late: 30},
			GDDBaseC: 10, GDDUpperC: 30,
			Sources: []Source{
				{"stage lengths", table11 + "maize grain, April, Spain and California"},
				{"Kc, height", table12 + "maize, field, harvested field-dry"},
				{"Kcb", table17 + "maize, field, harvested field-dry"},
				{"rooting depth, p", table22 + "maize, 1.0 to 1.7 m: the smaller for scheduling"},
				{"Ky", table24 + "maize"},
			},
			Assumed: []string{seedRoots, bareAssumed, heatAssumed},
		},
		{
			Name:  "soybean",
			KcIni: 0.40, KcMid: 1.15, KcEnd: 0.50, KcbIni: 0.15, KcbMid: 1.10, KcbEnd: 0.30,
			HeightM: 0.75, RootMinM: 0.2, RootMaxM: 0.6, P: 0.50, Ky: 0.85,
			Lengths:  Lengths{Ini: 20, Dev: 35, Mid: 60, Late: 25},
			GDDBaseC: 10, GDDUpperC: 30,
			Sources: []Source{
				{"stage lengths", table11 + "soybean, May, central USA; development 30 to 35 days: 35, which makes the total of 140"},
				{"Kc, height", table12 + "soybean, 0.5 to 1.0 m"},
				{"Kcb", table17 + "soybean"},
				{"rooting depth, p", table22 + "soybean, 0.6 to 1.3 m: the smaller for scheduling"},
				{"Ky", table24 + "soybean"},
			},
			Assumed: []string{"height 0.75 m: the middle of the range", seedRoots, bareAssumed, heatAssumed},
		},
		{
			Name:  "alfalfa",
			KcIni: 0.40, KcMid: 1.20, KcEnd: 1.15, KcbIni: 0.30, KcbMid: 1.15, KcbEnd: 1.10,
			HeightM: 0.7, RootMinM: 1.0, RootMaxM: 1.0, P: 0.55, Ky: 1.1, Perennial: true,
			Lengths:  Lengths{Ini: 10, Dev: 30, Mid: 25, Late: 10},
			Recovery: Lengths{Ini: 5, Dev: 20, Mid: 10, Late: 10},
			GDDBaseC: 5, GDDUpperC: 30,
			Sources: []Source{
				{"stage lengths", table11 + "alfalfa, first cutting cycle, April, Idaho"},
				{"stage lengths after a cut", table11 + "alfalfa, other cutting cycles, June, Idaho"},
				{"Kc, height", table12 + "alfalfa hay, individual cutting periods"},
				{"Kcb", table17 + "alfalfa hay, individual cutting periods"},
				{"rooting depth, p", table22 + "alfalfa hay, 1.0 to 2.0 m: the smaller for scheduling"},
				{"Ky", table24 + "alfalfa"},
			},
			Assumed: []string{"an established stand has its roots from green-up on", bareAssumed, heatAssumed},
		},
		{
			Name:  "potato",
			KcIni: 0.50, KcMid: 1.15, KcEnd: 0.75, KcbIni: 0.15, KcbMid: 1.10, KcbEnd: 0.65,
			HeightM: 0.6, RootMinM: 0.2, RootMaxM: 0.4, P: 0.35, Ky: 1.1,
			Lengths:  Lengths{Ini: 25, Dev: 30, Mid: 45, Late: 30},
			GDDBaseC: 7, GDDUpperC: 30,
			Sources: []Source{
				{"stage lengths", table11 + "potato, May, continental climate"},
				{"Kc, height", table12 + "potato; after vine kill Kc end is 0.40"},
				{"Kcb", table17 + "potato; after vine kill Kcb end is 0.35"},
				{"rooting depth, p", table22 + "potato, 0.4 to 0.6 m: the smaller for scheduling"},
				{"Ky", table24 + "potato"},
			},
			Assumed: []string{seedRoots, bareAssumed, heatAssumed},
		},
		{
			Name:  "dry bean",
			KcIni: 0.40, KcMid: 1.15, KcEnd: 0.35, KcbIni: 0.15, KcbMid: 1.10, KcbEnd: 0.25,
			HeightM: 0.4, RootMinM: 0.2, RootMaxM: 0.6, P: 0.45, Ky: 1.15,
			Lengths:  Lengths{Ini: 20, Dev: 30, Mid: 40, Late: 20},
			GDDBaseC: 10, GDDUpperC: 30,
			Sources: []Source{
				{"stage lengths", table11 + "beans, dry, May to June, continental climate"},
				{"Kc, height", table12 + "beans, dry"},
				{"Kcb", table17 + "beans, dry"},
				{"rooting depth, p", table22 + "beans, dry, 0.6 to 0.9 m: the smaller for scheduling"},
				{"smallest rooting depth", "FAO-56 Annex 8, dry bean"},
				{"Ky", table24 + "beans"},
			},
			Assumed: []string{bareAssumed, heatAssumed},
		},
		{
			Name:  "winter wheat",
			KcIni: 0.40, KcMid: 1.15, KcEnd: 0.25, KcbIni: 0.15, KcbMid: 1.10, KcbEnd: 0.15,
			HeightM: 1.0, RootMinM: 0.2, RootMaxM: 1.5, P: 0.55, Ky: 1.05,
			Lengths:  Lengths{Ini: 160, Dev: 75, Mid: 75, Late: 25},
			GDDBaseC: 0, GDDUpperC: 26,
			Sources: []Source{
				{"stage lengths", table11 + "winter wheat, October, Idaho"},
				{"Kc, height", table12 + "winter wheat, frozen soils; Kc end 0.25 to 0.40: the lower, left to dry down"},
				{"Kcb", table17 + "winter wheat; Kcb ini for under 10 % cover, Kcb end 0.15 to 0.30: the lower"},
				{"rooting depth, p", table22 + "winter wheat, 1.5 to 1.8 m: the smaller for scheduling"},
				{"Ky", table24 + "winter wheat (FAO-33 is remembered with 1.0)"},
			},
			Assumed: []string{seedRoots, bareAssumed, heatAssumed},
		},
		{
			Name:  "cover",
			KcIni: 0.30, KcMid: 1.05, KcEnd: 1.00, KcbIni: 0.15, KcbMid: 1.00, KcbEnd: 0.95,
			HeightM: 0.3, RootMinM: 0.2, RootMaxM: 0.6, P: 0.60, Ky: nan,
			Lengths:  Lengths{Ini: 10, Dev: 20, Mid: 120, Late: 30},
			GDDBaseC: 0, GDDUpperC: 26,
			Sources: []Source{
				{"length of the initial and development stages", table11 + "grass pasture"},
				{"Kc mid and end, height", table12 + "rye grass hay"},
				{"Kcb mid and end", table17 + "rye grass hay"},
				{"rooting depth, p", table22 + "rye grass hay, 0.6 to 1.0 m: the smaller"},
			},
			Assumed: []string{
				"a cover crop is taken as grass sown in bare ground: FAO-56 has no row for it",
				"Kc ini 0.30 and Kcb ini 0.15: the Table 12 and 17 values of cereals sown in bare ground",
				"mid-season 120 and late season 30 days: set the end of the season instead",
				"Ky unknown: nothing is harvested",
				seedRoots, bareAssumed, heatAssumed,
			},
		},
	}
}

// kcBare is the single coefficient of bare ground; see bareAssumed.
const kcBare = 0.30

// Lookup finds a crop of the catalogue by name, in any letter case. The crop
// is the caller's own: change what you like in it.
func Lookup(name string) (Crop, bool) {
	for _, c := range catalogue() {
		if strings.EqualFold(c.Name, strings.TrimSpace(name)) {
			c.KcBare = kcBare
			return c, true
		}
	}
	return Crop{}, false
}

// Names lists the crops of the catalogue, mint first.
func Names() []string {
	var names []string
	for _, c := range catalogue() {
		names = append(names, c.Name)
	}
	return names
}
