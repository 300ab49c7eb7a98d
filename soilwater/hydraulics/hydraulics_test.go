package hydraulics

// The curves against closed forms, published constants and independent
// quadrature; testdata/README.md has the sources.

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
)

func rows(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatal(name, err)
	}
	return all[1:]
}

func numbers(t testing.TB, text string) []float64 {
	t.Helper()
	var out []float64
	for _, part := range strings.Split(text, ";") {
		x, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, x)
	}
	return out
}

func nearRel(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g, relative difference %.2g, allowed %.2g", what, got, want, got/want-1, tol)
	}
}

var dry = math.Inf(1)

func soil(t testing.TB, name string) VanGenuchten {
	t.Helper()
	v, ok := Lookup(name)
	if !ok {
		t.Fatal(name)
	}
	return v
}

func TestSets(t *testing.T) {
	for _, r := range rows(t, "sets.csv") {
		v := soil(t, r[0])
		for i, got := range []float64{v.ThetaR, v.ThetaS, v.AlphaPerM, v.N, v.KsMPerDay, v.L} {
			nearRel(t, fmt.Sprint(r[0], " column ", i+1), got, numbers(t, r[i+1])[0], 1e-12)
		}
		if v.Source == "" || v.Verified == "" || v.Validate() != nil {
			t.Errorf("%s: source %q, verified %q, %v", r[0], v.Source, v.Verified, v.Validate())
		}
	}
	if len(rows(t, "sets.csv")) != len(Names()) {
		t.Errorf("%d sets, %d in testdata", len(Names()), len(rows(t, "sets.csv")))
	}
	if _, ok := Lookup("Field Sand "); !ok {
		t.Error("names do not mind case and blanks")
	}
	if _, ok := Lookup("gravel"); ok {
		t.Error("gravel is not a set")
	}
}

// Gardner 1958 with b kept: the closed form, to 1e-6.
func TestGardnerClosedForm(t *testing.T) {
	for _, g := range []Gardner{
		{A: 1100e-6, B: 565e-4, N: 2}, // Chino clay: 1100 cm³/day, 565 cm²
		{A: 2e-3, B: 1e-3, N: 1.5},
		{A: 5e-4, B: 2e-4, N: 3},
		{A: 1e-5, B: 1e-6, N: 4},
	} {
		for _, q := range []float64{0.01, 0.3, 2, 6, 40, 300} {
			climb := g.DryClimb(q)
			nearRel(t, fmt.Sprintf("%v climb at %g", g, q), Climb(g, q, dry), climb, 1e-8)
			nearRel(t, fmt.Sprintf("%v flux at %g m", g, climb), SteadyFlux(g, climb, dry), q, 1e-6)
		}
	}
	chino := Gardner{A: 1100e-6, B: 565e-4, N: 2}
	for _, r := range rows(t, "capillary.csv") {
		if r[0] != "gardner_chino_exact_and_b0_mm_per_day" {
			continue
		}
		climb, want := numbers(t, r[2])[0], numbers(t, r[3])
		if got := SteadyFlux(chino, climb, dry); math.Abs(got-want[0]) > 0.00051 {
			t.Errorf("Chino clay at %g m: %.4f, want %.3f mm/day", climb, got, want[0])
		}
		limit := 1000 * math.Pow(math.Pi/(2*math.Sin(math.Pi/2)), 2) * chino.A / (climb * climb)
		if math.Abs(limit-want[1]) > 0.00051 {
			t.Errorf("Chino clay without b at %g m: %.4f, want %.3f mm/day", climb, limit, want[1])
		}
	}
}

