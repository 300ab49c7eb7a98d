// The ends of what is not known: which there are, how wide, and that following
// ground by the water it got is the walk itself.

package fields

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/pivot/runplan"
	"sandwick/soilwater"
	"sandwick/soilwater/hydraulics"
)

// lowFarm is the small farm in a drought of 60 days from 2 May 2025 on, its
// east without a water table and its west over one; nothing is run.
func lowFarm(t testing.TB, changes ...string) *Farm {
	t.Helper()
	var weather strings.Builder
	weather.WriteString("date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n")
	for i := range 60 {
		fmt.Fprintf(&weather, "%s,28,14,85,40,2,24,0\n", date(t, "2025-05-02").AddDays(i))
	}
	all := []string{
		"farm.toml", "start = 2025-06-01", "start = 2025-05-02",
		"farm.toml", "initial_depletion_pct = 10", "initial_depletion_pct = 0",
		"farm.toml", "layers = 1", "layers = 4",
		"farm.toml", "kc_ini = 0.4\nkc_mid = 0.4\nkc_end = 0.4\n", "kc_ini = 1\nkc_mid = 1\nkc_end = 1\n",
		"farm.toml", "field_capacity_pct = 12\nwilting_point_pct = 4\n", "",
		"farm.toml", "planned_cuts = [2025-06-20]\n", "",
		"zones.geojson", `, "pipe": "P1"`, "",
		"weather.csv", "", weather.String(), "records/passes.csv", "", "<none>",
		"records/rain.csv", "", "<none>", "records/water_table.csv", "", "<none>", "records/probes.csv", "", "<none>",
		"records/seen.csv", "", "<none>", "records/meters.csv", "", "<none>", "forecast.csv", "", "<none>",
	}
	return mustLoad(t, smallFarm(t, append(all, changes...)...))
}

const west = `"water_table_m": 1.5, "water_table_date": "2025-06-01"`

// Following the zones by their histories of water gives the walk's own states:
// the demo with all its passes, and a zone that merges probes.
func TestFollowIsTheWalk(t *testing.T) {
	f, problems := Load(demo)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for z := range f.Zones {
		f.Zones[z].MergeProbes = f.Zones[z].Name == "Heron flat"
	}
	s := mustWalk(t, f, f.Today, WalkOptions{})
	for z := range f.Zones {
		hist := s.walk.histories(z)
		v := variant{f.Column(z), f.shifted(z, 0, s.walk.table[z]), s.Table(z, s.Today).DepthM}
		states := s.walk.follow(z, hist, &v, nil)
		from, to := f.ZoneCells(z)
		cells := 0
		for h := range hist {
			for _, c := range hist[h].cells {
				cells++
				if !sameState(&s.States[c], &states[h], f.Zones[z].MergeProbes) {
					t.Fatalf("%s: followed %+v, walked %+v", f.CellName(c), states[h], s.States[c])
				}
			}
		}
		if cells != to-from || len(hist) > cells {
			t.Errorf("%s: %d cells in %d histories, the zone has %d", f.Zones[z].Name, cells, len(hist), to-from)
		}
	}
}

// sameState holds two states against each other: to the last bit, or, where a
// mean over the zone was summed in another order, to its rounding.
func sameState(a, b *soilwater.State, rounded bool) bool {
	if !rounded {
		return *a == *b
	}
	for l := range a.Layer {
		if math.Abs(a.Layer[l]-b.Layer[l]) > 1e-9 {
			return false
		}
	}
	return math.Abs(a.De-b.De) <= 1e-9 && a.Fw == b.Fw
}

func kinds(ends []runplan.End) string {
	var out []string
	for _, e := range ends {
		out = append(out, e.Kind.String())
	}
	return strings.Join(out, " ")
}

const (
	rootEnds  = "roots_alone roots_joined"
	tableEnds = "table_deeper table_higher reach_shorter reach_longer"
)

