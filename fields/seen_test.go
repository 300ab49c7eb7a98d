// What a grower saw, held against farms whose true setting is known.

package fields

import (
	"math"
	"strings"
	"testing"
)

// seenFarm is lowFarm with a reach, a table under its west, and what was seen.
func seenFarm(t *testing.T, reach, table, seen string) *Season {
	t.Helper()
	const soil = `hydraulics = "field sand"`
	f := lowFarm(t, "farm.toml", soil, soil+"\nreach_m = "+reach,
		"zones.geojson", west, `"water_table_m": `+table+`, "water_table_date": "2025-06-01"`,
		"records/seen.csv", "", "date,zone,seen,note\n"+seen)
	return mustWalk(t, f, date(t, "2025-06-25"), WalkOptions{})
}

// The grid has a table 0.6 m higher to 0.6 m deeper; the crop's roots go down to
// a metre. With the table at 1.5 m and a reach of 1.2 m the roots drink all
// they want; with a reach of 0.2 m the ground wilts in a drought of seven weeks.
func TestCalibrateTowardsTheTruth(t *testing.T) {
	for _, c := range []struct {
		name, reach, seen string
		asSet             bool
		least, most       float64 // bounds of the reach proposed; where it is not moved the table is
	}{
		{"green, and set too short", "0.2", "2025-06-20,West,green,\n", false, 0.25, 1.5},
		{"green, and set so", "1.2", "2025-06-20,West,green,\n", true, 1.2, 1.2},
		{"wilted, and set too long", "1.2", "2025-06-20,West,wilted,\n", false, 0.15, 1.2},
		{"wilted, and set so", "0.2", "2025-06-20,West,wilted,\n", true, 0.2, 0.2},
	} {
		s := seenFarm(t, c.reach, "1.5", c.seen)
		cal := s.Calibrate()
		if len(cal.Zones) != 1 || len(cal.Proposals) != 1 {
			t.Fatalf("%s: %+v", c.name, cal)
		}
		p, g := cal.Proposals[0], cal.Zones[0].Sightings[0]
		if p.AsSet != c.asSet || g.AsSet != c.asSet || !p.Possible || p.Tells != 1 {
			t.Errorf("%s: %+v, %+v", c.name, p, g)
			continue
		}
		if c.asSet {
			if p.ReachM != p.WasM || p.OffsetsM[0] != 0 {
				t.Errorf("%s: proposes %g m and %g m for what agrees", c.name, p.ReachM, p.OffsetsM[0])
			}
			continue
		}
		if !(p.ReachM >= c.least && p.ReachM <= c.most) || p.ReachM == p.WasM && p.OffsetsM[0] == 0 {
			t.Errorf("%s: proposes %g m, %+v", c.name, p.ReachM, p)
		}
		// What is proposed, once it is typed in, agrees.
		set := s.Farm
		set.Soils[0].ReachM = p.ReachM
		if problems := set.layColumns(); len(problems) > 0 {
			t.Fatal(problems)
		}
		set.Zones[1].TableM += p.OffsetsM[0]
		again := mustWalk(t, set, s.Today, WalkOptions{}).Calibrate()
		if !again.Proposals[0].AsSet {
			t.Errorf("%s: %g m and %+g m typed in, and %+v", c.name, p.ReachM, p.OffsetsM[0], again.Proposals[0])
		}
	}
}

// A longer reach and a higher table never make ground wilt that stayed green
// with less, where the table is below the roots at any end.
func TestCalibrateMonotone(t *testing.T) {
	z := seenFarm(t, "0.8", "2.2", "2025-06-20,West,green,\n").Calibrate().Zones[0]
	agree := 0
	for r := range z.Agree {
		for o := range z.Agree[r] {
			if !z.Agree[r][o] {
				continue
			}
			agree++
			if r+1 < len(z.Agree) && !z.Agree[r+1][o] || o > 0 && !z.Agree[r][o-1] {
				t.Errorf("green with a reach of %g m and %+g m, not with more", z.ReachesM[r], z.OffsetsM[o])
			}
		}
	}
	if all := len(z.ReachesM) * len(z.OffsetsM); agree == 0 || agree == all || z.Sightings[0].Agree != agree {
		t.Errorf("%d of %d combinations agree, the sighting says %d", agree, all, z.Sightings[0].Agree)
	}
}

// What tells nothing is said to, and what contradicts itself has no proposal.
func TestSightingsThatTellNothing(t *testing.T) {
	s := seenFarm(t, "0.8", "1.5", strings.Join([]string{
		"2025-05-01,West,green,before the books",
		"2025-06-10,East,wilted,no table",
		"2025-06-19,West,green,",
		"2025-06-20,West,wilted,after a day",
		"2025-07-01,West,wilted,not known yet", ""}, "\n"))
	c := s.Calibrate()
	if len(c.Zones) != 2 || len(c.Zones[0].Sightings) != 1 || len(c.Zones[1].Sightings) != 3 {
		t.Fatalf("%+v", c.Zones)
	}
	east, west := c.Zones[0], c.Zones[1]
	if g := east.Sightings[0]; !g.AsSet || g.Share != 1 || len(east.ReachesM) != 1 || len(east.OffsetsM) != 1 {
		t.Errorf("high sand after five rainless weeks: %+v", east)
	}
	if west.Sightings[0].Skip != SeenOutside || west.Sightings[1].Skip != SeenTells {
		t.Errorf("%+v", west.Sightings)
	}
	// Green through one day and three days' mean under the bound on the next is
	// possible at an edge, but far from it one of them must be wrong.
	if p := c.Proposals[0]; p.Tells != 2 || len(p.Zones) != 1 {
		t.Errorf("%+v", p)
	}
	contradicting := seenFarm(t, "0.8", "1.5", "2025-06-05,West,wilted,\n2025-06-20,West,green,\n").Calibrate().Proposals[0]
	if contradicting.Possible || contradicting.AsSet {
		t.Errorf("wilted, and then green all along: %+v", contradicting)
	}
}