// Gardner's 1958 limits E = C a d⁻ⁿ, reached when q is far below Ks.
func TestGardnerLimits(t *testing.T) {
	seen := 0
	for _, r := range rows(t, "capillary.csv") {
		if r[0] != "gardner_constant_printed_and_exact" {
			continue
		}
		seen++
		n, want := numbers(t, r[2])[0], numbers(t, r[3])
		g := Gardner{A: 1e-3, B: 1e-9, N: n}
		d := 2.0
		c := SteadyFlux(g, d, dry) / 1000 / (g.A * math.Pow(d, -n))
		if math.Abs(c-want[1]) > 6e-5 {
			t.Errorf("n = %g: C = %.5f, want %.4f", n, c, want[1])
		}
		if math.Abs(c-want[0]) > 0.0101 { // the printed constants are a little off
			t.Errorf("n = %g: C = %.5f, printed %.2f", n, c, want[0])
		}
	}
	if seen != 4 {
		t.Errorf("%d constants", seen)
	}
}

// The exponential conductivity's analytic solution, to 1e-6, wet and dry.
func TestExponentialSolution(t *testing.T) {
	for _, e := range []Exponential{{0.05, 2}, {1, 5}, {7, 14.5}} {
		for _, climb := range []float64{0.05, 0.3, 0.8, 1.5} {
			for _, more := range []float64{0.01, 0.2, 1, 50} {
				name := fmt.Sprintf("%v climb %g suction %g", e, climb, climb+more)
				nearRel(t, name, SteadyFlux(e, climb, climb+more), e.Flux(climb, climb+more), 1e-6)
			}
			nearRel(t, fmt.Sprintf("%v climb %g dry", e, climb), SteadyFlux(e, climb, dry), e.Flux(climb, dry), 1e-6)
		}
	}
}

// The flux table and the heights of rise over Carsel & Parrish's class means.
func TestCapillaryTable(t *testing.T) {
	seen := 0
	for _, r := range rows(t, "capillary.csv") {
		switch r[0] {
		case "flux_mm_per_day_at_suction_2_10_160_m":
			climb := numbers(t, r[2])[0]
			for i, want := range numbers(t, r[3]) {
				got := SteadyFlux(soil(t, r[1]), climb, []float64{2, 10, 160}[i])
				nearRel(t, fmt.Sprintf("%s %g m suction %d", r[1], climb, i), got, want, 5.1e-4) // four digits printed
				seen++
			}
		case "climb_cm_at_suction_160_m":
			q, want := numbers(t, r[2]), numbers(t, r[3])
			for i := range q {
				got := 100 * Climb(soil(t, r[1]), q[i], 160)
				if math.Abs(got-want[i]) > 0.051 {
					t.Errorf("%s rise at %g mm/day: %.3f, want %.1f cm", r[1], q[i], got, want[i])
				}
				seen++
			}
		}
	}
	if seen != 4*9*3+4*5 {
		t.Errorf("%d values seen", seen)
	}
}

// The stated error of SteadyFlux: half the panel width changes nothing that
// matters.
func TestFluxError(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 40 {
		v := randomSoil(r)
		climb := math.Exp(r.Float64()*5 - 3)
		suction := climb + math.Exp(r.Float64()*8-3)
		if r.IntN(3) == 0 {
			suction = dry
		}
		q := SteadyFlux(v, climb, suction) / 1000
		// An independent sum: substitution h = t/(1-t) scaled, midpoint rule with
		// many points in ln h.
		hi := min(math.Log(suction), highestLnH)
		const n = 60_000
		lo := -40.0
		step := (hi - lo) / n
		z := math.Exp(lo)
		for i := range n {
			h := math.Exp(lo + (float64(i)+0.5)*step)
			k := v.K(h)
			z += step * h * k / (k + q)
		}
		// Error in climb times the slope d ln q / d ln z.
		dq := SteadyFlux(v, climb*1.001, suction+0.001*climb) / 1000
		slope := math.Abs(math.Log(dq/q)) / 0.001
		if rel := math.Abs(z/climb-1) * slope; !(rel < 1e-6) {
			t.Errorf("%+v climb %g suction %g: relative error %.2g", v, climb, suction, rel)
		}
	}
}

func randomSoil(r *rand.Rand) VanGenuchten {
	return VanGenuchten{
		Name: "random", ThetaR: 0.02 + 0.05*r.Float64(), ThetaS: 0.35 + 0.1*r.Float64(),
		AlphaPerM: 1 + 14*r.Float64(), N: 1.2 + 2.3*r.Float64(), KsMPerDay: math.Exp(r.Float64()*5 - 3), L: 0.5,
	}
}

