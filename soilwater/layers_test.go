package soilwater

// The layered column: conservation, agreement with the one-layer path, horizons,
// and the facts of the trade.

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sandwick/soilwater/hydraulics"
)

func soilNamed(t testing.TB, name string) hydraulics.VanGenuchten {
	t.Helper()
	v, ok := hydraulics.Lookup(name)
	if !ok {
		t.Fatal(name)
	}
	return v
}

func column(t testing.TB, p Profile) *Column {
	t.Helper()
	c, err := NewColumn(p)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// closureMM is the most that a day's books may be out.
const closureMM = 1e-9

// randomColumn is any ground: one to three horizons, one to eight layers.
func randomColumn(t testing.TB, r *rand.Rand) *Column {
	names := hydraulics.Names()
	root := 0.2 + 1.3*r.Float64()
	p := DefaultProfile(soilNamed(t, names[r.IntN(len(names))]), root)
	for at := 0.0; r.IntN(2) == 0 && len(p.Horizons) < 3; {
		last := &p.Horizons[len(p.Horizons)-1]
		cut := at + (root-at)*(0.2+0.6*r.Float64())
		v := soilNamed(t, names[r.IntN(7)])
		last.BottomM = cut
		p.Horizons = append(p.Horizons, Horizon{cut, root, math.NaN(), math.NaN(), &v})
		at = cut
	}
	p.Layers = 1 + r.IntN(MaxLayers)
	p.CompensationLimit = []float64{1, 2, 20}[r.IntN(3)]
	if r.IntN(2) == 0 {
		p.CurveNumber = 40 + 55*r.Float64()
	}
	if r.IntN(3) == 0 {
		p.Stress = &Stress{OnsetM: 3.25, WiltM: 80}
	}
	p.TableOffsetM = []float64{0, 0, 0.3, -0.3}[r.IntN(4)]
	return column(t, p)
}

// Whatever the ground, the weather, the roots and the table do, the books
// close every day, nothing is negative, and the account adds up over the run.
func TestBooksClose(t *testing.T) {
	for seed := range uint64(120) {
		r := rand.New(rand.NewPCG(seed, 7))
		c := randomColumn(t, r)
		table := 0.3 + 2.5*r.Float64()
		if r.IntN(5) == 0 {
			table = math.Inf(1)
		}
		root := c.p.RootMaxM
		d := Demand{EToMM: 6, Kcb: 1, KcMax: 1.2, Cover: 0.5, P: 0.5, RootM: root}
		s := c.Start(r.Float64(), d, table)
		start := 0.0
		for i := range c.n {
			start += s.Layer[i]
		}
		balance := start
		for day := range 200 {
			d = Demand{
				EToMM: 10 * r.Float64(), Kcb: 1.2 * r.Float64(), KcMax: 1.2, Cover: r.Float64(),
				P: 0.3 + 0.4*r.Float64(), RootM: root * min(1, 0.1+float64(day)/100), Single: seed%5 == 0,
			}
			if day > 150 {
				d.RootM, d.Kcb = 0, 0 // harvested
			}
			w := Water{TableM: table, FwNet: r.Float64()}
			switch r.IntN(8) {
			case 0:
				w.RainMM = 80 * r.Float64() * r.Float64()
			case 1:
				w.NetMM = 40 * r.Float64()
			case 2: // a probe reading
				balance += c.Correct(&s, root*r.Float64()/2, root*(0.5+r.Float64()), 0.2*(r.Float64()-0.5))
			case 3:
				w.RainMM, w.NetMM = 5*r.Float64(), 20*r.Float64()
			}
			if !math.IsInf(table, 1) {
				table = min(max(table+0.3*(r.Float64()-0.5), -0.2), 4)
				if r.IntN(20) == 0 {
					table = 2.5 * r.Float64()
				}
			}
			var out Fluxes
			c.Step(&s, &d, &w, &out)
			if !(math.Abs(out.ClosureMM) < closureMM) {
				t.Fatalf("seed %d day %d: closure %g\n%+v\n%+v", seed, day, out.ClosureMM, w, out)
			}
			if !(out.PercolationMM == 0 || out.UpfluxMM == 0 || math.IsInf(w.TableM, 1)) {
				t.Fatalf("seed %d day %d: %g mm down and %g mm up on one day", seed, day, out.PercolationMM, out.UpfluxMM)
			}
			if out.Ks > 1 {
				t.Fatalf("seed %d day %d: Ks is 1%+g", seed, day, out.Ks-1)
			}
			balance += out.RainMM + out.NetMM + out.UpfluxMM - out.RunoffMM - out.PercolationMM - out.ETMM
			for name, x := range map[string]float64{
				"runoff": out.RunoffMM, "upflux": out.UpfluxMM, "percolation": out.PercolationMM, "evaporation": out.EvaporationMM,
				"transpiration": out.TranspirationMM, "Ks": out.Ks, "above Ks": 1 - out.Ks, "TAW": out.TAWMM, "depletion": out.DepletionMM,
				"De": s.De, "TEW": c.tew - s.De, "above potential": d.Kcb*d.EToMM - out.TranspirationMM,
			} {
				if !(x >= -1e-9) {
					t.Fatalf("seed %d day %d: %s is %g\n%+v\n%+v", seed, day, name, x, s, out)
				}
			}
			depletion, taw, raw := c.Totals(&s, &d, w.TableM)
			if math.Abs(depletion-out.DepletionMM) > 1e-9 || math.Abs(taw-out.TAWMM) > 1e-9 {
				t.Fatalf("seed %d day %d: Totals %g %g, step %g %g", seed, day, depletion, taw, out.DepletionMM, out.TAWMM)
			}
			if d.Single && math.Abs(raw-out.RAWMM) > 1e-9 {
				t.Fatalf("seed %d day %d: RAW %g, step %g", seed, day, raw, out.RAWMM)
			}
			for i, l := range c.Layers(&s, w.TableM) {
				if !(l.WaterMM >= -1e-9 && l.WaterMM <= l.FullMM+1e-9) {
					t.Fatalf("seed %d day %d layer %d: %+v", seed, day, i, l)
				}
			}
		}
		if math.Abs(balance-sum(s.Layer[:c.n])) > 200*closureMM {
			t.Fatalf("seed %d: 200 days add up to %g, storage is %g", seed, balance, sum(s.Layer[:c.n]))
		}
	}
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

// The quick one-layer path and the layered path are the same function where
// both apply; and the column's tables against full computation.
func TestFastIsSlow(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 11))
		p := DefaultProfile(soilNamed(t, hydraulics.Names()[r.IntN(7)]), 0.3+r.Float64())
		p.Layers = 1
		p.CurveNumber = 70
		if r.IntN(3) == 0 {
			p.Stress = &Stress{OnsetM: 3.25, WiltM: 80}
		}
		c := column(t, p)
		d := Demand{P: 0.5, RootM: 0.2}
		fast := c.Start(r.Float64(), d, math.Inf(1))
		slow := fast
		for day := range 120 {
			d = Demand{EToMM: 8 * r.Float64(), Kcb: 1.1 * r.Float64(), KcMax: 1.2, Cover: r.Float64(), P: 0.5, RootM: 0.2 + float64(day)/100}
			w := Water{TableM: math.Inf(1)}
			if r.IntN(5) == 0 {
				w.RainMM, w.NetMM, w.FwNet = 30*r.Float64(), 10*r.Float64(), 0.7
			}
			if r.IntN(20) == 0 {
				theta := 0.02 * (r.Float64() - 0.5)
				near(t, "corrections", c.Correct(&fast, 0, 0.3, theta), c.Correct(&slow, 0, 0.3, theta), 1e-12)
			}
			var a, b Fluxes
			c.stepBucket(&fast, &d, &w, &a)
			c.stepLayers(&slow, &d, &w, &b)
			for _, x := range [][2]float64{
				{a.TranspirationMM, b.TranspirationMM}, {a.EvaporationMM, b.EvaporationMM}, {a.PercolationMM, b.PercolationMM},
				{a.DepletionMM, b.DepletionMM}, {a.TAWMM, b.TAWMM}, {a.RAWMM, b.RAWMM}, {a.Ks, b.Ks}, {fast.De, slow.De},
			} {
				if math.Abs(x[0]-x[1]) > 1e-9 {
					t.Fatalf("seed %d day %d: %g and %g\n%+v\n%+v", seed, day, x[0], x[1], a, b)
				}
			}
		}
	}
	// Full content by direct quadrature at odd depths of the table.
	v := soilNamed(t, "loamy sand (class average)")
	c := column(t, DefaultProfile(v, 0.9))
	for _, table := range []float64{0.123, 0.777, 1.234, 2.345} {
		s := c.Start(0, Demand{P: 0.5, RootM: 0.9}, table)
		for i := range c.n {
			const n = 4000
			full := 0.0
			for j := range n {
				z := c.top[i] + (float64(j)+0.5)/n*c.thickM
				full += 1000 * max(v.Drained(c.p.DrainedMMPerDay), v.Theta(table-z)) * c.thickM / n
			}
			near(t, "full content", s.Layer[i], full, 0.02)
		}
	}
}