// Ends are run only where there is something to ask.
func TestWhichEnds(t *testing.T) {
	for _, c := range []struct {
		name       string
		changes    []string
		east, west string
	}{
		{"layers and a table", nil, rootEnds, rootEnds + " " + tableEnds},
		{"one layer", []string{"farm.toml", "layers = 4", "layers = 1"}, "", tableEnds},
		{"table far below", []string{"zones.geojson", west, `"water_table_m": 6, "water_table_date": "2025-06-01"`}, rootEnds, rootEnds},
		{"no compensation set", []string{"farm.toml", "layers = 4", "layers = 4\ncompensation = 1"}, "roots_joined", "roots_joined " + tableEnds},
		{"compensation without limit", []string{"farm.toml", "layers = 4", "layers = 4\ncompensation = 50"}, "roots_alone", "roots_alone " + tableEnds},
		{"reach known", []string{"farm.toml", `hydraulics = "field sand"`, "hydraulics = \"field sand\"\nreach_plus_minus_m = 0"}, rootEnds, rootEnds + " table_deeper table_higher"},
	} {
		s := mustWalk(t, lowFarm(t, c.changes...), date(t, "2025-06-20"), WalkOptions{})
		p := s.Problem(s.Farm.StartOfDay(s.Today).Add(6*time.Hour), 5)
		z := p.Machines[0].Zones
		if e, w := kinds(z[0].Ends), kinds(z[1].Ends); e != c.east || w != c.west {
			t.Errorf("%s: east %q, want %q; west %q, want %q", c.name, e, c.east, w, c.west)
		}
		for _, cell := range p.Machines[0].Cells {
			if len(cell.EndStates) != len(z[cell.Zone].Ends) {
				t.Errorf("%s: %d states for %d ends", c.name, len(cell.EndStates), len(z[cell.Zone].Ends))
			}
		}
	}
}

// How wide the ends are: the plus-minus of the map and the error of the change
// since, as independent errors; the zone's before the farm's before the default.
func TestPlusMinus(t *testing.T) {
	for _, c := range []struct {
		name            string
		changes         []string
		table, reach    float64
		assumed, reach0 bool
	}{
		{"defaults", nil, 0.15, 0.25 * 0.8886, true, true},
		{"reach set", []string{"farm.toml", `hydraulics = "field sand"`, "hydraulics = \"field sand\"\nreach_m = 0.7"}, 0.15, 0.07, true, true},
		{"farm", []string{"farm.toml", "layers = 4", "layers = 4\nwater_table_plus_minus_ft = 1"}, 0.3048, 0.25 * 0.8886, false, true},
		{"zone", []string{"zones.geojson", west, west + `, "water_table_plus_minus_m": 0.05`,
			"farm.toml", "layers = 4", "layers = 4\nwater_table_plus_minus_ft = 1",
			"farm.toml", `hydraulics = "field sand"`, "hydraulics = \"field sand\"\nreach_m = 0.7\nreach_plus_minus_m = 0.2"}, 0.05, 0.2, false, false},
	} {
		// On the day of the map nothing has changed since.
		s := mustWalk(t, lowFarm(t, c.changes...), date(t, "2025-06-01"), WalkOptions{})
		u := s.Uncertainty(1)
		if math.Abs(u.TablePlusMinusM-c.table) > 1e-9 || math.Abs(u.ReachPlusMinusM-c.reach) > 1e-4 || u.TableAssumed != c.assumed || u.ReachAssumed != c.reach0 {
			t.Errorf("%s: %+v, want table %g, reach %g", c.name, u, c.table, c.reach)
		}
		later := mustWalk(t, s.Farm, date(t, "2025-06-20"), WalkOptions{})
		se := later.Table(1, later.Today).SEM
		if w := later.Uncertainty(1).TablePlusMinusM; !(se > 0) || math.Abs(w-math.Hypot(c.table, se)) > 1e-12 {
			t.Errorf("%s, 19 days on: %g, with a standard error of %g", c.name, w, se)
		}
	}
	s := mustWalk(t, lowFarm(t), date(t, "2025-06-20"), WalkOptions{})
	if u := s.Uncertainty(0); u.Within || u.TablePlusMinusM != 0 {
		t.Errorf("without a table: %+v", u)
	}
}

