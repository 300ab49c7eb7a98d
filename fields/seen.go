// What a grower saw of a zone, held against the books under other settings of
// reach and of the depth of the water table.
//
// The terms in which the books speak of what was seen are ours (assumption;
// common practice, no published source):
//
//	wilted  a quarter or more of the zone took up less than three quarters of
//	        what it wanted, in the mean of the day and the two before it. Leaves
//	        roll or hang for good when the shortage lasts; one bad day shows
//	        little and is made up overnight.
//	green   on no day from the season's start through the day was that so.
//	wet     the uppermost 15 cm held four fifths of saturation on the day or the
//	        day before: on sand that is a table about a foot down. After an inch of rain in a week ground may stand wet whatever
//	        is below it: the table has risen since it was read, and the books drain
//	        what falls within the day. Then the sighting tells nothing.
//
// Every sighting is tried against a grid: reaches of the soil, and depths of the
// zone's water table off its own. The setting proposed is the one that agrees
// with all sightings of a soil's zones and lies least far from the farm's,
// counted in plus-minuses.

package fields

import (
	"math"
	"slices"
	"sync"

	"sandwick/fields/records"
	"sandwick/soilwater"
)

// The terms of what is seen; see above.
const (
	WiltKs    = 0.75
	WiltShare = 0.25
	WiltDays  = 3
	WetM      = 0.15
	WetShare  = 0.8
	SoakMM    = 25.0 // rain in SoakDays up to the day, after which ground may stand wet anyway
	SoakDays  = 7
)

// The grid. Reaches run over all that the parameter sets of the sands have and
// somewhat beyond.
var (
	seenReachesM = [...]float64{0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1, 1.2, 1.5}
	seenOffsetsM = [...]float64{-0.6, -0.5, -0.4, -0.3, -0.2, -0.1, 0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6}
)

// sameReachM is how near the farm's own reach a value of the grid is the same.
const sameReachM = 0.02

// SeenSkip is why a sighting tells nothing about reach or water table.
type SeenSkip uint8

// The reasons.
const (
	SeenTells   SeenSkip = iota
	SeenOutside          // before the books begin, or after their last day
	SeenSoaked           // wet after heavy rain
)

// Sighting is one thing seen, and what the books say of it.
type Sighting struct {
	records.Seen
	ZoneIndex int
	Skip      SeenSkip
	AsSet     bool    // the books agree with it as the farm is set
	Share     float64 // of the zone that wilts by the books as set (WiltKs, WiltDays): on that day, for green the most of any day until then; for wet, content of the uppermost WetM as a fraction of saturation
	Agree     int     // combinations of the zone's grid that agree
}

// SeenZone is a zone that was seen, and the grid it was tried on.
type SeenZone struct {
	Zone      int
	Sightings []Sighting
	// ReachesM and OffsetsM are the grid; both hold one value where no water table
	// can reach the zone and there is nothing to try. Agree[r][o] is whether all
	// sightings that tell anything agree.
	ReachesM, OffsetsM []float64
	Agree              [][]bool
}

// Proposal is what a soil's sightings ask for.
type Proposal struct {
	Soil                 int
	Zones                []int     // into Calibration.Zones
	Tells                int       // sightings that tell anything
	Possible             bool      // some combination agrees with all of them
	AsSet                bool      // and the farm's own does
	ReachM, WasM         float64   // proposed, and as set
	OffsetsM             []float64 // by Zones: to be added to the depth of the map; only where Possible
	LeastM, MostM        float64   // of the reaches on the grid that agree at some offset of every zone
	DepthFromM, DepthToM []float64 // by Zones: offsets that agree at some reach
}

// Calibration is what was seen against what the books make of it.
type Calibration struct {
	Zones     []SeenZone
	Proposals []Proposal // by soil
}