// Far above the table, with no compensation, four layers hold what one holds.
func TestTotalsDoNotDependOnLayers(t *testing.T) {
	v := soilNamed(t, "field sand")
	d := Demand{EToMM: 5, Kcb: 1, P: 0.5, RootM: 0.7, Single: true}
	var want [3]float64
	for n := 1; n <= MaxLayers; n++ {
		p := DefaultProfile(v, 1)
		p.Layers = n
		c := column(t, p)
		s := c.Start(0.3, d, math.Inf(1))
		depletion, taw, raw := c.Totals(&s, &d, math.Inf(1))
		if n == 1 {
			want = [3]float64{depletion, taw, raw}
			near(t, "depletion", depletion, 0.3*taw, 1e-9)
			near(t, "RAW", raw, 0.5*taw, 1e-9)
			near(t, "TAW", taw, 700*(v.Drained(3)-v.Theta(150)), 1e-9)
		}
		for i, got := range []float64{depletion, taw, raw} {
			near(t, "totals", got, want[i], 1e-9)
		}
	}
}

// Mass when the table passes through the layers: up it comes from the table,
// down it goes as percolation, and a full column stays full.
func TestTableMovesThroughLayers(t *testing.T) {
	c := column(t, DefaultProfile(soilNamed(t, "field sand"), 1))
	d := Demand{P: 0.5, RootM: 1}
	s := c.Start(0, d, 2)
	for table := 2.0; table > 0.25; table -= 0.05 {
		var out Fluxes
		before := sum(s.Layer[:])
		c.Step(&s, &d, &Water{TableM: table}, &out)
		near(t, "rising", out.UpfluxMM, sum(s.Layer[:])-before, 1e-9)
		near(t, "no percolation", out.PercolationMM, 0, 1e-12)
		near(t, "depletion", out.DepletionMM, 0, 1e-9)
		if out.Aeration != (table < 1) {
			t.Errorf("table %.2f: aeration %v", table, out.Aeration)
		}
	}
	for table := 0.3; table < 2; table += 0.05 {
		var out Fluxes
		before := sum(s.Layer[:])
		c.Step(&s, &d, &Water{TableM: table}, &out)
		near(t, "falling", out.PercolationMM-out.UpfluxMM, before-sum(s.Layer[:]), 1e-9)
		near(t, "no upflux", out.UpfluxMM, 0, 1e-12)
	}
}

