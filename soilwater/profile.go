package soilwater

// The description of the ground a Column is made from, and its checking.

import (
	"errors"
	"fmt"
	"math"

	"sandwick/soilwater/hydraulics"
)

// Horizon is a stretch of ground of one soil.
type Horizon struct {
	TopM, BottomM float64 // depths below ground, m
	// ThetaFC is the drained content: field capacity as the user knows it. NaN:
	// the content at which the curve conducts Profile.DrainedMMPerDay.
	ThetaFC float64
	// ThetaWP is the wilting point. NaN: the curve's content at 150 m of suction.
	ThetaWP float64
	// Hydraulics is the curve between here and the water table. nil: none is
	// known, and a water table only shortens the roots.
	Hydraulics *hydraulics.VanGenuchten
}

// Stress is a crop's answer to suction: uptake falls linearly from all at
// OnsetM to none at WiltM (m of suction).
type Stress struct{ OnsetM, WiltM float64 }

// Profile is the ground under a cell and how to treat it. The zero Profile is
// not valid; begin with DefaultProfile.
type Profile struct {
	Horizons          []Horizon // from the surface down, without gaps, to RootMaxM at least
	RootMaxM          float64   // deepest the roots of this crop ever go, m: the bottom of the column
	Layers            int       // 1 to MaxLayers, of equal thickness down to RootMaxM
	CompensationLimit float64   // the most a wet layer gives, as a multiple of its share; 1 none
	RootGapM          float64   // roots stop this far above the water table, m
	DrainedMMPerDay   float64   // K at which the ground counts as drained, for horizons without ThetaFC
	ZeM               float64   // thickness of the evaporation layer, m
	TEWMM             float64   // total evaporable water, mm; NaN: FAO-56 Eq. 73
	REWMM             float64   // readily evaporable water, mm; NaN: by FAO-56 Table 19, see defaultREW
	CurveNumber       float64   // for runoff of heavy rain; NaN: none runs off
	TableOffsetM      float64   // added to every depth of the water table, m
	// Stress, if set, takes the place of the depletion fraction p: each layer
	// gives by its suction. nil: by depletion, FAO-56 Eq. 84 in each layer.
	Stress *Stress
	// Curves, if set, are shared with the other columns made with them: a soil's
	// flux is tabulated once for all. nil: the column has its own. A column's
	// variants share them, and so do columns made from its Profile.
	Curves *hydraulics.Curves
}

// Defaults of a Profile.
const (
	DefaultLayers            = 4
	DefaultCompensationLimit = 2.0
	DefaultRootGapM          = 0.1
	DefaultZeM               = 0.1
)

// DefaultProfile is rootMaxM of one soil with every setting at its default.
func DefaultProfile(soil hydraulics.VanGenuchten, rootMaxM float64) Profile {
	nan := math.NaN()
	return Profile{
		Horizons:          []Horizon{{0, rootMaxM, nan, nan, &soil}},
		RootMaxM:          rootMaxM,
		Layers:            DefaultLayers,
		CompensationLimit: DefaultCompensationLimit,
		RootGapM:          DefaultRootGapM,
		DrainedMMPerDay:   hydraulics.DefaultDrainedMMPerDay,
		ZeM:               DefaultZeM,
		TEWMM:             nan,
		REWMM:             nan,
		CurveNumber:       nan,
	}
}

