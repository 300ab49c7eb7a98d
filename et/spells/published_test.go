// The closed forms and published definitions that the statistics must meet.

package spells

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func TestClosedForms(t *testing.T) {
	file, err := os.Open("testdata/closed_forms.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	num := func(s string) float64 {
		if s == "" {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, row := range rows[1:] {
		a, b, k, days := num(row[1]), num(row[2]), int(num("0"+row[3])), int(num("0"+row[4]))
		independent := Chain{a, a}
		var got float64
		switch row[0] {
		case "geometric mean":
			got = independent.MeanDryRun()
		case "geometric tail":
			got = independent.DryRunAtLeast(k)
		case "chain wet fraction":
			// P(dry|wet) = b
			got = Chain{a, 1 - b}.WetFraction()
		case "chain dry run":
			got = Chain{a, 1 - b}.MeanDryRun()
		case "chain wet run":
			got = Chain{a, 1 - b}.MeanWetRun()
		case "longest":
			got = independent.LongestAtLeast(k, days)
		case "gumbel":
			got = GumbelFactor(a)
		case "weibull":
			// The longest return period that is still read off the ranked years.
			list := make([]YearMax, days)
			for i := range list {
				list[i] = YearMax{2000 + i, 1 + i}
			}
			for T := 2.0; ReturnOf(list, T).Method == FitRanked; T += 0.001 {
				if r := ReturnOf(list, T); r.Days > float64(days-k+1)-0.01 {
					got = 1 / T
				}
			}
		default:
			t.Fatalf("unknown row %q", row[0])
		}
		// The tolerance is half of the last digit that the table gives.
		_, decimals, _ := strings.Cut(row[5], ".")
		if tol := 0.5*math.Pow10(-len(decimals)) + 1e-12; !(math.Abs(got-num(row[5])) <= tol) {
			t.Errorf("%v: got %.6g", row, got)
		}
	}
}

// Wilson's interval solves |p - k/n| = z sqrt(p (1-p)/n): put back in, both
// ends must satisfy it. Wilson (1927), with the normal quantile of gonum.
func TestWilsonSolvesItsEquation(t *testing.T) {
	for _, level := range []float64{0.5, 0.9, 0.99} {
		z := distuv.UnitNormal.Quantile(0.5 + level/2)
		for _, n := range []int{1, 2, 7, 30, 1000} {
			for k := 0; k <= n; k += max(1, n/7) {
				low, high := Wilson(k, n, level)
				for _, p := range []float64{low, high} {
					off := math.Abs(p-float64(k)/float64(n)) - z*math.Sqrt(p*(1-p)/float64(n))
					if math.Abs(off) > 1e-9 {
						t.Errorf("Wilson(%d, %d, %g): end %g misses by %g", k, n, level, p, off)
					}
				}
				if !(0 <= low && low <= float64(k)/float64(n) && float64(k)/float64(n) <= high && high <= 1) {
					t.Errorf("Wilson(%d, %d, %g) = %g, %g does not hold the frequency", k, n, level, low, high)
				}
			}
		}
	}
	// 0 of 10 at 95 %: 0 to 0.2775, as tables of the score interval have it
	// (Newcombe 1998, from memory).
	low, high := Wilson(0, 10, 0.95)
	if low != 0 || math.Abs(high-0.2775) > 5e-5 {
		t.Errorf("Wilson(0, 10, 0.95) = %g, %.4f; want 0, 0.2775", low, high)
	}
	if low, high := Wilson(0, 0, 0.9); low != 0 || high != 1 {
		t.Errorf("without cases the interval is %g to %g", low, high)
	}
	for _, bad := range [][2]int{{-1, 5}, {6, 5}, {0, -1}} {
		if low, high := Wilson(bad[0], bad[1], 0.9); !math.IsNaN(low) || !math.IsNaN(high) {
			t.Errorf("Wilson(%d, %d) = %g, %g", bad[0], bad[1], low, high)
		}
	}
}

// Rivoire et al. (2019): a day is dry when its rain is below reference ET; the
// fixed limit of 1 mm (ETCCDI) finds shorter spells in summer.
func TestRules(t *testing.T) {
	nan := math.NaN()
	fixed, moving := DefaultRule(), Rule{MinMM: DefaultMinMM, EToShare: 1}
	for _, tt := range []struct {
		rule      Rule
		rain, eto float64
		want      Kind
	}{
		{fixed, 0, nan, Dry}, {fixed, 0.99, nan, Dry}, {fixed, 1, nan, Wet}, {fixed, nan, 5, Unknown}, {fixed, -1, 5, Unknown},
		{moving, 0, 5, Dry}, {moving, 4.9, 5, Dry}, {moving, 5, 5, Wet}, {moving, 0.9, 0.2, Dry},
		{moving, 3, nan, Unknown}, {moving, 0.9, nan, Dry}, {moving, nan, 5, Unknown},
		{Rule{MinMM: 0.254}, 0.254, nan, Wet}, // the least that a US gauge measures
	} {
		if got := tt.rule.Kind(tt.rain, tt.eto); got != tt.want {
			t.Errorf("%+v.Kind(%g, %g) = %d, want %d", tt.rule, tt.rain, tt.eto, got, tt.want)
		}
	}
}