// Without a curve a table only shortens the roots: nothing comes up.
func TestNoCurve(t *testing.T) {
	p := DefaultProfile(soilNamed(t, "sand"), 1)
	p.Horizons = []Horizon{{0, 1, 0.12, 0.04, nil}}
	c := column(t, p)
	d := Demand{EToMM: 6, Kcb: 1, KcMax: 1.2, Cover: 1, P: 0.5, RootM: 1}
	s := c.Start(0, d, 0.6)
	var out Fluxes
	c.Step(&s, &d, &Water{TableM: 0.6}, &out)
	near(t, "upflux", out.UpfluxMM, 0, 0)
	near(t, "TAW", out.TAWMM, 0.5*80, 1e-9) // roots to 0.1 m above 0.6 m
	if !out.Aeration || !math.IsNaN(c.ReachM()) {
		t.Errorf("aeration %v, reach %g", out.Aeration, c.ReachM())
	}
}

// A finer layer under sand holds more and carries more; the column between
// must lie between.
func TestHorizons(t *testing.T) {
	sand, loam := soilNamed(t, "sand (class average)"), soilNamed(t, "sandy loam (class average)")
	nan := math.NaN()
	mixed := DefaultProfile(sand, 1)
	mixed.Horizons = []Horizon{{0, 0.4, nan, nan, &sand}, {0.4, 1, nan, nan, &loam}}
	d := Demand{EToMM: 6, Kcb: 1, KcMax: 1, Cover: 1, P: 0.5, RootM: 1}
	var et, taw [3]float64
	for i, p := range []Profile{DefaultProfile(sand, 1), mixed, DefaultProfile(loam, 1)} {
		c := column(t, p)
		s := c.Start(0, d, 2.2)
		_, taw[i], _ = c.Totals(&s, &d, math.Inf(1))
		for range 30 {
			var out Fluxes
			c.Step(&s, &d, &Water{TableM: 2.2}, &out)
			et[i] += out.ETMM
		}
	}
	if !(taw[0] < taw[1] && taw[1] < taw[2] && et[0] < et[1] && et[1] < et[2]) {
		t.Errorf("TAW %v, ET %v", taw, et)
	}
	near(t, "TAW of the pile", taw[1], 0.4*taw[0]+0.6*taw[2], 1e-9)
}