// validate says everything that is wrong with p.
func (p *Profile) validate() error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if !(p.RootMaxM >= 0.1 && p.RootMaxM <= 5) {
		bad("root depth: %g m is not possible; expected 0.1 to 5 m", p.RootMaxM)
	}
	if p.Layers < 1 || p.Layers > MaxLayers {
		bad("layers: %d is not possible; expected 1 to %d", p.Layers, MaxLayers)
	}
	if !(p.CompensationLimit >= 1 && p.CompensationLimit <= 1000) {
		bad("compensation: %g is not possible; expected 1 (none) to 1000", p.CompensationLimit)
	}
	if !(p.RootGapM >= 0 && p.RootGapM <= 1) {
		bad("gap between roots and water table: %g m is not possible; expected 0 to 1 m", p.RootGapM)
	}
	if !(p.DrainedMMPerDay > 0 && p.DrainedMMPerDay <= 100) {
		bad("drained conductivity: %g mm/day is not possible; expected more than 0 and at most 100", p.DrainedMMPerDay)
	}
	if !(p.ZeM >= 0.02 && p.ZeM <= 0.3) {
		bad("evaporation layer: %g m is not possible; expected 0.02 to 0.3 m (FAO-56: 0.10 to 0.15)", p.ZeM)
	}
	if !math.IsNaN(p.CurveNumber) && !(p.CurveNumber > 0 && p.CurveNumber <= 100) {
		bad("curve number: %g is not possible; expected more than 0 and at most 100", p.CurveNumber)
	}
	if !finite(p.TableOffsetM) {
		bad("water-table offset: %g is not a number", p.TableOffsetM)
	}
	if s := p.Stress; s != nil && !(s.OnsetM > 0 && s.WiltM > s.OnsetM && finite(s.WiltM)) {
		bad("stress: onset %g m and wilting %g m are not possible; expected 0 < onset < wilting", s.OnsetM, s.WiltM)
	}
	if len(p.Horizons) == 0 {
		bad("horizons: none given; expected at least one")
		return errors.Join(errs...)
	}
	at := 0.0
	for i, h := range p.Horizons {
		if math.Abs(h.TopM-at) > 1e-6 || !(h.BottomM > h.TopM) {
			bad("horizon %d: %g to %g m is not possible; expected to begin at %g m, where the one above ends", i+1, h.TopM, h.BottomM, at)
			break
		}
		at = h.BottomM
		if h.Hydraulics != nil {
			if err := h.Hydraulics.Validate(); err != nil {
				bad("horizon %d: %w", i+1, err)
				continue
			}
		}
		fc, wp := p.contents(h)
		switch {
		case !finite(fc) || !finite(wp):
			bad("horizon %d: field capacity and wilting point are needed where no hydraulics is named", i+1)
		case !(wp >= 0 && fc > wp && fc <= 1):
			bad("horizon %d: field capacity %.3g and wilting point %.3g are not possible; expected 0 <= wilting point < field capacity <= 1", i+1, fc, wp)
		case h.Hydraulics != nil && fc > h.Hydraulics.ThetaS:
			bad("horizon %d: field capacity %.3g is above saturation %.3g of %q", i+1, fc, h.Hydraulics.ThetaS, h.Hydraulics.Name)
		}
	}
	if at < p.RootMaxM-1e-6 {
		bad("horizons: they end at %g m; expected to reach the root depth of %g m", at, p.RootMaxM)
	}
	if len(errs) > 0 {
		return errors.Join(errs...)
	}
	tew, rew := p.evaporable()
	fc, _ := p.contents(p.Horizons[0])
	if !(tew > 0 && tew <= 1000*fc*p.ZeM+1e-9) {
		bad("total evaporable water: %g mm is not possible; expected more than 0 and at most the %.3g mm held by the evaporation layer", tew, 1000*fc*p.ZeM)
	} else if !(rew >= 0 && rew < tew) {
		bad("readily evaporable water: %g mm is not possible; expected 0 to less than the total of %.3g mm", rew, tew)
	}
	return errors.Join(errs...)
}

// contents are the drained content and the wilting point of a horizon.
func (p *Profile) contents(h Horizon) (fc, wp float64) {
	fc, wp = h.ThetaFC, h.ThetaWP
	if h.Hydraulics != nil {
		if math.IsNaN(fc) {
			fc = h.Hydraulics.Drained(p.DrainedMMPerDay)
		}
		if math.IsNaN(wp) {
			wp = h.Hydraulics.Theta(hydraulics.WiltingSuctionM)
		}
	}
	return fc, wp
}

// evaporable are TEW and REW as given, or by FAO-56.
func (p *Profile) evaporable() (tew, rew float64) {
	tew, rew = p.TEWMM, p.REWMM
	fc, wp := p.contents(p.Horizons[0])
	if math.IsNaN(tew) {
		tew = TEW(fc, wp, p.ZeM)
	}
	if math.IsNaN(rew) {
		rew = defaultREW(tew)
	}
	return tew, rew
}

// defaultREW is REW where none is given: half of TEW and at most 12 mm. The
// middles of the ranges of FAO-56 Table 19 (p. 144) run from 4.5 of 9 mm for
// sand over 8 of 17.5 for sandy loam to 10 of 25.5 for clay; the fraction is
// ours, the cap the table's.
func defaultREW(tew float64) float64 { return min(tew/2, 12) }