// Calibrate tries every sighting known by s.Today. It changes nothing.
func (s *Season) Calibrate() Calibration {
	f := s.Farm
	var c Calibration
	for z := range f.Zones {
		sz := SeenZone{Zone: z}
		for _, seen := range f.Records.Seen {
			if seen.Zone == f.Zones[z].Name && !seen.Date.After(s.Today) {
				sz.Sightings = append(sz.Sightings, Sighting{Seen: seen, ZoneIndex: z})
			}
		}
		if len(sz.Sightings) > 0 {
			c.Zones = append(c.Zones, sz)
		}
	}
	var wg sync.WaitGroup
	for i := range c.Zones {
		wg.Go(func() { s.tryZone(&c.Zones[i]) })
	}
	wg.Wait()
	for soil := range f.Soils {
		p := Proposal{Soil: soil}
		for i := range c.Zones {
			if f.ZoneSoil(c.Zones[i].Zone) == soil && len(c.Zones[i].OffsetsM) > 1 {
				p.Zones = append(p.Zones, i)
			}
		}
		if len(p.Zones) > 0 {
			s.propose(&c, &p)
			c.Proposals = append(c.Proposals, p)
		}
	}
	return c
}

// tryZone runs a zone over its grid.
func (s *Season) tryZone(z *SeenZone) {
	f := s.Farm
	w := s.walk
	column := f.Column(z.Zone)
	reach := math.NaN()
	z.ReachesM, z.OffsetsM = []float64{reach}, []float64{0}
	if !math.IsInf(f.Zones[z.Zone].TableM, 1) {
		reach = f.reachM(z.Zone)
		z.ReachesM = []float64{reach}
		for _, r := range seenReachesM {
			if math.Abs(r-reach) >= sameReachM {
				z.ReachesM = append(z.ReachesM, r)
			}
		}
		slices.Sort(z.ReachesM)
		z.OffsetsM = slices.Clone(seenOffsetsM[:])
	}
	for i := range z.Sightings {
		z.Sightings[i].Skip = s.tells(&z.Sightings[i])
	}
	hist := w.histories(z.Zone)
	for _, r := range z.ReachesM {
		c := column
		if len(z.ReachesM) > 1 && r != reach {
			c = s.reaches.of(column, r)
		}
		row := make([]bool, len(z.OffsetsM))
		for o, offset := range z.OffsetsM {
			t := s.trace(z.Zone, hist, c, offset)
			row[o] = true
			for i := range z.Sightings {
				g := &z.Sightings[i]
				if g.Skip != SeenTells {
					continue
				}
				agrees, share := t.agrees(s, g)
				if agrees {
					g.Agree++
				} else {
					row[o] = false
				}
				if c == column && offset == 0 {
					g.AsSet, g.Share = agrees, share
				}
			}
		}
		z.Agree = append(z.Agree, row)
	}
}

// tells finds sightings that say nothing.
func (s *Season) tells(g *Sighting) SeenSkip {
	day := g.Date.DaysSince(s.From)
	if day < 0 || s.days == 0 {
		return SeenOutside
	}
	if g.What == "wet" {
		rain := 0.0
		for d := max(0, day-SoakDays+1); d <= min(day, s.days-1); d++ {
			rain += s.walk.rainOn(d, s.Farm.ZoneField(g.ZoneIndex))
		}
		if rain >= SoakMM {
			return SeenSoaked
		}
	}
	return SeenTells
}

// trace is what a grower would have seen of a zone under one setting.
type trace struct {
	wilted []float64 // by day: share of the zone that shows it
	wet    []float64 // by day: the most that any of it held in the uppermost WetM, of saturation
}

func (s *Season) trace(zone int, hist []history, c *soilwater.Column, offset float64) trace {
	w := s.walk
	v := variant{column: c, table: make([]float64, s.days)}
	for d := range v.table {
		v.table[d] = max(0, w.table[zone][d].DepthM+offset)
	}
	v.today = max(0, s.Table(zone, s.Today).DepthM+offset)
	area := 0.0
	for i := range hist {
		area += hist[i].areaM2
	}
	saturated := math.NaN()
	if curve, err := s.Farm.meanCurve(zone, 0, WetM); err == nil {
		saturated = curve(0)
	}
	t := trace{make([]float64, s.days), make([]float64, s.days)}
	recent := make([][WiltDays]float64, len(hist)) // a ring of what was missing
	p := c.Profile()
	thick := p.RootMaxM / float64(p.Layers)
	w.follow(zone, hist, &v, func(day, i int, out *soilwater.Fluxes, st *soilwater.State) {
		recent[i][day%WiltDays] = 1 - out.Ks
		missing := 0.0
		for _, m := range recent[i] {
			missing += m
		}
		if day >= WiltDays-1 && missing/WiltDays > 1-WiltKs {
			t.wilted[day] += hist[i].areaM2 / area
		}
		held, left := 0.0, WetM
		for l := 0; l < p.Layers && left > 0; l++ {
			part := min(left, thick)
			held += st.Layer[l] * part / thick
			left -= part
		}
		t.wet[day] = max(t.wet[day], held/(1000*(WetM-max(left, 0))*saturated))
	})
	return t
}