// The ground at an end is that of a farm that has the end for its setting.
func TestEndIsASetting(t *testing.T) {
	today := date(t, "2025-06-20")
	ahead := func(changes ...string) (runplan.Problem, *Season) {
		s := mustWalk(t, lowFarm(t, changes...), today, WalkOptions{})
		return s.Problem(s.Farm.StartOfDay(today).Add(6*time.Hour), 5), s
	}
	const soil = `hydraulics = "field sand"`
	p, _ := ahead("farm.toml", soil, soil+"\nreach_m = 0.8\nreach_plus_minus_m = 0.1")
	for _, c := range []struct {
		kind    runplan.EndKind
		changes []string
	}{
		{runplan.RootsAlone, []string{"farm.toml", "layers = 4", "layers = 4\ncompensation = 1", "farm.toml", soil, soil + "\nreach_m = 0.8"}},
		{runplan.RootsJoined, []string{"farm.toml", "layers = 4", "layers = 4\ncompensation = 20", "farm.toml", soil, soil + "\nreach_m = 0.8"}},
		{runplan.ReachShorter, []string{"farm.toml", soil, soil + "\nreach_m = 0.7"}},
		{runplan.ReachLonger, []string{"farm.toml", soil, soil + "\nreach_m = 0.9"}},
	} {
		q, _ := ahead(c.changes...)
		for i, e := range p.Machines[0].Zones[1].Ends {
			if e.Kind != c.kind {
				continue
			}
			for k := range p.Machines[0].Cells {
				if cell := &p.Machines[0].Cells[k]; cell.Zone == 1 {
					for l, mm := range cell.EndStates[i].Layer {
						if math.Abs(mm-q.Machines[0].Cells[k].State.Layer[l]) > 0.02 { // a column keeps its wilting point when its reach is moved; set anew it moves by a hair
							t.Errorf("%s: layer %d holds %.6f mm, by the setting %.6f", c.kind, l, mm, q.Machines[0].Cells[k].State.Layer[l])
						}
					}
				}
			}
		}
	}
	left, err := p.Lasting()
	if err != nil {
		t.Fatal(err)
	}
	for z, l := range left[0] {
		if !(l.Due.Min <= l.Due.AsSet && l.Due.AsSet <= l.Due.Max) || l.Due.Min == l.Due.AsSet != (l.Due.MinBy == runplan.AsSet) && l.Due.AsSet-l.Due.Min > 0.1 {
			t.Errorf("zone %d: %+v", z, l.Due)
		}
	}
}

// Where no reach is set every horizon is moved by the same factor, and holds
// what it held.
func TestScaledHorizons(t *testing.T) {
	f := lowFarm(t, "farm.toml", `hydraulics = "field sand"`, `hydraulics = "field sand"
horizons = [{top_m = 0, bottom_m = 0.4, hydraulics = "loamy sand"}, {top_m = 0.4, bottom_m = 2, hydraulics = "field sand"}]`)
	c := f.Column(1)
	own := c.ReachM()
	v := sound(c.WithReach(0.8 * own))
	a, b := c.Profile().Horizons, v.Profile().Horizons
	for i := range a {
		within(t, "reach of a horizon", hydraulics.Reach(*b[i].Hydraulics)/hydraulics.Reach(*a[i].Hydraulics), 0.8, 1e-9)
		bare := withoutCurve(a[i], c.Profile().DrainedMMPerDay)
		within(t, "drained", b[i].ThetaFC, bare.ThetaFC, 0)
		within(t, "wilting", b[i].ThetaWP, bare.ThetaWP, 0)
	}
	within(t, "of the column", v.ReachM(), 0.8*own, 1e-9)
	// One horizon: the column's own way, with the same outcome.
	one := lowFarm(t).Column(1)
	within(t, "of one horizon", sound(one.WithReach(0.7)).ReachM(), 0.7, 1e-9)
}

// A reach set near the longest that is possible has its longer end there.
func TestLongestReach(t *testing.T) {
	f := lowFarm(t, "farm.toml", `hydraulics = "field sand"`, "hydraulics = \"field sand\"\nreach_m = 4.8\nreach_plus_minus_m = 0.5")
	s := mustWalk(t, f, date(t, "2025-06-20"), WalkOptions{})
	longest := 0.0
	for _, e := range s.ends(1) {
		longest = max(longest, e.ReachM)
	}
	within(t, "the longest reach", longest, hydraulics.MostReachM, 0)
}

// What the ends cost over the walk itself.
func BenchmarkEndsDemo(b *testing.B) {
	f, problems := Load(demo)
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	b.ReportAllocs()
	for b.Loop() {
		s := mustWalk(b, f, f.Today, WalkOptions{})
		if e := s.endsAhead(10); len(e) != len(f.Zones) {
			b.Fatal(len(e))
		}
	}
}
