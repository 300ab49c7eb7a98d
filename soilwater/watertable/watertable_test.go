// Depths and errors against closed forms, and every reason to hold.

package watertable

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/golang-sql/civil"
	"gonum.org/v1/gonum/stat/distuv"
)

func day(n int) civil.Date { return civil.Date{Year: 2025, Month: 1, Day: 1}.AddDays(n) }

// weekly reads a table every week from day from through day to.
func weekly(from, to int, depth func(day float64) float64) []Reading {
	var out []Reading
	for d := from; d <= to; d += 7 {
		out = append(out, Reading{day(d), depth(float64(d))})
	}
	return out
}

// maillet is a table that starts at 1 m and falls towards 3 m with a reservoir
// constant of 30 days: Maillet 1905, from memory.
func maillet(t float64) float64 { return 3 - 2*math.Exp(-t/30) }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g", what, got, want)
	}
}

func TestRecessionFindsTheReservoir(t *testing.T) {
	rs := weekly(0, 140, maillet)
	p := New(rs, day(140), nil)
	c := p.Carried()
	if c.Held != NotHeld {
		t.Fatalf("held (%d) on a perfect recession", c.Held)
	}
	near(t, "reservoir constant, days", c.Fit.ReservoirDays, 30, 0)
	near(t, "rate, m/day", c.Fit.RateMPerDay, 2.0/30*math.Exp(-140.0/30), 1e-12)
	near(t, "base level, m", c.Fit.BaseM(c.Last.DepthM), 3, 1e-9)
	near(t, "R²", c.Fit.R2, 1, 1e-12)
	if c.Fit.Readings != 5 || c.Fit.SpanDays != 28 {
		t.Errorf("%d readings over %d days fitted; want 5 over 28", c.Fit.Readings, c.Fit.SpanDays)
	}
	for lead := 1; lead <= HindcastLeadDays; lead++ {
		e := p.On(day(140 + lead))
		near(t, "depth ahead, m", e.DepthM, maillet(float64(140+lead)), 1e-9)
		if e.Basis != AlongRecession {
			t.Errorf("%d days ahead: basis %d", lead, e.Basis)
		}
	}
	// Beyond what was judged the depth stays, and its error grows on.
	far, near10 := p.On(day(200)), p.On(day(150))
	near(t, "depth far ahead, m", far.DepthM, near10.DepthM, 0)
	if !(far.SEM > near10.SEM) {
		t.Errorf("standard error %g at 60 days, %g at 10", far.SEM, near10.SEM)
	}
}

func TestStraightRecession(t *testing.T) {
	p := New(weekly(0, 140, func(d float64) float64 { return 1 + 0.01*d }), day(140), nil)
	c := p.Carried()
	if c.Held != NotHeld || !math.IsInf(c.Fit.ReservoirDays, 1) {
		t.Fatalf("held %d, reservoir constant %g; want a straight line", c.Held, c.Fit.ReservoirDays)
	}
	near(t, "depth ten days ahead, m", p.On(day(150)).DepthM, 2.5, 1e-9)
	if base := c.Fit.BaseM(2.4); !math.IsInf(base, 1) {
		t.Errorf("a straight line has a base level: %g", base)
	}
}

