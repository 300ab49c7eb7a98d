// Pieces of the books held against published figures.

package books

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"sandwick/et/input"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g (off %.2g, allowed %.2g)", what, got, want, got-want, tol)
	}
}

// NIST Statistical Reference Datasets, linear regression through the origin:
// NoInt1 (Eberhardt) and NoInt2; certified values, from memory.
func TestRegressNIST(t *testing.T) {
	var x [][]float64
	var y []float64
	for i := range 11 {
		x, y = append(x, []float64{60 + float64(i)}), append(y, 130+float64(i))
	}
	q, se, ok := Regress(x, y)
	if !ok {
		t.Fatal("NoInt1 not solved")
	}
	near(t, "NoInt1 B1", q[0], 2.07438016528926, 1e-12)
	near(t, "NoInt1 standard deviation of B1", se[0], 0.165289256198347e-01, 1e-14)
	q, se, ok = Regress([][]float64{{4}, {5}, {6}}, []float64{3, 4, 4})
	if !ok {
		t.Fatal("NoInt2 not solved")
	}
	near(t, "NoInt2 B1", q[0], 0.727272727272727, 1e-13)
	near(t, "NoInt2 standard deviation of B1", se[0], 0.420827318078432e-01, 1e-14)
}

// One machine alone is the regression through the origin of gonum/stat.
func TestRegressOneMachineIsStat(t *testing.T) {
	hours := []float64{24, 31.5, 12, 40, 18.25, 7}
	volume := []float64{2310, 3190, 1170, 4001, 1799, 730}
	x := make([][]float64, len(hours))
	for i := range x {
		x[i] = []float64{hours[i]}
	}
	q, _, ok := Regress(x, volume)
	_, slope := stat.LinearRegression(hours, volume, nil, true)
	if !ok {
		t.Fatal("not solved")
	}
	near(t, "flow", q[0], slope, 1e-10*slope)
}

// Two machines with known flows and no noise come back exactly; the same hours
// for both cannot tell them apart.
func TestRegressTwoMachines(t *testing.T) {
	x := [][]float64{{10, 0}, {0, 12}, {5, 5}, {20, 3}}
	y := make([]float64, len(x))
	for i := range x {
		y[i] = 190*x[i][0] + 170*x[i][1]
	}
	q, se, ok := Regress(x, y)
	if !ok {
		t.Fatal("not solved")
	}
	near(t, "first", q[0], 190, 1e-9)
	near(t, "second", q[1], 170, 1e-9)
	near(t, "error", se[0], 0, 1e-9)
	if _, _, ok := Regress([][]float64{{1, 1}, {2, 2}, {3, 3}}, []float64{1, 2, 3}); ok {
		t.Error("machines that always run together were told apart")
	}
	if _, _, ok := Regress([][]float64{{1, 2}}, []float64{3}); ok {
		t.Error("one reading told two machines apart")
	}
	if _, se, ok := Regress([][]float64{{2}}, []float64{4}); !ok || !math.IsNaN(se[0]) {
		t.Errorf("one reading leaves no error to estimate: %v %v", se, ok)
	}
}

// testdata/tr21.csv: USDA-SCS TR-21 (1967), its equation from memory, and figures
// computed from that equation by others, as they are and with their labels. No
// printed table of TR-21 was at hand: this finds a slip in the code, not one in the
// memory of the equation.
func TestEffectiveRainTR21(t *testing.T) {
	file, err := os.Open("testdata/tr21.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, row := range rows[1:] {
		item, want := row[1], row[4]
		if depths, ok := strings.CutPrefix(item, "SF at D "); ok {
			d, sf := figures(t, strings.TrimSuffix(depths, " in"), ";"), figures(t, want, ";")
			if len(d) != len(sf) {
				t.Fatalf("%d depths, %d factors: %v", len(d), len(sf), row)
			}
			for i := range d {
				near(t, item, storageFactor(d[i]), sf[i], 5.0001e-5)
				checked++
			}
		}
		if strings.HasPrefix(item, "Pt ") {
			x := figures(t, strings.NewReplacer("Pt", "", "ETc", "", "D", "").Replace(item), ",")
			near(t, item, EffectiveMM(x[0]*25.4, x[1]*25.4, x[2]*25.4, 30)/25.4, figures(t, want, ";")[0], 5.0001e-5)
			checked++
		}
	}
	if checked != 8 {
		t.Errorf("%d figures compared, want 5 factors and 3 examples", checked)
	}
}

func figures(t *testing.T, text, separator string) []float64 {
	t.Helper()
	var out []float64
	for _, word := range strings.Split(text, separator) {
		v, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// Effective rain is never below 0, never above the rain or the crop's use, grows
// with rain, and half a month of half the rain is half of it.
func TestEffectiveRainBounds(t *testing.T) {
	last := 0.0
	for rain := 0.0; rain < 400; rain += 0.5 {
		got := EffectiveMM(rain, 120, 50, 31)
		if got < last-1e-12 || got > rain || got > 120 {
			t.Fatalf("%g mm of rain: %g", rain, got)
		}
		last = got
	}
	near(t, "half a month", EffectiveMM(30, 60, 50, 15), EffectiveMM(30*meanMonth/15, 60*meanMonth/15, 50, 30)*15/meanMonth, 1e-12)
	for _, x := range []float64{0, -3, math.NaN()} {
		if EffectiveMM(x, 100, 50, 30) != 0 || EffectiveMM(100, x, 50, 30) != 0 {
			t.Errorf("%g counts", x)
		}
	}
}

// Nitrate-nitrogen in well water: 0.2266 lb/acre for each acre-inch and mg/L
// (exact value behind the 0.227 that UC ANR prints), 27.2 lb/ac-ft at 10 ppm (North
// Platte NRD), 109 lb in 24 acre-inches at 20 ppm (UC ANR).
func TestNitrateBrought(t *testing.T) {
	acin, _ := input.UnitOf(input.Volume, "acin")
	acft, _ := input.UnitOf(input.Volume, "acft")
	lb, _ := input.UnitOf(input.Mass, "lb")
	brought := func(m3, ppm float64) float64 {
		l := testLedger(ppm)
		d := Drawn{M3: m3}
		l.nitrate(&d, 0)
		return lb.FromSI(d.NitrateKg)
	}
	near(t, "1 acre-inch at 1 ppm", brought(acin.ToSI(1), 1), 0.2266, 5e-5)
	near(t, "1 acre-foot at 10 ppm", brought(acft.ToSI(1), 10), 27.2, 0.05)
	near(t, "24 acre-inches at 20 ppm", brought(acin.ToSI(24), 20), 108.96, 0.2)
}
