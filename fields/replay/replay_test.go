package replay

import (
	"context"
	"encoding/csv"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields"
	"sandwick/pivot/runplan"
)

const demo = "../../testdata/demo"

func load(t testing.TB) *fields.Farm {
	t.Helper()
	f, problems := fields.Load(demo)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return f
}

func day(m, d int) civil.Date { return civil.Date{Year: 2025, Month: time.Month(m), Day: d} }

// run replays part of the demo season in which the corn and the mint are watered.
func run(t testing.TB, f *fields.Farm, o Options) *Replay {
	t.Helper()
	if !o.From.IsValid() {
		o.From, o.To = day(6, 8), day(6, 24)
	}
	r, err := Run(context.Background(), f, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestTwoBooks: the evaluator of plans over the whole stretch and the walk that
// keeps the farm's books from rows of the pass record are two accounts of the
// same water, written apart. They must agree on what was pumped, drained and
// missed. Rows carry whole seconds, which is all they may differ by.
func TestTwoBooks(t *testing.T) {
	f := load(t)
	o := Options{From: day(6, 10), To: day(6, 19), LookDays: 2, Ways: Ways()}
	ru, err := newRunner(f, &o)
	if err != nil {
		t.Fatal(err)
	}
	r := run(t, f, o)
	for _, a := range r.Accounts {
		s, err := ru.books(a.Passes)
		if err != nil {
			t.Fatal(err)
		}
		for p := range f.Pivots {
			var m3, hours, perc, missed, area float64
			for d := o.From.DaysSince(s.From); d < s.Days(); d++ {
				m3 += s.Pumped[p][d].VolumeM3
				hours += s.Pumped[p][d].Hours
				for z := range f.Zones {
					if f.ZonePivot(z) != p {
						continue
					}
					x := s.Account(d, z)
					perc += x.PercMM * f.ZoneAreaM2(z)
					missed += (x.ETcMM - x.ETMM) * f.ZoneAreaM2(z)
					if d == s.Days()-1 {
						area += f.ZoneAreaM2(z)
					}
				}
			}
			x := a.Pivots[p]
			// What was pumped on the first day before its morning is no part of the replay.
			for i := range ru.base {
				b := &ru.base[i]
				midnight := f.StartOfDay(o.From)
				if b.Pivot == x.Pivot && b.Water && b.End.After(midnight) {
					from := b.Start
					if midnight.After(from) {
						from = midnight
					}
					hours -= b.End.Sub(from).Hours()
					m3 -= b.End.Sub(from).Hours() * f.Pivots[p].FlowM3H
				}
			}
			if math.Abs(hours-x.Hours) > 0.05 || math.Abs(m3-x.WaterM3) > 1e-3*m3+20 {
				t.Errorf("%s %s: books %.2f h %.0f m³, evaluator %.2f h %.0f m³", a.Way, x.Pivot, hours, m3, x.Hours, x.WaterM3)
			}
			if got := perc / area; math.Abs(got-x.PercolationMM) > 0.02+1e-3*got {
				t.Errorf("%s %s: books %.3f mm drained, evaluator %.3f", a.Way, x.Pivot, got, x.PercolationMM)
			}
			if got := missed / area; math.Abs(got-x.DeficitMM) > 0.02+1e-3*got {
				t.Errorf("%s %s: books %.3f mm of ET missed, evaluator %.3f", a.Way, x.Pivot, got, x.DeficitMM)
			}
		}
		if a.Way != Recorded && a.Violation != nil {
			t.Errorf("%s cannot be run: %v", a.Way, a.Violation)
		}
		if sum := a.Total.Cost; math.Abs(sum.Pumping+sum.Labour+sum.Stress+sum.Late+sum.Percolation+sum.Carry-sum.Total) > 1e-6*sum.Total {
			t.Errorf("%s: the terms do not add up to the total: %+v", a.Way, sum)
		}
	}
}

// TestRecordedIsTheRecord: hours and starts as they come out of the file itself.
func TestRecordedIsTheRecord(t *testing.T) {
	f := load(t)
	r := run(t, f, Options{Ways: []Way{Recorded}})
	file, err := os.Open(demo + "/records/passes.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	from, to := f.StartOfDay(r.From).Add(6*time.Hour), f.StartOfDay(r.To.AddDays(1))
	var want float64
	for _, row := range rows[1:] {
		start, err1 := time.ParseInLocation("2006-01-02T15:04", row[1], f.Location)
		end, err2 := time.ParseInLocation("2006-01-02T15:04", row[2], f.Location)
		if err1 != nil || err2 != nil {
			t.Fatal(row)
		}
		if start.Before(from) || !start.Before(to) || row[7] != "yes" {
			continue
		}
		if end.After(to) {
			end = to
		}
		want += end.Sub(start).Hours()
	}
	if got := r.Of(Recorded).Total.Hours; want == 0 || math.Abs(got-want) > 1e-3*want {
		t.Errorf("%.2f pumping hours, the file has %.2f", got, want)
	}
}

// altered is the demo farm with the rain of the days from a day on turned about:
// wet where it was dry. Gauge and pipe readings end there.
func altered(t *testing.T, from civil.Date) *fields.Farm {
	t.Helper()
	fsys := fstest.MapFS{}
	root := os.DirFS(demo)
	for _, name := range []string{"farm.toml", "zones.geojson", "weather.csv", "history.csv", "records/rain.csv", "records/passes.csv", "records/water_table.csv", "records/cuts.csv"} {
		text, err := fs.ReadFile(root, name)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(string(text), "\n")
		col := -1
		for i, h := range strings.Split(lines[0], ",") {
			if h == "rain_in" {
				col = i
			}
		}
		var kept []string
		for i, line := range lines {
			cells := strings.Split(line, ",")
			d, err := civil.ParseDate(cells[0])
			switch later := i > 0 && err == nil && !d.Before(from); {
			case later && name == "weather.csv":
				cells[col] = map[bool]string{true: "1.00", false: "0.00"}[cells[col] == "0.00"]
				line = strings.Join(cells, ",")
			case later && name != "history.csv":
				continue
			}
			kept = append(kept, line)
		}
		fsys[name] = &fstest.MapFile{Data: []byte(strings.Join(kept, "\n"))}
	}
	f, problems := fields.LoadFS(fsys)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return f
}

// TestNothingOfTomorrow: whatever the weather turns to, what was begun before is
// the same; and a way that is told the weather does differ, or the test would
// not see anything.
func TestNothingOfTomorrow(t *testing.T) {
	turn := day(6, 14)
	o := Options{From: day(6, 10), To: day(6, 17), LookDays: 3, Ways: []Way{Planned, Refill, Foresight}}
	a, b := run(t, load(t), o), run(t, altered(t, turn), o)
	before := func(x *Account, f *fields.Farm) (list []runplan.Pass) {
		for _, p := range x.Passes {
			if p.Start.Before(f.StartOfDay(turn).Add(6 * time.Hour)) {
				list = append(list, p)
			}
		}
		return list
	}
	same := func(p, q []runplan.Pass) bool {
		if len(p) != len(q) {
			return false
		}
		for i := range p {
			if p[i].Pivot != q[i].Pivot || !p[i].Start.Equal(q[i].Start) || !p[i].End.Equal(q[i].End) || len(p[i].Legs) != len(q[i].Legs) {
				return false
			}
		}
		return true
	}
	for _, way := range []Way{Planned, Refill} {
		p, q := before(a.Of(way), a.Farm), before(b.Of(way), b.Farm)
		if len(p) == 0 {
			t.Errorf("%s: nothing was begun before %s", way, turn)
		}
		if !same(p, q) {
			t.Errorf("%s: what was begun before %s depends on the weather after it", way, turn)
		}
	}
	if same(before(a.Of(Foresight), a.Farm), before(b.Of(Foresight), b.Farm)) {
		t.Error("foresight: the weather to come makes no difference to it")
	}
}

// TestRange: what cannot be replayed is said.
func TestRange(t *testing.T) {
	f := load(t)
	for _, o := range []Options{
		{From: day(4, 1)},
		{To: day(12, 1)},
		{From: day(6, 1), To: day(6, 3)},
		{From: day(6, 9), To: day(6, 1)},
	} {
		if _, err := Run(context.Background(), f, o); err == nil {
			t.Errorf("%s to %s: no error", o.From, o.To)
		} else if _, ok := err.(ErrRange); !ok {
			t.Errorf("%s to %s: %v is no ErrRange", o.From, o.To, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Run(ctx, f, Options{Ways: []Way{Refill}}); err == nil {
		t.Error("a cancelled replay ends without an error")
	}
}

// TestCalendarRule by hand: the demo's mint holds less than two days of its peak
// use down to the trigger, so that it is watered every day; see agronomy_test.go
// of the demo for the range. A use of 6 mm a day against 20 mm makes three days.
func TestCalendarRule(t *testing.T) {
	use := make([]float64, 60)
	for i := range use {
		use[i] = 6
		if i < 20 {
			use[i] = 2
		}
	}
	if peak, middle := busiest(use, 30); peak != 6 || middle != 35 {
		t.Errorf("peak %g in the middle of day %d, want 6 and 35", peak, middle)
	}
	r := run(t, load(t), Options{From: day(6, 1), To: day(7, 10), Ways: []Way{Calendar}})
	for _, c := range r.Calendar {
		if c.EveryDays < 1 || c.PeakMM < 4 || c.PeakMM > 9 || c.NetMM > float64(c.EveryDays)*c.PeakMM+1e-9 {
			t.Errorf("%+v", c)
		}
	}
	var last time.Time
	for _, p := range r.Of(Calendar).Passes {
		if p.Pivot != "Bittern" {
			continue
		}
		if !last.IsZero() && p.Start.Sub(last) < time.Duration(r.Calendar[2].EveryDays)*24*time.Hour-12*time.Hour {
			t.Errorf("Bittern runs %s and %s, want every %d days", last, p.Start, r.Calendar[2].EveryDays)
		}
		last = p.Start
	}
	if last.IsZero() {
		t.Error("Bittern never runs")
	}
}

// TestRulesDoNotLook: how far the planner looks ahead is nothing to the rules.
func TestRulesDoNotLook(t *testing.T) {
	f := load(t)
	o := Options{Ways: []Way{Refill, Calendar}, LookDays: 2}
	a := run(t, f, o)
	o.LookDays = 9
	b := run(t, f, o)
	for i := range a.Accounts {
		if x, y := a.Accounts[i].Total, b.Accounts[i].Total; x != y {
			t.Errorf("%s: %+v with a planner that looks 2 days ahead, %+v with 9", a.Accounts[i].Way, x, y)
		}
	}
}

func BenchmarkReplayMonth(b *testing.B) {
	f := load(b)
	for _, way := range Ways() {
		b.Run(way.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				run(b, f, Options{From: day(6, 8), To: day(7, 8), Ways: []Way{way}})
			}
		})
	}
}