// Wet ground has its table near; after heavy rain it tells nothing.
func TestSeenWet(t *testing.T) {
	c := seenFarm(t, "0.8", "0.3", "2025-06-20,West,wet,\n").Calibrate()
	if g := c.Zones[0].Sightings[0]; !g.AsSet || !(g.Share > WetShare && g.Share <= 1+1e-9) {
		t.Errorf("table at 0.3 m: %+v", g)
	}
	c = seenFarm(t, "0.8", "0.8", "2025-06-20,West,wet,\n").Calibrate()
	p := c.Proposals[0]
	if g := c.Zones[0].Sightings[0]; g.AsSet || !p.Possible || !(p.OffsetsM[0] < 0) {
		t.Errorf("table at 0.8 m: %+v, %+v", g, p)
	}
	s := seenFarm(t, "0.8", "1.0", "2025-06-20,West,wet,\n")
	for i := range s.walk.rain {
		s.walk.rain[i] = SoakMM / SoakDays
	}
	if g := s.Calibrate().Zones[0].Sightings[0]; g.Skip != SeenSoaked {
		t.Errorf("after an inch of rain: %+v", g)
	}
}

// What soils hold: by arithmetic where it is that, and by an integral of the
// curve in even steps where it is not (van Genuchten 1980, written out here).
func TestSoilFacts(t *testing.T) {
	f := lowFarm(t)
	facts, err := f.SoilFacts([]float64{0.8, 1.5}, []float64{0.5, 1})
	if err != nil {
		t.Fatal(err)
	}
	o := facts[0]
	h := o.Horizons[0]
	if o.ReachSet || len(facts) != 1 || len(o.Horizons) != 1 || h.Set != "field sand" || h.Verified != "computed" || !math.IsInf(h.BottomM, 1) {
		t.Fatalf("%+v", o)
	}
	within(t, "reach of field sand, by quadrature of its parameters outside the program", o.ReachM, 0.89, 0.005)
	within(t, "about an inch a foot", h.AvailableMMPerM, 1000.0/12, 3)
	r := o.Roots[0]
	if len(o.Roots) != 1 || r.RootM != 1 || r.Crops[0] != "sward" || len(r.Over) != 3 {
		t.Fatalf("%+v", r)
	}
	within(t, "drained", r.Over[0].FullMM, 1000*h.Drained, 1e-9)
	within(t, "of it available", r.Over[0].AvailableMM, 1000*(h.Drained-h.Wilting), 1e-9)
	for i, table := range []float64{0.8, 1.5} {
		sum := 0.0
		const n = 10000
		for k := range n {
			height := table - (float64(k)+0.5)/n
			theta := 0.40
			if height > 0 {
				theta = 0.03 + 0.37*math.Pow(1+math.Pow(3.5*height, 2.2), -(1-1/2.2))
			}
			sum += math.Max(theta, h.Drained) * 1000 / n
		}
		within(t, "full over a table", r.Over[i+1].FullMM, sum, 0.05)
	}
	if !math.IsInf(r.Over[1].FluxMM, 1) || !(r.Over[2].FluxMM > 10) || r.Over[0].FluxMM != 0 {
		t.Errorf("flux to the foot of the roots: %+v", r.Over)
	}
	// On sand 10 cm more distance multiplies the flux by 0.08 to 0.70: sands by
	// quadrature of their parameters outside the program.
	if q := o.Flux[1].MMPerDay / o.Flux[0].MMPerDay; !(q > math.Pow(0.08, 5) && q < math.Pow(0.7, 5)) {
		t.Errorf("half a metre more leaves %g of the flux", q)
	}
}

// The latest sighting of the last days counts where the books do not have it.
func TestContradicted(t *testing.T) {
	for _, c := range []struct {
		name, reach, seen string
		want              string // what and when; none: agrees
	}{
		{"wilted, the books have it fed", "1.2", "2025-06-24,West,wilted,\n", "wilted 2025-06-24"},
		{"wilted, and so it does", "0.2", "2025-06-24,West,wilted,\n", ""},
		{"green, and wilted in the books", "0.2", "2025-06-18,West,green,\n", "green 2025-06-18"},
		{"too long ago", "1.2", "2025-06-17,West,wilted,\n", ""},
		{"seen since", "1.2", "2025-06-20,West,wilted,\n2025-06-22,West,green,\n", ""},
		{"not yet", "1.2", "2025-06-26,West,wilted,\n", ""},
		{"wet, and dry in the books", "1.2", "2025-06-25,West,wet,\n", "wet 2025-06-25"},
	} {
		got := ""
		for _, x := range seenFarm(t, c.reach, "1.5", c.seen).Contradicted() {
			got += x.What + " " + x.Date.String()
			if x.Zone != 1 {
				t.Errorf("%s: zone %d", c.name, x.Zone)
			}
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