// Reach of the sands, to the digits of the study the model rests on (computed).
func TestReach(t *testing.T) {
	for name, want := range map[string]float64{
		"field sand": 0.89, "loamy sand (class average)": 0.72, "sand (class average)": 0.66, "loamy sand": 0.22, "sand": 0.19,
	} {
		if got := Reach(soil(t, name)); math.Abs(got-want) > 0.0051 {
			t.Errorf("%s: %.4f m, want %.2f", name, got, want)
		}
		nearRel(t, name, SteadyFlux(soil(t, name), Reach(soil(t, name)), dry), ReachMMPerDay, 1e-6)
	}
	// At 0.5 m the sets span 0.017 to 72 mm/day; 10 and 150 m of suction agree
	// within 1.3 % to climbs of 1 m on sand.
	nearRel(t, "least", SteadyFlux(soil(t, "sand"), 0.5, dry), 0.017, 0.02)
	nearRel(t, "most", SteadyFlux(soil(t, "field sand"), 0.5, dry), 72, 0.005)
	for _, name := range Names()[:2] {
		a, b := SteadyFlux(soil(t, name), 1, 10), SteadyFlux(soil(t, name), 1, 150)
		nearRel(t, name+" dryness", a, b, 0.013)
	}
}

func TestWithReach(t *testing.T) {
	for _, name := range Names() {
		v := soil(t, name)
		for _, reach := range []float64{0.1, 0.6, 1.2} {
			w, err := v.WithReach(reach)
			if err != nil {
				t.Fatal(name, err)
			}
			nearRel(t, name, Reach(w), reach, 1e-9)
			// Free-draining ground stays as it was.
			nearRel(t, name+" drained", w.Drained(3), v.Drained(3), 1e-9)
		}
	}
	v := soil(t, "sand")
	for _, reach := range []float64{0, -1, 9, math.NaN()} {
		if _, err := v.WithReach(reach); err == nil {
			t.Errorf("reach %g is not refused", reach)
		}
	}
}

