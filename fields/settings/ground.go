// [[soils]] and [[fields]].

package settings

import (
	"math"
	"slices"
	"time"

	"sandwick/et/crop"
	"sandwick/pivot"
	"sandwick/soilwater/hydraulics"
)

func (s *Settings) readSoils(root *section) {
	root.each("soils", func(sec *section) {
		o := Soil{
			Name:            uniqueName(sec, "soil", s.SoilNames()),
			Hydraulics:      sec.name("hydraulics", "set of soil hydraulics", hydraulics.Names(), true),
			ReachM:          sec.quantity("reach", lengths, math.NaN(), limits{LeastReachM, 5}),
			ReachPlusMinusM: sec.quantity("reach_plus_minus", lengths, math.NaN(), limits{0, 2}),
			FieldCapacity:   sec.fraction("field_capacity_pct", math.NaN(), limits{1, 70}),
			WiltingPoint:    sec.fraction("wilting_point_pct", math.NaN(), limits{0.1, 60}),
			REWMM:           sec.quantity("rew", depths, math.NaN(), limits{0, 20}),
			TEWMM:           sec.quantity("tew", depths, math.NaN(), limits{0, 100}),
			IntakeMMPerH:    sec.quantity("intake", intakes, math.NaN(), limits{0.1, 1000}),
			CurveNumber:     sec.number("curve_number", math.NaN(), limits{1, 100}),
			Pos:             sec.pos("name"),
		}
		checkContents(sec, o.Hydraulics, o.FieldCapacity, o.WiltingPoint)
		if o.REWMM >= o.TEWMM {
			key := sec.keyOf("rew", depths)
			sec.report(key, show(sec.table[key]), "is not below the total evaporable water")
		}
		if hy, ok := hydraulics.Lookup(o.Hydraulics); ok && !math.IsNaN(o.ReachM) {
			if _, err := hy.WithReach(o.ReachM); err != nil {
				key := sec.keyOf("reach", lengths)
				sec.report(key, show(sec.table[key]), "%s", err.Error())
			}
		}
		checkPlusMinus(sec, &o)
		readHorizons(sec, &o)
		s.Soils = append(s.Soils, o)
	})
	if len(s.Soils) == 0 && !root.has("soils") {
		root.report("soils", "", "is missing; describe at least one soil under [[soils]]")
	}
}

// LeastReachM is the shortest reach that hydraulics can be scaled to, m.
const LeastReachM = 0.02

// checkPlusMinus holds both ends of a reach within what it can be.
func checkPlusMinus(sec *section, o *Soil) {
	if math.IsNaN(o.ReachPlusMinusM) {
		return
	}
	reach := o.ReachM
	if hy, ok := hydraulics.Lookup(o.Hydraulics); ok && math.IsNaN(reach) {
		reach = hydraulics.Reach(hy)
	}
	if o.ReachPlusMinusM > reach-LeastReachM {
		key := sec.keyOf("reach_plus_minus", lengths)
		sec.report(key, show(sec.table[key]), "is not below the reach, %s", sec.amount(key, lengths, reach))
	}
}

// checkContents holds field capacity above wilting point, both taken from the
// parameter set where they are not given.
func checkContents(sec *section, set string, fc, wp float64) {
	hy, ok := hydraulics.Lookup(set)
	if !ok {
		return
	}
	if math.IsNaN(wp) {
		wp = hy.ThetaR
	}
	switch {
	case fc <= wp:
		key := "field_capacity_pct"
		sec.report(key, show(sec.table[key]), "is not above the wilting point, %s %%", trim(100*wp))
	case fc > hy.ThetaS:
		key := "field_capacity_pct"
		sec.report(key, show(sec.table[key]), "is more than %q holds when saturated, %s %%", set, trim(100*hy.ThetaS))
	case math.IsNaN(fc) && wp >= hy.ThetaS:
		key := "wilting_point_pct"
		sec.report(key, show(sec.table[key]), "is more than %q holds when saturated, %s %%", set, trim(100*hy.ThetaS))
	}
}

func readHorizons(sec *section, o *Soil) {
	sec.each("horizons", func(h *section) {
		z := Horizon{
			TopM:          h.quantity("top", lengths, 0, limits{0, 10}),
			BottomM:       h.needQuantity("bottom", lengths, limits{0.01, 20}),
			Hydraulics:    h.name("hydraulics", "set of soil hydraulics", hydraulics.Names(), true),
			FieldCapacity: h.fraction("field_capacity_pct", math.NaN(), limits{1, 70}),
			WiltingPoint:  h.fraction("wilting_point_pct", math.NaN(), limits{0.1, 60}),
		}
		checkContents(h, z.Hydraulics, z.FieldCapacity, z.WiltingPoint)
		top := 0.0
		if n := len(o.Horizons); n > 0 {
			top = o.Horizons[n-1].BottomM
		}
		const slack = 0.005 // half a centimetre: depths are typed in rounded feet
		key := h.keyOf("top", lengths)
		if math.Abs(z.TopM-top) > slack {
			h.report(key, show(h.table[key]), "does not follow on; horizons go down from 0 without gap or overlap, the last ended at %s", h.amount(key, lengths, top))
		}
		if z.BottomM <= z.TopM {
			key := h.keyOf("bottom", lengths)
			h.report(key, show(h.table[key]), "is not below the top")
		}
		o.Horizons = append(o.Horizons, z)
	})
}