func TestVariants(t *testing.T) {
	c := column(t, DefaultProfile(soilNamed(t, "field sand"), 1))
	d := Demand{EToMM: 6, Kcb: 1, KcMax: 1, Cover: 1, P: 0.5, RootM: 1}
	et := func(c *Column, table float64) float64 {
		s := c.StartEquilibrium(table)
		total := 0.0
		for range 30 {
			var out Fluxes
			c.Step(&s, &d, &Water{TableM: table}, &out)
			total += out.ETMM
		}
		return total
	}
	near(t, "offset", et(c.WithTableOffset(0.2), 1.4), et(c, 1.6), 1e-9)
	short, err := c.WithReach(0.6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "reach", short.ReachM(), 0.6, 1e-6)
	if a, b := et(c, 1.5), et(short, 1.5); !(b < a-20) {
		t.Errorf("a shorter reach gives %g, a longer %g mm", b, a)
	}
	if a, b, d := et(c.WithCompensation(1), 1.5), et(c, 1.5), et(c.WithCompensation(20), 1.5); !(a < b && b < d) {
		t.Errorf("more compensation must give more: %g, %g, %g", a, b, d)
	}
	if c.Profile().CompensationLimit != 2 || c.Profile().TableOffsetM != 0 {
		t.Error("a variant changed the original")
	}
	for _, reach := range []float64{99, math.NaN()} {
		if _, err := c.WithReach(reach); err == nil {
			t.Errorf("a reach of %g m is not refused", reach)
		}
	}
	if v, err := bucket(t, 0.12, 0.04, 1, 9, 4).WithReach(0.5); err == nil {
		t.Errorf("ground without a curve has a reach of %g m", v.ReachM())
	}
	// The same as ground of that reach made from the start; two soils keep their ratio.
	sand, loam := soilNamed(t, "field sand"), soilNamed(t, "loamy sand (class average)")
	profile := DefaultProfile(sand, 1)
	profile.Horizons = []Horizon{{0, 0.4, math.NaN(), math.NaN(), &sand}, {0.4, 1, math.NaN(), math.NaN(), &loam}}
	scaled, err := column(t, profile).WithReach(0.5)
	if err != nil {
		t.Fatal(err)
	}
	factor := 0.5 / hydraulics.Reach(loam)
	slow, err := sand.WithReach(factor * hydraulics.Reach(sand))
	if err != nil {
		t.Fatal(err)
	}
	below, err := loam.WithReach(0.5)
	if err != nil {
		t.Fatal(err)
	}
	profile.Horizons = column(t, profile).Profile().Horizons // with the contents of before
	profile.Horizons[0].Hydraulics, profile.Horizons[1].Hydraulics = &slow, &below
	for _, table := range []float64{0.8, 1.2, 2} {
		near(t, "two soils scaled", et(scaled, table), et(column(t, profile), table), 1e-6)
	}
}