// agrees tells whether a trace shows what was seen, and how much of it.
func (t *trace) agrees(s *Season, g *Sighting) (bool, float64) {
	day := min(g.Date.DaysSince(s.From), s.days-1)
	switch g.What {
	case "wilted":
		return t.wilted[day] >= WiltShare, t.wilted[day]
	case "green":
		most := slices.Max(t.wilted[:day+1])
		return most < WiltShare, most
	default:
		most := slices.Max(t.wet[max(0, day-1) : day+1])
		return most >= WetShare, most
	}
}

// propose finds the setting of one soil that agrees with what was seen.
func (s *Season) propose(c *Calibration, p *Proposal) {
	f := s.Farm
	n := len(p.Zones)
	zones := make([]*SeenZone, n)
	doubts := make([]Uncertainty, n)
	for k, i := range p.Zones {
		zones[k] = &c.Zones[i]
		doubts[k] = s.Uncertainty(zones[k].Zone)
		for _, g := range zones[k].Sightings {
			if g.Skip == SeenTells {
				p.Tells++
			}
		}
	}
	p.WasM = doubts[0].ReachM
	p.ReachM, p.LeastM, p.MostM = p.WasM, math.Inf(1), 0
	p.DepthFromM, p.DepthToM = make([]float64, n), make([]float64, n)
	for k := range n {
		p.DepthFromM[k], p.DepthToM[k] = math.Inf(1), math.Inf(-1)
	}
	const least = 0.01 // m: a plus-minus of nothing still can be moved, at a price
	reachDoubt := max(f.Soils[p.Soil].ReachDoubt(p.WasM), least)
	best := math.Inf(1)
	for r, reach := range zones[0].ReachesM {
		far := (reach - p.WasM) / reachDoubt
		cost := far * far
		offsets := make([]float64, n)
		for k, z := range zones {
			nearest := math.Inf(1)
			for o, ok := range z.Agree[r] {
				if ok && math.Abs(z.OffsetsM[o]) < math.Abs(nearest) {
					nearest = z.OffsetsM[o]
				}
			}
			offsets[k] = nearest
			far := nearest / max(doubts[k].TablePlusMinusM, least)
			cost += far * far
		}
		if math.IsInf(cost, 1) {
			continue
		}
		p.Possible = true
		p.LeastM, p.MostM = min(p.LeastM, reach), max(p.MostM, reach)
		for k, z := range zones {
			for o, ok := range z.Agree[r] {
				if ok {
					p.DepthFromM[k] = min(p.DepthFromM[k], z.OffsetsM[o])
					p.DepthToM[k] = max(p.DepthToM[k], z.OffsetsM[o])
				}
			}
		}
		if cost < best {
			best, p.ReachM, p.OffsetsM = cost, reach, offsets
		}
	}
	p.AsSet = best == 0 // the farm's own reach and depths lie on the grid
}

// SeenDays is for how many days what was seen speaks of the ground as it stands:
// about as long as sand takes to dry out.
const SeenDays = 7

// Contradiction is what was seen of a zone of late against what the books have.
type Contradiction struct {
	records.Seen
	Zone  int
	Share float64 // as in [Sighting]
}

// Contradicted lists, zone by zone, the latest sighting of the last SeenDays
// where the books, as the farm is set, do not agree with it.
func (s *Season) Contradicted() []Contradiction {
	f := s.Farm
	var out []Contradiction
	for z := range f.Zones {
		var last *records.Seen
		for i := range f.Records.Seen {
			if seen := &f.Records.Seen[i]; seen.Zone == f.Zones[z].Name && !seen.Date.After(s.Today) && s.Today.DaysSince(seen.Date) <= SeenDays && (last == nil || !seen.Date.Before(last.Date)) {
				last = seen
			}
		}
		if last == nil {
			continue
		}
		g := Sighting{Seen: *last, ZoneIndex: z}
		if s.tells(&g) != SeenTells {
			continue
		}
		t := s.trace(z, s.walk.histories(z), f.Column(z), 0)
		if agrees, share := t.agrees(s, &g); !agrees {
			out = append(out, Contradiction{*last, z, share})
		}
	}
	return out
}