// The line goes through the last reading, which errs like all others: over many
// noisy recessions the stated variances of the rate and of the depth ahead are
// the ones found, and Student's interval around the prediction holds nearly 90 %
// of new values (not exactly: the error of the last reading is in every other
// difference, so that the residuals are no plain chi-square). The quantile is
// gonum's.
func TestPredictionVariance(t *testing.T) {
	const seed, runs, rate, sd = 7, 20000, 0.05, 0.02
	rng := rand.New(rand.NewPCG(seed, 0))
	for _, c := range []struct {
		to, every int
		k         float64
	}{{28, 7, math.Inf(1)}, {21, 7, math.Inf(1)}, {28, 1, math.Inf(1)}, {28, 7, 30}, {28, 4, 15}} {
		var stated, found, statedRate, foundRate float64
		quantile := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(c.to/c.every - 1)}.Quantile(0.95)
		inside := 0
		for range runs {
			var rs []Reading
			for d := 0; d <= c.to; d += c.every {
				rs = append(rs, Reading{day(d), 3 + rate*reach(float64(d-c.to), c.k) + sd*rng.NormFloat64()})
			}
			pts := newPoints(rs, 0, nil)
			last := len(rs) - 1
			f, held := pts.fit(last, pts.day[last], c.k)
			if held != NotHeld {
				t.Fatalf("held %d", held)
			}
			truth := 3 + rate*reach(10, c.k) + sd*rng.NormFloat64()
			miss := truth - rs[last].DepthM - f.fall(10)
			stated += f.variance(10) / runs
			found += miss * miss / runs
			statedRate += f.RateSE() * f.RateSE() / runs
			foundRate += (f.RateMPerDay - rate) * (f.RateMPerDay - rate) / runs
			if math.Abs(miss) <= quantile*math.Sqrt(f.variance(10)) {
				inside++
			}
		}
		share := float64(inside) / runs
		t.Logf("every %d of %d days, k %g: variance of the rate stated/found %.3f, of the depth %.3f, inside the 90 %% interval %.4f",
			c.every, c.to, c.k, statedRate/foundRate, stated/found, share)
		// The relative error of a variance from so many runs is √(2/runs), 1 %.
		near(t, "variance of the rate, stated over found", statedRate/foundRate, 1, 0.04)
		near(t, "variance of the depth, stated over found", stated/found, 1, 0.04)
		near(t, "share inside the 90 % interval", share, 0.9, 0.02)
	}
}

// wobble is a table with neither trend nor skill to be had.
func wobble(d float64) float64 { return 2 + 0.2*math.Sin(d*d) }

func TestReasonsToHold(t *testing.T) {
	fall := func(d float64) float64 { return 1 + 0.01*d }
	long := weekly(0, 140, fall)
	// A table that falls for five weeks and leaps up in the sixth, over and
	// over: each fit is good and each forecast bad.
	saw := func(d float64) float64 { return 1 + 0.01*math.Mod(d, 42) }
	rainOn := func(on int, mm float64) func(civil.Date) float64 {
		return func(d civil.Date) float64 {
			if d == day(on) {
				return mm
			}
			return 0
		}
	}
	for _, c := range []struct {
		name     string
		readings []Reading
		now      int
		rain     func(civil.Date) float64
		want     Held
	}{
		{"one reading", long[:1], 3, nil, FewReadings},
		{"three readings", long[:3], 15, nil, FewReadings},
		{"four in a few days", []Reading{{day(0), 1}, {day(1), 1.1}, {day(2), 1.2}, {day(3), 1.3}}, 3, nil, ShortSpan},
		{"rising", weekly(0, 140, func(d float64) float64 { return 4 - 0.01*d }), 140, nil, Rising},
		{"still", weekly(0, 140, func(float64) float64 { return 2 }), 140, nil, Rising},
		{"no line", weekly(0, 140, wobble), 140, nil, PoorFit},
		{"too short a past", long[:8], 50, nil, Untried},
		{"saw", weekly(0, 790, saw), 706, nil, NoSkill},
		{"rain after the last reading", long, 143, rainOn(142, 20), RecentRain},
		{"rain the day before it", long, 141, rainOn(139, 20), RecentRain},
		{"little rain", long, 143, rainOn(142, 14), NotHeld},
		{"rain after now", long, 141, rainOn(142, 20), NotHeld},
		{"rain long before", long, 141, rainOn(100, 20), NotHeld},
		{"rain within the readings", long, 141, rainOn(125, 20), FewReadings},
		{"rain not known", long, 143, func(civil.Date) float64 { return math.NaN() }, NotHeld},
		{"nothing", long, 143, nil, NotHeld},
	} {
		p := New(c.readings, day(c.now), c.rain)
		got := p.Carried()
		if got.Held != c.want {
			t.Errorf("%s: held %d, want %d (%+v)", c.name, got.Held, c.want, got)
			continue
		}
		if e := p.On(day(c.now + 5)); got.Held != NotHeld && (e.DepthM != got.Last.DepthM || e.Basis != HeldLast) {
			t.Errorf("%s: depth %g by %d, want the last reading, %g", c.name, e.DepthM, e.Basis, got.Last.DepthM)
		}
		if got.Held == RecentRain && (got.RainOn.Before(day(138)) || got.RainOn.After(day(c.now))) {
			t.Errorf("%s: rain on %s", c.name, got.RainOn)
		}
	}
	// Rain over three days adds up; over four it does not.
	drizzle := func(mm float64) func(civil.Date) float64 {
		return func(d civil.Date) float64 {
			if !d.Before(day(139)) && !d.After(day(142)) {
				return mm
			}
			return 0
		}
	}
	if h := New(long, day(143), drizzle(5)).Carried().Held; h != RecentRain {
		t.Errorf("15 mm in three days: held %d", h)
	}
	if h := New(long, day(143), drizzle(4.9)).Carried().Held; h != NotHeld {
		t.Errorf("19.6 mm in four days: held %d", h)
	}
}