// Facts of the trade about sand, corn and mint; common practice, no published
// source. ETo 5 mm/day stands for a warm dry spell; the soil is the field sand.
func TestFactsOfTheTrade(t *testing.T) {
	sand := soilNamed(t, "field sand")
	// run returns the first day with transpiration below 95 % (0 none) and Ks on day 14.
	run := func(rootM, p, kcb, table, limit float64, days int) (first int, ks14 float64) {
		profile := DefaultProfile(sand, rootM)
		profile.CompensationLimit = limit
		c := column(t, profile)
		d := Demand{EToMM: 5, Kcb: kcb, KcMax: 1.2, Cover: 0.95, P: p, RootM: rootM}
		s := c.Start(0, d, table)
		for day := 1; day <= days; day++ {
			var out Fluxes
			c.Step(&s, &d, &Water{TableM: table}, &out)
			if out.Ks < 0.95 && first == 0 {
				first = day
			}
			if day == 14 {
				ks14 = out.Ks
			}
		}
		return first, ks14
	}
	corn := func(table, limit float64, days int) (int, float64) { return run(1.0, 0.55, 1.15, table, limit, days) }
	const ft = 0.3048
	high := math.Inf(1)
	for _, limit := range []float64{1, 2, 20} {
		if first, _ := corn(3*ft, limit, 100); first != 0 {
			t.Errorf("table at 3 ft, limit %g: corn is short of water on day %d; it does not wilt all season", limit, first)
		}
	}
	if first, _ := corn(6*ft, 2, 30); first == 0 || first > 20 {
		t.Errorf("table at 6 ft: corn is short of water on day %d; it wilts", first)
	}
	if first, _ := corn(high, 2, 30); first < 8 || first > 12 {
		t.Errorf("a full profile of high sand: corn is in trouble on day %d, not about 10", first)
	}
	if first, _ := run(0.6, 0.40, 1.10, high, 2, 30); first < 5 || first > 9 {
		t.Errorf("a full profile of high sand: mint is in trouble on day %d, not about 7", first)
	}
	if _, ks := corn(high, 2, 30); ks > 0.6 {
		t.Errorf("two rainless weeks: corn on high sand has Ks %.2f, not curling", ks)
	}
}

// On free-draining ground layers are never less stressed than FAO-56 Eq. 84
// has the root zone as a whole, whatever stands in for dry roots: depletion
// past RAW is stress.
func TestStressNoLaterThanOneBucket(t *testing.T) {
	for _, limit := range []float64{1, 2, 20} {
		profile := DefaultProfile(soilNamed(t, "field sand"), 0.6)
		profile.CompensationLimit = limit
		c := column(t, profile)
		d := Demand{EToMM: 6, Kcb: 1.1, KcMax: 1.2, Cover: 0.95, P: 0.4, RootM: 0.6}
		s := c.Start(0, d, math.Inf(1))
		for day := 1; day <= 30; day++ {
			depletion, taw, raw := c.Totals(&s, &d, math.Inf(1))
			var out Fluxes
			c.Step(&s, &d, &Water{TableM: math.Inf(1)}, &out)
			whole := 1.0
			if depletion > raw {
				whole = (taw - depletion) / (taw - raw) // FAO-56 Eq. 84
			}
			// p follows the day's ETc, by up to 0.02 between the evening and the day.
			if out.Ks > whole+0.04 {
				t.Errorf("limit %g, day %d: Ks %.3f with %.1f of %.1f mm gone (RAW %.1f); one bucket has %.3f", limit, day, out.Ks, depletion, taw, raw, whole)
			}
		}
	}
}

// Evaporable water: a wet spring's bare ground may dry to TEW and no further.
func TestBareGround(t *testing.T) {
	c := column(t, DefaultProfile(soilNamed(t, "field sand"), 1))
	d := Demand{EToMM: 7, Kcb: 0, KcMax: 1.2, P: 0.5}
	s := c.Start(0, d, math.Inf(1))
	total := 0.0
	for range 60 {
		var out Fluxes
		c.Step(&s, &d, &Water{TableM: math.Inf(1)}, &out)
		total += out.EvaporationMM
	}
	near(t, "evaporation", total, c.tew, 0.01)
}

