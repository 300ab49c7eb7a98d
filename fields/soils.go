// What each soil of the farm holds and how far water rises in it.

package fields

import (
	"math"
	"slices"

	"sandwick/soilwater"
	"sandwick/soilwater/hydraulics"
)

// SoilFacts are the numbers that follow from a soil's settings.
type SoilFacts struct {
	Soil     int // index into Farm.Soils
	Horizons []HorizonFacts
	// ReachM is the distance over which the water table can feed 6 mm/day in the
	// deepest horizon: as farm.toml sets it, or the parameter set's own.
	ReachM          float64
	ReachSet        bool
	ReachPlusMinusM float64
	Roots           []RootFacts
	Flux            []FluxAt
}

// HorizonFacts is one horizon; contents in m³/m³.
type HorizonFacts struct {
	TopM, BottomM                            float64 // BottomM +Inf: as deep as roots go
	Set                                      string  // name of the parameter set
	Source, Verified                         string  // where its numbers come from, how far that was checked
	Saturated, Drained, Wilting, OwnReachM   float64 // the parameter set's own reach
	AvailableMMPerM, AlphaPerM, N, KsMPerDay float64
}

// RootFacts is the root zone of the crops of one rooting depth on the soil.
type RootFacts struct {
	RootM float64
	Crops []string
	Over  []FullAt
}

// FullAt is what a root zone holds when full over a water table.
type FullAt struct {
	TableM      float64 // +Inf: out of reach
	FullMM      float64
	AvailableMM float64 // of it, above the wilting point
	FluxMM      float64 // the most that rises to the foot of the roots, mm/day; +Inf where the table stands in them
}

// FluxAt is the steady flux over a distance, mm/day.
type FluxAt struct{ DistanceM, MMPerDay float64 }

// SoilFacts gives the numbers of every soil over water tables so deep and over
// such distances, m.
func (f *Farm) SoilFacts(tables, distances []float64) ([]SoilFacts, error) {
	var out []SoilFacts
	for i := range f.Soils {
		o := &f.Soils[i]
		facts := SoilFacts{Soil: i, ReachSet: !math.IsNaN(o.ReachM)}
		roots := f.rootsOn(i)
		horizons, err := f.horizons(i, roots[len(roots)-1].RootM)
		if err != nil {
			return nil, err
		}
		for k, h := range horizons {
			set := o.Hydraulics
			bottom := h.BottomM
			if len(o.Horizons) > 0 {
				set = o.Horizons[k].Hydraulics
			}
			if k == len(horizons)-1 {
				bottom = math.Inf(1)
			}
			own, _ := hydraulics.Lookup(set)
			z := withoutCurve(h, hydraulics.DefaultDrainedMMPerDay)
			facts.Horizons = append(facts.Horizons, HorizonFacts{
				TopM: h.TopM, BottomM: bottom, Set: set, Source: own.Source, Verified: own.Verified,
				Saturated: own.ThetaS, Drained: z.ThetaFC, Wilting: z.ThetaWP, OwnReachM: hydraulics.Reach(own),
				AvailableMMPerM: 1000 * (z.ThetaFC - z.ThetaWP),
				AlphaPerM:       h.Hydraulics.AlphaPerM, N: h.Hydraulics.N, KsMPerDay: h.Hydraulics.KsMPerDay,
			})
		}
		deepest := horizons[len(horizons)-1].Hydraulics
		facts.ReachM = hydraulics.Reach(*deepest)
		facts.ReachPlusMinusM = o.ReachDoubt(facts.ReachM)
		for _, d := range distances {
			facts.Flux = append(facts.Flux, FluxAt{d, hydraulics.SteadyFlux(*deepest, d, math.Inf(1))})
		}
		for _, r := range roots {
			if err := f.rootFacts(i, &r, tables); err != nil {
				return nil, err
			}
			facts.Roots = append(facts.Roots, r)
		}
		out = append(out, facts)
	}
	return out, nil
}

// rootsOn lists the rooting depths of the crops that grow on a soil, or of all
// crops where none does.
func (f *Farm) rootsOn(soil int) []RootFacts {
	var out []RootFacts
	add := func(field int) {
		c := &f.Fields[field].Crop
		i := slices.IndexFunc(out, func(r RootFacts) bool { return r.RootM == c.RootMaxM })
		if i < 0 {
			i = len(out)
			out = append(out, RootFacts{RootM: c.RootMaxM})
		}
		if !slices.Contains(out[i].Crops, f.Fields[field].CropName) {
			out[i].Crops = append(out[i].Crops, f.Fields[field].CropName)
		}
	}
	for z := range f.Zones {
		if f.ZoneSoil(z) == soil {
			add(f.ZoneField(z))
		}
	}
	if len(out) == 0 {
		for i := range f.Fields {
			add(i)
		}
	}
	slices.SortFunc(out, func(a, b RootFacts) int { return int(math.Copysign(1, a.RootM-b.RootM)) })
	return out
}

func (f *Farm) rootFacts(soil int, r *RootFacts, tables []float64) error {
	column, err := f.newColumn(columnKey{soil: soil, rootMaxM: r.RootM, table: true})
	if err != nil {
		return err
	}
	var none soilwater.State
	for _, t := range append([]float64{math.Inf(1)}, tables...) {
		at := FullAt{TableM: t}
		for _, l := range column.Layers(&none, t) {
			at.FullMM += l.FullMM
			at.AvailableMM += l.FullMM - l.WiltMM
			at.FluxMM = l.FluxMMPerDay
		}
		if t <= r.RootM {
			at.FluxMM = math.Inf(1)
		}
		r.Over = append(r.Over, at)
	}
	return nil
}