func TestNothingOfTheFutureIsUsed(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 0))
	d := 2.0
	var rs []Reading
	for i := range 400 {
		d = math.Max(0.1, d+0.01+0.03*rng.NormFloat64())
		rs = append(rs, Reading{day(3 * i), d})
	}
	pts := newPoints(rs, 0, nil)
	h := pts.hindcasts()
	for i := 10; i < len(rs); i += 13 {
		now := day(3*i + 1)
		a, b := New(rs, now, nil), New(rs[:i+1], now, nil)
		c := pts.pipe(&h, i, now.DaysSince(dayZero))
		for ahead := range 20 {
			on := now.AddDays(ahead)
			if a.On(on) != b.On(on) || c.On(on) != b.On(on) {
				t.Fatalf("%s seen from %s: %+v with the later readings, %+v from the whole record, %+v without", on, now, a.On(on), c.On(on), b.On(on))
			}
		}
	}
}

func TestBetweenAndBefore(t *testing.T) {
	rs := []Reading{{day(10), 2}, {day(20), 1}, {day(24), 1.4}}
	p := New(rs, day(30), nil)
	for _, c := range []struct {
		day   int
		depth float64
		basis Basis
	}{{5, 2, BeforeFirst}, {10, 2, Read}, {13, 1.7, Between}, {20, 1, Read}, {21, 1.1, Between}, {24, 1.4, Read}, {30, 1.4, HeldLast}} {
		e := p.On(day(c.day))
		near(t, "depth, m", e.DepthM, c.depth, 1e-12)
		if e.Basis != c.basis {
			t.Errorf("day %d: basis %d, want %d", c.day, e.Basis, c.basis)
		}
	}
	near(t, "error of a reading", p.On(day(20)).SEM, ReadingSEM, 0)
	// The bridge: its variance in the middle of ten days is that of 2.5 days free.
	mid := math.Pow(p.On(day(15)).SEM, 2) - ReadingSEM*ReadingSEM
	free := math.Pow(p.On(day(26)).SEM, 2) - ReadingSEM*ReadingSEM
	near(t, "variance in the middle", mid, 2.5/2*free, 1e-12)
	if none := New(nil, day(0), nil).On(day(3)); !math.IsNaN(none.DepthM) || none.Basis != Unknown {
		t.Errorf("a pipe without readings gives %+v", none)
	}
}

func TestGroundFollowsItsPipe(t *testing.T) {
	p := New([]Reading{{day(0), 2}, {day(10), 1}}, day(20), nil)
	g := Ground{DepthM: 1.5, Date: day(0), Damping: 1}
	near(t, "same change", p.Under(g, day(10)).DepthM, 0.5, 1e-12)
	near(t, "half way", p.Under(g, day(5)).DepthM, 1.0, 1e-12)
	near(t, "its own day", p.Under(g, day(0)).SEM, 0, 0)
	g.Damping = 0.4
	near(t, "damped", p.Under(g, day(10)).DepthM, 1.1, 1e-12)
	near(t, "damped error", p.Under(g, day(10)).SEM, 0.4*math.Sqrt2*ReadingSEM, 1e-12)
	g.Damping = 0
	if e := p.Under(g, day(17)); e.DepthM != 1.5 || e.SEM != 0 {
		t.Errorf("damping 0: %+v", e)
	}
	g = Ground{DepthM: 0.3, Date: day(0), Damping: 1}
	near(t, "not above ground", p.Under(g, day(10)).DepthM, 0, 0)
	far := Ground{DepthM: math.Inf(1), Date: day(0), Damping: 1}
	if e := p.Under(far, day(10)); !math.IsInf(e.DepthM, 1) || e.SEM != 0 {
		t.Errorf("out of reach: %+v", e)
	}
	alone := Ground{DepthM: 1.2, Date: day(0)}
	near(t, "unfollowed, 16 days on", Unfollowed(alone, day(16)).SEM, 4*WanderM, 1e-12)
	near(t, "and 16 before", Unfollowed(alone, day(-16)).SEM, 4*WanderM, 1e-12)
	near(t, "its day not known", Unfollowed(Ground{DepthM: 1.2}, day(16)).SEM, Unfollowed(alone, day(900)).SEM, 1e-12)
}