func TestBadProfiles(t *testing.T) {
	sand := soilNamed(t, "sand")
	for want, change := range map[string]func(*Profile){
		"root depth":                         func(p *Profile) { p.RootMaxM = math.NaN() },
		"layers: 9":                          func(p *Profile) { p.Layers = 9 },
		"compensation":                       func(p *Profile) { p.CompensationLimit = 0 },
		"gap":                                func(p *Profile) { p.RootGapM = -1 },
		"drained":                            func(p *Profile) { p.DrainedMMPerDay = 0 },
		"evaporation layer":                  func(p *Profile) { p.ZeM = 0 },
		"curve number":                       func(p *Profile) { p.CurveNumber = 101 },
		"offset":                             func(p *Profile) { p.TableOffsetM = math.Inf(1) },
		"stress":                             func(p *Profile) { p.Stress = &Stress{80, 3} },
		"none given":                         func(p *Profile) { p.Horizons = nil },
		"expected to begin at 0 m":           func(p *Profile) { p.Horizons[0].TopM = 0.1 },
		"reach the root depth":               func(p *Profile) { p.Horizons[0].BottomM = 0.5 },
		"theta_s":                            func(p *Profile) { v := sand; v.ThetaS = 0; p.Horizons[0].Hydraulics = &v },
		"are needed where no hydraulics":     func(p *Profile) { p.Horizons[0].Hydraulics = nil },
		"wilting point < field capacity":     func(p *Profile) { p.Horizons[0].ThetaFC = 0.02 },
		"above saturation":                   func(p *Profile) { p.Horizons[0].ThetaFC = 0.5 },
		"total evaporable water: 90":         func(p *Profile) { p.TEWMM = 90 },
		"readily evaporable water: 50":       func(p *Profile) { p.REWMM = 50 },
		"root depth: 9 m is not possible; e": func(p *Profile) { p.RootMaxM = 9; p.Layers = 0 },
	} {
		p := DefaultProfile(sand, 1)
		change(&p)
		_, err := NewColumn(p)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

// A NaN anywhere shows in the closure, never as a number that looks right.
func TestNaNShows(t *testing.T) {
	for _, n := range []int{1, 4} {
		p := DefaultProfile(soilNamed(t, "field sand"), 1)
		p.Layers = n
		c := column(t, p)
		good := Demand{EToMM: 6, Kcb: 1, KcMax: 1.2, Cover: 0.5, P: 0.5, RootM: 1}
		nan := math.NaN()
		for i, bad := range []struct {
			d Demand
			w Water
		}{
			{Demand{nan, 1, 1.2, 0.5, 0.5, 1, false, false}, Water{}}, {Demand{6, nan, 1.2, 0.5, 0.5, 1, false, false}, Water{}},
			{good, Water{RainMM: nan}}, {good, Water{NetMM: nan, FwNet: 1}},
		} {
			for _, table := range []float64{1.2, math.Inf(1)} {
				s := c.Start(0.2, good, table)
				bad.w.TableM = table
				var out Fluxes
				c.Step(&s, &bad.d, &bad.w, &out)
				if math.Abs(out.ClosureMM) < closureMM {
					t.Errorf("%d layers, case %d, table %g: %+v", n, i, table, out)
				}
			}
		}
	}
}

func TestStepDoesNotAllocate(t *testing.T) {
	c := column(t, DefaultProfile(soilNamed(t, "field sand"), 1))
	d := Demand{EToMM: 6, Kcb: 1, KcMax: 1.2, Cover: 0.5, P: 0.5, RootM: 1}
	s := c.Start(0.2, d, 1.4)
	w := Water{TableM: 1.4}
	var out Fluxes
	if n := testing.AllocsPerRun(100, func() { c.Step(&s, &d, &w, &out); c.Totals(&s, &d, 1.4) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

// Curve number runoff in inches: arithmetic of the SCS equation.
func TestRunoff(t *testing.T) {
	const inch = 25.4
	for _, r := range []struct{ rain, cn, want float64 }{
		{4, 80, 2.0417}, {3, 70, 0.7143}, {5, 75, 2.4493}, {2, 65, 0.1351}, {2, 67, 0.1734}, {0.2, 80, 0}, {1, 100, 1},
	} {
		near(t, "runoff", Runoff(r.rain*inch, r.cn)/inch, r.want, 6e-5)
		p := DefaultProfile(soilNamed(t, "field sand"), 1)
		p.CurveNumber = r.cn
		c := column(t, p)
		d := Demand{P: 0.5, RootM: 1}
		s := c.Start(0, d, math.Inf(1))
		var out Fluxes
		c.Step(&s, &d, &Water{RainMM: r.rain * inch, TableM: math.Inf(1)}, &out)
		near(t, "runoff in the step", out.RunoffMM, Runoff(r.rain*inch, r.cn), 1e-9)
	}
}

// The wetted fraction after rain, irrigation, both and neither (FAO-56 Table 20
// and the rules after it).
func TestWettedFraction(t *testing.T) {
	for _, r := range []struct{ before, rain, net, fw, want float64 }{
		{0.4, 0, 0, 1, 0.4}, {0.4, 2, 0, 1, 0.4}, {0.4, 5, 0, 1, 1}, {1, 0, 20, 0.3, 0.3}, {1, 10, 10, 0.3, 0.65}, {1, 1, 10, 0.3, 0.3},
	} {
		near(t, "fw", wettedFraction(r.before, r.rain, r.net, r.fw), r.want, 1e-12)
	}
}
