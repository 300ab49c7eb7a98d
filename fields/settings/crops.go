// [[crops]]: a crop of the catalogue with values of the farm's own.

package settings

import (
	"math"
	"slices"

	"sandwick/et/crop"
	"sandwick/et/input"
)

// readCrops lists the catalogue and then the farm's own crops. A crop of the
// farm with a name from the catalogue takes its place.
func readCrops(root *section) []namedCrop {
	var list []namedCrop
	for _, n := range crop.Names() {
		c, _ := crop.Lookup(n)
		list = append(list, namedCrop{n, c})
	}
	catalogue := crop.Names()
	var own []string
	root.each("crops", func(sec *section) {
		name := uniqueName(sec, "crop", own)
		own = append(own, name)
		like := sec.name("like", "crop of the catalogue", catalogue, true)
		base, ok := crop.Lookup(like)
		if like == "" || !ok {
			base, _ = crop.Lookup(catalogue[0]) // reported; the keys are still read
		}
		c := readCrop(sec, base)
		c.Name = name
		if i := slices.IndexFunc(list, func(o namedCrop) bool { return o.name == name }); i >= 0 {
			list[i].crop = c
		} else {
			list = append(list, namedCrop{name, c})
		}
	})
	return list
}

func readCrop(sec *section, c crop.Crop) crop.Crop {
	n := len(sec.problems)
	kc := limits{0, 1.5}
	c.KcIni, c.KcMid, c.KcEnd = sec.number("kc_ini", c.KcIni, kc), sec.number("kc_mid", c.KcMid, kc), sec.number("kc_end", c.KcEnd, kc)
	c.KcbIni, c.KcbMid, c.KcbEnd = sec.number("kcb_ini", c.KcbIni, kc), sec.number("kcb_mid", c.KcbMid, kc), sec.number("kcb_end", c.KcbEnd, kc)
	c.KcBare = sec.number("kc_bare", c.KcBare, kc)
	c.KcIniSet, c.KcBareSet = c.KcIniSet || sec.has("kc_ini"), c.KcBareSet || sec.has("kc_bare")
	c.HeightM = sec.quantity("height", lengths, c.HeightM, limits{0.02, 10})
	c.RootMinM = sec.quantity("root_min", lengths, c.RootMinM, limits{0.05, 5})
	c.RootMaxM = sec.quantity("root_max", lengths, c.RootMaxM, limits{0.05, 5})
	c.P = sec.number("p", c.P, limits{0.1, 0.8})
	c.Ky = sec.number("ky", c.Ky, limits{0, 3})
	if sec.has("perennial") {
		c.Perennial = sec.flag("perennial")
	} else {
		sec.get("perennial")
	}
	c.Lengths = readLengths(sec, "stage", c.Lengths)
	c.Recovery = readLengths(sec, "recovery", c.Recovery)
	c.GDDBaseC = sec.quantity("gdd_base", temperatures, c.GDDBaseC, limits{-10, 30})
	c.GDDUpperC = sec.quantity("gdd_upper", temperatures, c.GDDUpperC, limits{0, 50})
	if c.RootMinM > c.RootMaxM {
		key := sec.keyOf("root_min", lengths)
		if !sec.has(key) {
			key = sec.keyOf("root_max", lengths)
		}
		sec.report(key, show(sec.table[key]), "leaves roots that start deeper, %s, than they reach, %s", sec.amount(key, lengths, c.RootMinM), sec.amount(key, lengths, c.RootMaxM))
	}
	if len(sec.problems) == n {
		if err := c.Check(); err != nil {
			sec.report("name", c.Name, "%s", err.Error())
		}
	}
	return c
}

// readLengths reads four stage lengths in days or in degree-days.
func readLengths(sec *section, what string, def crop.Lengths) crop.Lengths {
	days, heat := what+"_days", what+"_gdd"
	v, key, u := sec.which(heat, input.UnitsOf(input.DegreeDays))
	switch {
	case sec.has(days) && key != "":
		sec.list(days)
		sec.report(key, "", "%s", input.BothMessage([]string{days, key}))
		return def
	case key != "" && u == unreadable:
		return def
	case key != "":
		return fourLengths(sec, key, v, u, limits{0, 10000}, def, true)
	}
	if v, ok := sec.get(days); ok {
		return fourLengths(sec, days, v, plain, limits{0, 400}, def, false)
	}
	return def
}

func fourLengths(sec *section, key string, v any, u input.Unit, in limits, def crop.Lengths, heat bool) crop.Lengths {
	list, ok := v.([]any)
	if !ok || len(list) != 4 {
		sec.report(key, "", "is not four lengths; [initial, development, mid-season, late season] is accepted")
		return def
	}
	var l [4]float64
	for i, el := range list {
		l[i] = sec.check(index(key, i), el, math.NaN(), u, in)
		if math.IsNaN(l[i]) {
			return def
		}
	}
	if l[0]+l[1]+l[2]+l[3] <= 0 {
		sec.report(key, "", "adds up to nothing; at least one stage has a length")
		return def
	}
	return crop.Lengths{Ini: l[0], Dev: l[1], Mid: l[2], Late: l[3], ByHeat: heat}
}