func TestCheck(t *testing.T) {
	given := []Reading{
		{day(9), 0.4}, {day(0), 0.5}, {day(3), math.NaN()}, {day(4), -0.1}, {day(5), 0},
		{day(9), 0.6}, {day(11), math.Inf(1)}, {day(12), 0.7},
	}
	used, doubts := Check(given)
	wantUsed := []Reading{{day(0), 0.5}, {day(5), 0}, {day(9), 0.4}, {day(12), 0.7}}
	if !slices.Equal(used, wantUsed) {
		t.Errorf("used %v, want %v", used, wantUsed)
	}
	want := []struct {
		fault Fault
		on    int
		used  bool
	}{{NotNumber, 3, false}, {AboveGround, 4, false}, {AtSurface, 5, true}, {SameDay, 9, false}, {NotNumber, 11, false}}
	if len(doubts) != len(want) {
		t.Fatalf("doubts %+v", doubts)
	}
	for i, d := range doubts {
		if d.Fault != want[i].fault || d.Reading.Date != day(want[i].on) || d.Used() != want[i].used {
			t.Errorf("doubt %+v, want %+v", d, want[i])
		}
	}
	if given[0].Date != day(9) || given[1].Date != day(0) {
		t.Error("the readings given were changed")
	}
}

// A change is doubted past half a metre and six times the wander of the days
// between. WanderM is a daily 0.05 m: 0.8 m after one day, 1.1 after four, 1.29
// after a week, where the pipe has no past of its own.
func TestJump(t *testing.T) {
	still := func(from, to int) []Reading { return weekly(from, to, func(float64) float64 { return 1 }) }
	// Ten weeks up and down by 0.4 m about 2 m: 0.4²/14 m² a day over fortnights
	// in which it moves so far.
	lively := weekly(0, 280, func(d float64) float64 { return 2 + 0.4*math.Mod(math.Floor(d/14), 2) })
	for _, c := range []struct {
		name   string
		before []Reading
		gap    int
		limitM float64
	}{
		{"a day, no past", still(0, 0), 1, 0.5 + 6*0.05},
		{"four days, no past", still(0, 0), 4, 0.5 + 6*0.05*2},
		{"a week, no past", still(0, 0), 7, 0.5 + 6*0.05*math.Sqrt(7)},
		// Twenty fortnights without a change, and the three of WanderM.
		{"a day, a still past", still(0, 280), 1, 0.5 + 6*0.05*math.Sqrt(3./23)},
		{"four days, a still past", still(0, 280), 4, 0.5 + 6*0.05*math.Sqrt(3./23*4)},
		{"a week, a still past", still(0, 280), 7, 0.5 + 6*0.05*math.Sqrt(3./23*7)},
		{"a day, a lively past", lively, 1, 0.5 + 6*math.Sqrt((20*0.16/14+3*0.0025)/23)},
		{"four days, a lively past", lively, 4, 0.5 + 6*math.Sqrt((20*0.16/14+3*0.0025)/23*4)},
		{"a week, a lively past", lively, 7, 0.5 + 6*math.Sqrt((20*0.16/14+3*0.0025)/23*7)},
	} {
		last := c.before[len(c.before)-1]
		for _, sign := range []float64{1, -1} {
			for _, over := range []float64{-0.001, 0.001} {
				r := Reading{last.Date.AddDays(c.gap), last.DepthM + 3 + sign*(c.limitM+over)}
				before := slices.Clone(c.before)
				for i := range before {
					before[i].DepthM += 3 // so that a rise stays below ground
				}
				used, doubts := Check(append(before, r))
				if over < 0 {
					if len(doubts) != 0 || len(used) != len(before)+1 {
						t.Errorf("%s: %+.3f m is doubted: %+v", c.name, sign*(c.limitM+over), doubts)
					}
					continue
				}
				if len(doubts) != 1 || doubts[0].Fault != Jump || doubts[0].Used() || doubts[0].Reading != r || doubts[0].Before != before[len(before)-1] {
					t.Errorf("%s: %+.3f m: doubts %+v", c.name, sign*(c.limitM+over), doubts)
					continue
				}
				near(t, c.name+": limit, m", doubts[0].LimitM, c.limitM, 1e-9)
				if !slices.Equal(used, before) {
					t.Errorf("%s: used %v", c.name, used)
				}
			}
		}
	}
}