// Table against SteadyFlux at points between its nodes; never rising.
func TestTable(t *testing.T) {
	for _, name := range Names() {
		v := soil(t, name)
		table := NewTable(v)
		before := math.Inf(1)
		for i := range 500 {
			climb := math.Exp(math.Log(1e-3) + (math.Log(50)-math.Log(1e-3))*(float64(i)+0.37)/500)
			got := table.Flux(climb)
			if want := SteadyFlux(v, climb, dry); i%7 == 0 {
				nearRel(t, fmt.Sprintf("%s %g m", name, climb), got, want, TableError)
			}
			if !(got < before) {
				t.Errorf("%s: flux rises at %g m", name, climb)
			}
			before = got
		}
	}
	// Scaled heights: a table of the scaled soil is the scaled table.
	for _, name := range Names() {
		v := soil(t, name)
		w, err := v.WithReach(0.4)
		if err != nil {
			t.Fatal(err)
		}
		scaled, shared := NewTable(v).Scaled(v.AlphaPerM/w.AlphaPerM), new(Curves).Table(w)
		for _, climb := range []float64{0.003, 0.1, 0.4, 1.7, 20} {
			want := SteadyFlux(w, climb, dry)
			nearRel(t, name+" scaled", scaled.Flux(climb), want, TableError)
			nearRel(t, name+" shared", shared.Flux(climb), want, TableError)
		}
	}
	table := NewTable(soil(t, "field sand"))
	if n := testing.AllocsPerRun(100, func() { table.Flux(0.7) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

// A pile of one soil cut in pieces is that soil; a pile of two keeps to the
// definition: the suction found going up ends dry at the point asked for.
func TestStack(t *testing.T) {
	sand, finer := soil(t, "field sand"), soil(t, "loamy sand (class average)")
	almost := sand
	almost.AlphaPerM *= 1 + 1e-9 // not the same to a comparison, the same to the eye
	stack := new(Curves).Stack([]Segment{{0.4, sand}, {0.9, almost}, {1.5, sand}})
	for _, table := range []float64{0.7, 1.2, 2.5} {
		for _, at := range []float64{0, 0.3, 0.65} {
			if table-at > 0.1 {
				nearRel(t, fmt.Sprint("one soil ", table, at), stack.Flux(table, at), SteadyFlux(sand, table-at, dry), StackError)
			}
		}
	}
	pile := new(Curves).Stack([]Segment{{0.5, sand}, {3, finer}})
	for _, table := range []float64{0.8, 1.2, 1.8} {
		q := pile.Flux(table, 0.2) / 1000
		// March up by small steps of suction, changing soil at 0.5 m.
		height, h := 0.0, 1e-7
		for height < table-0.2+1 && h < 1e7 {
			v := finer
			if table-height < 0.5 {
				v = sand
			}
			dh := h * 1e-4
			k := v.K(h + dh/2)
			height += dh * k / (k + q)
			h += dh
		}
		if d := math.Abs(table - 0.2 - height); d > 0.003*(table-0.2) {
			t.Errorf("table %g: flux %.4g mm/day ends %.4f m above the table, want %.4f", table, 1000*q, height, table-0.2)
		}
	}
	if !math.IsInf(pile.Flux(0.5, 0.6), 1) {
		t.Error("below the table there is no limit")
	}
}

// Capacity is the slope of Theta; Suction its inverse; K falls; all by random soils.
func TestCurves(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for range 100 {
		v := randomSoil(r)
		h := math.Exp(r.Float64()*8 - 4)
		slope := fd.Derivative(v.Theta, h, &fd.Settings{Formula: fd.Central, Step: 1e-5 * h})
		nearRel(t, fmt.Sprintf("%+v capacity at %g", v, h), v.Capacity(h), -slope, 1e-5)
		if th := v.Theta(h); th < v.ThetaS-1e-6 && th > v.ThetaR+1e-6 {
			nearRel(t, "suction", v.Suction(th), h, 1e-6)
		}
		if !(v.K(h*1.1) < v.K(h)) || v.K(0) != v.KsMPerDay || v.Theta(-1) != v.ThetaS {
			t.Errorf("%+v: K does not fall from Ks", v)
		}
		nearRel(t, "drained", v.K(v.DrainedSuction(v.KsMPerDay*100)), v.KsMPerDay*0.1, 1e-9)
	}
}

func TestBadArguments(t *testing.T) {
	v := soil(t, "sand")
	for _, c := range []struct{ got, want float64 }{
		{SteadyFlux(v, 0, 1), math.Inf(1)}, {SteadyFlux(v, 1, 1), 0}, {SteadyFlux(v, 1, 0.5), 0}, {SteadyFlux(v, dry, dry), 0},
	} {
		if c.got != c.want {
			t.Errorf("got %g, want %g", c.got, c.want)
		}
	}
	for _, x := range []float64{SteadyFlux(v, math.NaN(), 1), SteadyFlux(v, 1, math.NaN()), Climb(v, -1, 1), Climb(v, 1, 0)} {
		if !math.IsNaN(x) {
			t.Errorf("got %g, want NaN", x)
		}
	}
	bad := VanGenuchten{ThetaR: -1, ThetaS: -2, AlphaPerM: 0, N: 1, KsMPerDay: math.NaN(), L: 99}
	err := bad.Validate()
	for _, field := range []string{"theta_r", "theta_s", "alpha_per_m", "n:", "ks_m_per_day", "l:"} {
		if err == nil || !strings.Contains(err.Error(), field) {
			t.Errorf("%s is not reported in %v", field, err)
		}
	}
}

func BenchmarkNewTable(b *testing.B) {
	v := soil(b, "field sand")
	b.ReportAllocs()
	for b.Loop() {
		NewTable(v)
	}
}

func BenchmarkTableFlux(b *testing.B) {
	table := NewTable(soil(b, "field sand"))
	sum := 0.0
	b.ReportAllocs()
	for b.Loop() {
		sum += table.Flux(0.7)
	}
	if !(sum > 0) {
		b.Fatal(sum)
	}
}
