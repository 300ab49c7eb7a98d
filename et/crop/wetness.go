// How the ground was wetted, day by day, and the Kc ini and the Kc of bare
// ground that follow from it.

package crop

import (
	"math"

	"github.com/golang-sql/civil"
)

// Wetness is what is known of the wetting of a field's ground, for the single
// crop coefficient of a [Season]. The zero Wetness knows nothing.
type Wetness struct {
	From    civil.Date
	WaterMM []float64 // rain and irrigation reaching the ground on each day from From; NaN not known
	EToMM   []float64 // reference ET of the same days
	Texture Texture
}

const (
	// wetnessDays is how many days must be known for a wetting interval to say
	// anything. Ten days, as for the climate of a stage.
	wetnessDays = 10
	// wettingMM is the least that counts as a wetting: FAO-56 p. 116 counts what is
	// "greater than a few millimetres", p. 149 names 3 to 4 mm (from memory).
	wettingMM = 3.0
)

// over is how the ground was wetted on the days [from, to]. Of these the known
// days count; where fewer than ten are known, the known days just before make up
// ten. Wettings on adjacent days are one (FAO-56 p. 116, from memory). Without
// any wetting the depth is 0, that of Figure 29. ok is false where there are not
// ten days.
func (w *Wetness) over(from, to civil.Date) (out Wetting, ok bool) {
	a := min(max(from.DaysSince(w.From), 0), len(w.WaterMM))
	b := min(max(to.DaysSince(w.From)+1, a), len(w.WaterMM))
	days, events, water, eto := 0, 0, 0.0, 0.0
	wet := false // the day after the one looked at
	for i := b - 1; i >= 0 && (i >= a || days < wetnessDays); i-- {
		if math.IsNaN(w.WaterMM[i] + w.EToMM[i]) {
			wet = false
			continue
		}
		days++
		eto += w.EToMM[i]
		today := w.WaterMM[i] >= wettingMM
		if today {
			water += w.WaterMM[i]
			if !wet {
				events++
			}
		}
		wet = today
	}
	if days < wetnessDays || !(eto > 0) {
		return Wetting{}, false
	}
	out = Wetting{IntervalDays: WettingInterval(float64(days), float64(events)), EToMM: eto / float64(days), Texture: w.Texture}
	if events > 0 {
		out.DepthMM = water / float64(events)
	}
	return out, true
}

// kcIni is Kc ini of a stage on the days [from, to], and whether it is the fixed
// one because nothing is known of the wetting. A crop that covers some ground
// takes no less than its basal coefficient: our rule, for Annex 7 is about bare
// ground.
func (s *Season) kcIni(from, to civil.Date) (kc float64, fixed bool) {
	if s.Wetness == nil || s.Crop.KcIniSet {
		return s.Crop.KcIni, false
	}
	if w, ok := s.Wetness.over(from, to); ok {
		return max(w.KcIni(), s.Crop.KcbIni), false
	}
	return s.Crop.KcIni, true
}

// kcBare is the same of bare ground.
func (s *Season) kcBare(from, to civil.Date) (kc float64, fixed bool) {
	if s.Wetness == nil || s.Crop.KcBareSet {
		return s.Crop.KcBare, false
	}
	if w, ok := s.Wetness.over(from, to); ok {
		return w.KcIni(), false
	}
	return s.Crop.KcBare, true
}
