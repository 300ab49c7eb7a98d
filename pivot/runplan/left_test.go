package runplan

// How long ground lasts: sums by hand on a bucket of 60 mm with RAW 30, that
// uses 6 mm a day from midnight on; it is six in the morning.

import (
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/pivot"
	"sandwick/soilwater"
)

// withEnds gives a zone an end per kind, on the zone's own ground.
func withEnds(z Zone, kinds ...EndKind) Zone {
	for _, k := range kinds {
		z.Ends = append(z.Ends, End{Kind: k, ReachM: math.NaN(), Column: z.Column, TableM: z.TableM})
	}
	return z
}

func lastingOf(t *testing.T, p Problem) Left {
	t.Helper()
	all, err := p.Lasting()
	if err != nil {
		t.Fatal(err)
	}
	return all[0][0]
}

func TestLeftByHand(t *testing.T) {
	z := withEnds(zone(t, "high", 6, 10), RootsAlone, TableDeeper, TableHigher, ReachShorter)
	m := machine(t, "A", z)
	m.under(t, 0, 0, 20)
	m.under(t, 1, 0, 14)                             // lasts longer: it is the first ground that counts
	for _, dep := range []float64{20, 26, 8, 26.3} { // missing at each end; the shorter reach is due 1.2 h before the deeper table
		m.Cells[0].EndStates = append(m.Cells[0].EndStates, state(t, &z, dep))
	}
	p := farm(time.UTC, 10, m)
	l := lastingOf(t, p)
	// 10 mm at 6 a day: 40 hours from midnight, 34 from six.
	near(t, "as set", l.Due.AsSet, 34./24, 1e-9)
	near(t, "roots alone", l.Due.Ends[0], 34./24, 1e-9)
	near(t, "deeper", l.Due.Ends[1], (16-6.)/24, 1e-9)
	near(t, "least", l.Due.Min, (3.7/6*24-6)/24, 1e-9)
	// The second cell has no states of its own at the ends: at 14 mm missing it
	// is due 58 hours from now, before the first one with 8 mm missing, 82.
	near(t, "most", l.Due.Max, 58./24, 1e-9)
	if l.Due.MinBy != TableDeeper || l.Due.MaxBy != TableHigher {
		t.Errorf("governed by %s and %s, want the first ends that come within a tenth of a day", l.Due.MinBy, l.Due.MaxBy)
	}
	// RAW is where stress begins: on the morning of the day after it is passed.
	near(t, "stress", l.Stress.AsSet, 42./24, 1e-9)
	of, err := p.LeftOf(&z, m.Cells)
	if err != nil || of.Due.Min != l.Due.Min || of.Due.Max != l.Due.Max || of.Due.AsSet != l.Due.AsSet {
		t.Errorf("without a machine: %+v, %v, want %+v", of, err, l)
	}
	pl := checked(t, p)
	if d := pl.Zones[0]; d.DaysLeftMin != l.Due.Min || d.DaysLeftMax != l.Due.Max || d.Risk {
		t.Errorf("the plan says %v to %v, risk %t, want %v to %v", d.DaysLeftMin, d.DaysLeftMax, d.Risk, l.Due.Min, l.Due.Max)
	}
}

// All ends agree, or there is none: one number, governed by nothing.
func TestLeftOneNumber(t *testing.T) {
	for _, z := range []Zone{zone(t, "a", 6, 10), withEnds(zone(t, "a", 6, 10), RootsAlone, RootsJoined)} {
		m := machine(t, "A", z)
		m.under(t, 0, 0, 20)
		l := lastingOf(t, farm(time.UTC, 10, m))
		if l.Due.Min != l.Due.Max || l.Due.Min != l.Due.AsSet || l.Due.MinBy != AsSet || l.Due.MaxBy != AsSet || len(l.Due.Ends) != len(z.Ends) {
			t.Errorf("%+v", l.Due)
		}
	}
}

// A sliver does not decide how long a zone lasts, unless it is all there is.
func TestLeftSlivers(t *testing.T) {
	big, small := zone(t, "big", 6, 10), zone(t, "small", 6, 10)
	m := machine(t, "A", big, small)
	m.under(t, 0, 0, 10)
	m.under(t, 1, 0, 30)
	m.Cells[1].AreaM2 *= 0.005
	m.under(t, 1, 1, 10)
	m.Cells[2].AreaM2 *= 0.995
	p := farm(time.UTC, 10, m)
	near(t, "big", lastingOf(t, p).Due.AsSet, 74./24, 1e-9) // 20 mm at 6 a day
	p.Machines[0].Cells = p.Machines[0].Cells[1:]
	near(t, "nothing but a sliver", lastingOf(t, p).Due.AsSet, 0, 0)
}

// Ground over a water table that is safe as the settings stand, but not with
// the table deeper: it is left alone, and the plan says what is risked.
func TestSkipAtRisk(t *testing.T) {
	for _, deep := range []float64{0.80, 2.5} {
		z := zone(t, "low", 6, 6)
		z.Column, z.TableM = layered(t), fill(0.75, 6)
		z.Ends = []End{
			{Kind: RootsAlone, Compensation: 1, Column: z.Column.WithCompensation(1), TableM: z.TableM, ReachM: math.NaN()},
			{Kind: TableDeeper, Compensation: 2, TableByM: deep - 0.75, Column: z.Column, TableM: fill(deep, 6), ReachM: math.NaN()},
		}
		m := machine(t, "A", z)
		m.Cells = append(m.Cells, Cell{Cell: pivot.Cell{Slice: 0, Zone: 0, AreaM2: m.SliceM2[0]}, State: z.Column.Start(0, z.Demand[0], 0.75)})
		d := checked(t, farm(time.UTC, 6, m)).Zones[0]
		risk := deep > 1
		if d.Decision != Skip || d.Risk != risk || !math.IsInf(d.Left.Due.AsSet, 1) {
			t.Fatalf("table at %g m: %+v", deep, d)
		}
		w := d.Why
		if !risk {
			if w.Code != TableFed || w.By != nil {
				t.Errorf("safe at every end: %+v", w)
			}
			continue
		}
		if w.Code != AtRisk || w.Safe != TableFed || w.By == nil || w.By.Kind != TableDeeper || !w.Date.IsValid() {
			t.Errorf("at risk: %+v", w)
		}
		if d.Left.Due.MinBy != TableDeeper || !(d.DaysLeftMin < 6) || !math.IsInf(d.DaysLeftMax, 1) {
			t.Errorf("range: %+v", d.Left.Due)
		}
	}
}

func TestEndsAreChecked(t *testing.T) {
	for _, e := range []End{
		{Kind: ReachShorter, TableM: fill(1.0, 10)},
		{Kind: ReachShorter, Column: sand(t), TableM: fill(1.0, 9)},
		{Kind: ReachShorter, Column: sand(t), TableM: fill(math.NaN(), 10)},
	} {
		z := zone(t, "a", 6, 10)
		z.Ends = []End{e}
		m := machine(t, "A", z)
		m.under(t, 0, 0, 20)
		p := farm(time.UTC, 10, m)
		const want = `machine "A": zone "a": end reach_shorter: no column, or no water table for each of 10 days`
		if _, err := p.Lasting(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
		if _, err := p.LeftOf(&z, []Cell{{State: soilwater.State{}}}); err == nil {
			t.Error("LeftOf takes it")
		}
	}
}
