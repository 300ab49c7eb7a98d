// Probe readings held against the books and, where a zone asks for it, merged
// into them.
//
// A reading is of a depth range, and is compared over that range with the
// layers of the column, not with the root zone, which may end above or below it.
// It counts for the morning of its day: it is held against the books at the end
// of the day before. A zone's probe stands somewhere in it, nobody knows under
// which slice, so it is held against the mean of the zone.
//
// Merging is a scalar Kalman update (Kalman 1960, Trans. ASME J. Basic Eng.
// 82:35-45; Maybeck 1979, Stochastic Models, Estimation and Control, vol. 1,
// section 1.5; both from memory) of the mean water content x over the range,
// with P the variance of the books, R that of a reading z and Q what P gains
// in a day:
//
//	P <- min(P + Q, Pmax) each day;  K = P/(P+R);  x <- x + K(z-x);  P <- (1-K)P
//
// The correction goes into the layers of the range, as much for every cell, and
// enters the balance of the day as a term of its own.

package fields

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"sandwick/fields/records"
	"sandwick/soilwater"
)

// ProbeKind is what a probe tells.
type ProbeKind uint8

// The kinds, with the unit of a ProbeCheck's Read and Model.
const (
	ProbeWater     ProbeKind = iota // volumetric content, m³/m³
	ProbeAvailable                  // fraction of what the ground holds between wilting point and drained content
	ProbeSuction                    // kPa
)

// String is the kind's name as it stands in JSON.
func (k ProbeKind) String() string { return [...]string{"water", "available", "suction"}[k] }

// ProbeSkip is why a reading is not compared.
type ProbeSkip uint8

// The reasons.
const (
	ProbeCompared ProbeSkip = iota
	ProbeTooEarly           // before the books begin
	ProbeTooDeep            // most of it lies below the ground that the books hold
	ProbeNoCurve            // a suction, and the curve does not hold such
)

// ProbeCheck is one reading beside the books.
type ProbeCheck struct {
	records.Probe
	ZoneIndex              int
	Kind                   ProbeKind
	Skip                   ProbeSkip // what follows is NaN unless ProbeCompared
	FromM, ToM             float64   // the part of the range that is compared
	Read, Model            float64   // in the unit of Kind
	ReadContent            float64   // the same as volumetric content, m³/m³
	ModelContent           float64
	Merged                 bool    // it corrects the books
	Gain, CorrectMM, Sigma float64 // K; what was entered, mean over the zone, mm; √P before
}

// ProbeSum is how the books stand to the readings of one zone and kind.
type ProbeSum struct {
	Zone                     int
	Kind                     ProbeKind
	N                        int
	Bias, RMSE               float64 // books less reading, in the unit of Kind
	ContentBias, ContentRMSE float64 // the same as volumetric content, m³/m³
}

// Probes lists the readings known by s.Today beside the books, by zone and day.
func (s *Season) Probes() []ProbeCheck {
	var out []ProbeCheck
	for z := range s.probes {
		out = append(out, s.probes[z]...)
	}
	return out
}

// SumProbes sums checks by zone and kind.
func SumProbes(checks []ProbeCheck) []ProbeSum {
	var out []ProbeSum
	for i := 0; i < len(checks); {
		zone := checks[i].ZoneIndex
		var own, content [3][]float64
		for ; i < len(checks) && checks[i].ZoneIndex == zone; i++ {
			if c := &checks[i]; c.Skip == ProbeCompared {
				own[c.Kind] = append(own[c.Kind], c.Model-c.Read)
				content[c.Kind] = append(content[c.Kind], c.ModelContent-c.ReadContent)
			}
		}
		for k := range own {
			if n := len(own[k]); n > 0 {
				out = append(out, ProbeSum{
					Zone: zone, Kind: ProbeKind(k), N: n,
					Bias: stat.Mean(own[k], nil), RMSE: math.Sqrt(stat.MomentAbout(2, own[k], 0, nil)),
					ContentBias: stat.Mean(content[k], nil), ContentRMSE: math.Sqrt(stat.MomentAbout(2, content[k], 0, nil)),
				})
			}
		}
	}
	return out
}

// prober deals with the readings of one zone while its ground is walked.
type prober struct {
	season   *Season
	zone     int
	column   *soilwater.Column
	readings []records.Probe // in order of date
	next     int
	variance float64 // P
	merge    bool
	areas    []float64 // of the zone's cells, m²
	checks   []ProbeCheck
}

func (s *Season) newProber(zone int, column *soilwater.Column) *prober {
	f := s.Farm
	p := &prober{season: s, zone: zone, column: column, merge: f.Zones[zone].MergeProbes}
	e := f.Settings.Probes.ModelError
	p.variance = e * e
	for _, r := range f.Records.Probes {
		if r.Zone == f.Zones[zone].Name && !r.Date.After(s.Today) {
			p.readings = append(p.readings, r)
		}
	}
	return p
}

// day deals with the readings of one day in its morning. weights are the areas
// of states, table the depth of the water table. It returns what was entered
// into each state, mm; nil for nothing.
func (p *prober) day(day int, states []soilwater.State, weights []float64, tableM float64) []float64 {
	e := p.season.Farm.Settings.Probes
	p.variance = min(p.variance+e.ModelDrift*e.ModelDrift, e.ModelError*e.ModelError)
	var entered []float64
	for ; p.next < len(p.readings); p.next++ {
		r := &p.readings[p.next]
		on := r.Date.DaysSince(p.season.From)
		if on > day {
			break
		}
		c := p.check(r, states, weights, tableM)
		if on < day {
			c.Skip = ProbeTooEarly
		}
		if p.merge && c.Skip == ProbeCompared {
			if entered == nil {
				entered = make([]float64, len(states))
			}
			p.update(&c, states, weights, entered)
		}
		if c.Skip != ProbeCompared {
			c.Read, c.Model, c.ReadContent, c.ModelContent = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		}
		p.checks = append(p.checks, c)
	}
	return entered
}