// A doubted reading is left out until the next one agrees with it.
func TestJumpConfirmed(t *testing.T) {
	type row struct {
		day    int
		depthM float64
	}
	for _, c := range []struct {
		name      string
		rows      []row
		out       []int // days of readings left out
		confirmed []int // days of those doubted and used after all
	}{
		{"a slip of the pen", []row{{0, 1}, {7, 4.2}, {14, 1.05}}, []int{7}, nil},
		{"the last", []row{{0, 1}, {7, 4.2}}, []int{7}, nil},
		{"a flood", []row{{0, 3}, {2, 1}, {3, 1.1}, {10, 1.4}}, nil, []int{2}},
		{"a flood, read again late", []row{{0, 3}, {2, 1}, {30, 1.6}}, nil, []int{2}},
		{"another slip", []row{{0, 3}, {7, 10}, {14, 0.3}, {21, 3.1}}, []int{7, 14}, nil},
		{"a wrong first", []row{{0, 9}, {7, 3}, {14, 3.1}}, nil, []int{7}},
		// What has been a flood does not make the next slip of the pen likelier.
		{"a slip after a flood", []row{{0, 9}, {7, 3}, {14, 3.1}, {21, 6.2}, {28, 3.2}}, []int{21}, []int{7}},
		// Near enough to the reading before, with the days gone by, and nearer to
		// the one in doubt.
		{"a quick fall that goes on", []row{{0, 1}, {7, 2.35}, {14, 2.4}}, nil, []int{7}},
		{"one that comes back", []row{{0, 1}, {7, 2.35}, {14, 1.5}}, []int{7}, nil},
	} {
		var rs []Reading
		for _, r := range c.rows {
			rs = append(rs, Reading{day(r.day), r.depthM})
		}
		used, doubts := Check(rs)
		var out, confirmed []int
		for _, d := range doubts {
			on := d.Reading.Date.DaysSince(day(0))
			if d.Used() {
				confirmed = append(confirmed, on)
			} else {
				out = append(out, on)
			}
		}
		if !slices.Equal(out, c.out) || !slices.Equal(confirmed, c.confirmed) {
			t.Errorf("%s: left out %v, confirmed %v; want %v, %v", c.name, out, confirmed, c.out, c.confirmed)
		}
		if len(used) != len(rs)-len(c.out) {
			t.Errorf("%s: used %v", c.name, used)
		}
		for i := 1; i < len(used); i++ {
			if !used[i-1].Date.Before(used[i].Date) {
				t.Errorf("%s: used out of order: %v", c.name, used)
			}
		}
	}
}

// Errors grow with the days since the last reading, whatever the readings.
func TestErrorGrows(t *testing.T) {
	for _, rs := range [][]Reading{weekly(0, 140, maillet), weekly(0, 140, wobble), weekly(0, 0, wobble)} {
		last := rs[len(rs)-1].Date
		p := New(rs, last, nil)
		before := 0.0
		for d := range 150 {
			e := p.On(last.AddDays(d))
			if e.SEM < before || !(e.SEM > 0) {
				t.Fatalf("%d days after the last reading the error is %g, the day before %g", d, e.SEM, before)
			}
			before = e.SEM
		}
	}
}

func BenchmarkNew(b *testing.B) {
	rs := weekly(0, 7*250, func(d float64) float64 { return 2 + math.Sin(d/40) })
	rain := func(d civil.Date) float64 { return float64(d.Day % 3) }
	b.ReportAllocs()
	for b.Loop() {
		if New(rs, day(1800), rain).Readings() != len(rs) {
			b.Fatal("readings lost")
		}
	}
}