// namedCrop is a crop that fields can refer to.
type namedCrop struct {
	name string
	crop crop.Crop
}

func (s *Settings) readFields(root *section, crops []namedCrop) {
	known := names(crops, func(c *namedCrop) string { return c.name })
	root.each("fields", func(sec *section) {
		f := Field{Pos: sec.pos("name")}
		f.Name = uniqueName(sec, "field", s.FieldNames())
		f.Pivot = sec.name("pivot", "pivot", s.PivotNames(), false)
		f.CropName = sec.name("crop", "crop", known, true)
		if i := slices.Index(known, f.CropName); i >= 0 {
			f.Crop = crops[i].crop
		}
		f.Start = sec.needDate("start", "planting or green-up")
		f.End = sec.date("end")
		if f.End.IsValid() && f.Start.IsValid() && !f.End.After(f.Start) {
			sec.report("end", f.End.String(), "does not come after the start, %s", f.Start)
		}
		f.DryDays = sec.whole("dry_days_before_cut", DefaultDryDays, limits{0, 30})
		f.DryAfter, f.DryAfterSet = sec.whole("dry_days_after_cut", DefaultDryAfter, limits{0, 30}), sec.has("dry_days_after_cut")
		f.PlannedCuts = sec.dates("planned_cuts")
		for i, d := range f.PlannedCuts {
			if f.Start.IsValid() && !d.After(f.Start) {
				sec.report(index("planned_cuts", i), d.String(), "does not come after the start, %s", f.Start)
			} else if f.End.IsValid() && d.After(f.End) {
				sec.report(index("planned_cuts", i), d.String(), "comes after the end, %s", f.End)
			}
		}
		f.NoWater = readPeriods(sec, "no_water", s.Location)
		f.Trigger = sec.fraction("trigger_pct", math.NaN(), limits{1, 95})
		f.CurveNumber = sec.number("curve_number", math.NaN(), limits{1, 100})
		f.ValuePerM2 = sec.quantity("crop_value", perArea, 0, limits{0, 1000})
		s.checkGaugeName(sec, &f)
		s.Fields = append(s.Fields, f)
	})
	if len(s.Fields) == 0 && !root.has("fields") {
		root.report("fields", "", "is missing; describe at least one field under [[fields]]")
	}
}

// checkGaugeName refuses fields of one name with a pivot of another: a gauge there
// could be meant for either.
func (s *Settings) checkGaugeName(sec *section, f *Field) {
	for i := range s.Pivots {
		if p := &s.Pivots[i]; p.Name == f.Name && f.Pivot != p.Name {
			sec.report("name", f.Name, "is the name of a pivot that does not water this field; a gauge there could mean either")
		}
	}
}

func readPeriods(sec *section, key string, loc *time.Location) []Period {
	var out []Period
	sec.each(key, func(p *section) {
		w := Period{From: p.moment("from", loc, false), To: p.moment("to", loc, true), Why: p.text("why")}
		if !w.From.IsZero() && !w.To.IsZero() && !w.To.After(w.From) {
			p.report("to", show(p.table["to"]), "does not come after from, %s", show(p.table["from"]))
		}
		out = append(out, w)
	})
	return out
}

// FieldIndex is the place of a field by its name, or -1.
func (s *Settings) FieldIndex(name string) int {
	return slices.IndexFunc(s.Fields, func(f Field) bool { return f.Name == name })
}

// PivotIndex is the place of a pivot by its name, or -1.
func (s *Settings) PivotIndex(name string) int {
	return slices.IndexFunc(s.Pivots, func(p Pivot) bool { return p.Name == name })
}

// SoilIndex is the place of a soil by its name, or -1.
func (s *Settings) SoilIndex(name string) int {
	return slices.IndexFunc(s.Soils, func(o Soil) bool { return o.Name == name })
}

// PivotOf is the machine over a field; nil for one that only rain waters.
func (s *Settings) PivotOf(f *Field) *pivot.Machine {
	if i := s.PivotIndex(f.Pivot); i >= 0 {
		return &s.Pivots[i].Machine
	}
	return nil
}