// held is what a column holds between two depths, mm.
type held struct {
	water, drained, wilt float64
	thickM               float64
}

func (p *prober) held(s *soilwater.State, tableM, topM, bottomM float64) held {
	var h held
	for _, l := range p.column.Layers(s, tableM) {
		part := (min(l.BottomM, bottomM) - max(l.TopM, topM)) / (l.BottomM - l.TopM)
		if part <= 0 {
			continue
		}
		h.water += l.WaterMM * part
		h.drained += l.DrainedMM * part
		h.wilt += l.WiltMM * part
		h.thickM += part * (l.BottomM - l.TopM)
	}
	return h
}

// check holds a reading against the mean of the states.
func (p *prober) check(r *records.Probe, states []soilwater.State, weights []float64, tableM float64) ProbeCheck {
	c := ProbeCheck{Probe: *r, ZoneIndex: p.zone, Gain: math.NaN(), Sigma: math.NaN()}
	var sum held
	area := 0.0
	for i := range states {
		h := p.held(&states[i], tableM, r.TopM, r.BottomM)
		sum.water += weights[i] * h.water
		sum.drained, sum.wilt, sum.thickM = h.drained, h.wilt, h.thickM
		area += weights[i]
	}
	c.FromM, c.ToM = r.TopM, r.TopM+sum.thickM
	mm := 1000 * sum.thickM
	drained, wilt := sum.drained/mm, sum.wilt/mm
	c.ModelContent = sum.water / area / mm
	if sum.thickM < (r.BottomM-r.TopM)/2 {
		c.Skip = ProbeTooDeep
	}
	switch {
	case !math.IsNaN(r.WaterFrac):
		c.Kind, c.Read, c.ReadContent = ProbeWater, r.WaterFrac, r.WaterFrac
		c.Model = c.ModelContent
	case !math.IsNaN(r.AvailableFrac):
		c.Kind, c.Read = ProbeAvailable, r.AvailableFrac
		c.ReadContent = wilt + r.AvailableFrac*(drained-wilt)
		c.Model = (c.ModelContent - wilt) / (drained - wilt)
	default:
		c.Kind, c.Read = ProbeSuction, r.SuctionKPa
		curve, err := p.season.Farm.meanCurve(p.zone, c.FromM, c.ToM)
		if err != nil {
			c.Skip = ProbeNoCurve
			return c
		}
		c.ReadContent = curve(r.SuctionKPa / kPaPerM)
		c.Model = kPaPerM * suctionAt(curve, c.ModelContent)
		if math.IsNaN(c.Model) && c.Skip == ProbeCompared {
			c.Skip = ProbeNoCurve
		}
	}
	return c
}

// kPaPerM is the pressure of a metre of water: 1000 kg/m³ × 9.80665 m/s².
const kPaPerM = 9.80665

// update merges one reading and adds what was entered to each state.
func (p *prober) update(c *ProbeCheck, states []soilwater.State, weights []float64, entered []float64) {
	r := p.season.Farm.Settings.Probes.Error
	c.Merged, c.Sigma = true, math.Sqrt(p.variance)
	c.Gain = p.variance / (p.variance + r*r)             // Kalman 1960
	p.variance *= 1 - c.Gain                             // Kalman 1960
	content := c.Gain * (c.ReadContent - c.ModelContent) // of every layer in the range
	area := 0.0
	for i := range states {
		mm := p.column.Correct(&states[i], c.FromM, c.ToM, content)
		entered[i] += mm
		c.CorrectMM += weights[i] * mm
		area += weights[i]
	}
	c.CorrectMM /= area
}

// meanCurve is the water content (m³/m³) against suction (m) of a zone's
// ground, the mean over a depth range.
func (f *Farm) meanCurve(zone int, topM, bottomM float64) (func(suctionM float64) float64, error) {
	g := &f.ground.zones[zone]
	horizons, err := f.horizons(g.soil, max(bottomM, f.Fields[g.field].Crop.RootMaxM))
	if err != nil {
		return nil, err
	}
	return func(suction float64) float64 {
		sum, thick := 0.0, 0.0
		for _, h := range horizons {
			if t := min(h.BottomM, bottomM) - max(h.TopM, topM); t > 0 {
				sum += t * h.Hydraulics.Theta(suction)
				thick += t
			}
		}
		return sum / thick
	}, nil
}

// suctionAt is the suction, m, at which ground holds a content: 0 for all that
// is wetter than saturated, NaN below what the curve holds at oven dryness.
func suctionAt(curve func(float64) float64, content float64) float64 {
	lo, hi := math.Log(1e-4), math.Log(1e5) // 1e5 m: about a million kPa, oven dry
	switch {
	case content >= curve(math.Exp(lo)):
		return 0
	case !(content > curve(math.Exp(hi))):
		return math.NaN()
	}
	for range 60 {
		if m := (lo + hi) / 2; curve(math.Exp(m)) > content {
			lo = m
		} else {
			hi = m
		}
	}
	return math.Exp((lo + hi) / 2)
}
