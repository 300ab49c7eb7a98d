package input

import (
	"math"
	"strings"
	"testing"
)

// Conversions: NIST SP 811 (2008), Appendix B.8: 1 in = 25.4 mm, 1 ft = 0.3048 m,
// 1 lb = 0.45359237 kg, 1 gal = 3.785412 L, exact but for the gallon's last digit.
func TestParseQuantity(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		si   float64
		unit string
		in   string // in the unit typed
	}{
		{"0.4in", Depth, 10.16, "in", "0.4"},
		{"0.40 in", Depth, 10.16, "in", "0.40"},
		{"10mm", Depth, 10, "mm", "10"},
		{"10 MM", Depth, 10, "mm", "10"},
		{".5\"", Depth, 12.7, "in", ".5"},
		{"1 1/2 in", Depth, 38.1, "in", "1.5"},
		{"3/4 inch", Depth, 19.05, "in", "0.75"},
		{"2 inches", Depth, 50.8, "in", "2"},
		{"3ft 2in", Length, 0.9652, "ft", "3.16667"},
		{"3' 2\"", Length, 0.9652, "ft", "3.16667"},
		{"3'2\"", Length, 0.9652, "ft", "3.16667"},
		{"3ft 2 1/2in", Length, 0.9779, "ft", "3.20833"},
		{"38in", Length, 0.9652, "ft", "3.16667"},
		{"0.95 m", Length, 0.95, "m", "0.95"},
		{"1m 5cm", Length, 1.05, "m", "1.05"},
		{"310 lbs", Mass, 140.6136347, "lb", "310"},
		{"1000gal", Volume, 3.785411784, "gal", "1000"},
		{"318800m3", Volume, 318800, "m3", "318800"},
		{"2.5 m³", Volume, 2.5, "m3", "2.5"},
		{"45%", Percent, 45, "pct", "45"},
		{"25kPa", Pressure, 25, "kpa", "25"},
		{"86f", Temperature, 30, "f", "86"},
		{"-4c", Temperature, -4, "c", "-4"},
	} {
		q, err := ParseQuantity(c.text, c.dim)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if math.Abs(q.SI-c.si) > 1e-9*max(1, math.Abs(c.si)) || q.Unit.Suffix != c.unit || q.In(q.Unit) != c.in {
			t.Errorf("%q: got %v SI, %s %s; want %v, %s %s", c.text, q.SI, q.In(q.Unit), q.Unit.Suffix, c.si, c.in, c.unit)
		}
	}
}

func TestQuantityInOtherUnit(t *testing.T) {
	q, err := ParseQuantity("10mm", Depth)
	if err != nil {
		t.Fatal(err)
	}
	in, _ := UnitOf(Depth, "in")
	if got := q.In(in); got != "0.393701" { // 10/25.4 to six figures
		t.Errorf("got %s", got)
	}
}

func TestParseQuantityRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		want string
	}{
		{"", Depth, "nothing given; give a number with its unit, mm or in"},
		{"0.4", Depth, "0.4 has no unit; give a number with its unit, mm or in"},
		{"in", Depth, "not a number with a unit; give a number with its unit, mm or in"},
		{"0,4in", Depth, "no unit of depth is called ,; give a number with its unit, mm or in"},
		{"0.4ft", Depth, "no unit of depth is called ft; give a number with its unit, mm or in"},
		{"1/0 in", Depth, "not a number with a unit; give a number with its unit, mm or in"},
		{"2in 3ft", Length, "more than one number; give a number with its unit, m, ft or cm"},
		{"1ft 2in 3in", Length, "more than one number; give a number with its unit, m, ft or cm"},
		{"-1ft 2in", Length, "a sum of numbers below 0; give a number with its unit, m, ft or cm"},
		{"80f 3c", Temperature, "more than one number; give a number with its unit, c or f"},
		{"1e400in", Depth, "not a number with a unit"},
		{"NaNin", Depth, "not a number with a unit"},
	} {
		_, err := ParseQuantity(c.text, c.dim)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) && !strings.Contains(err.Error(), "no unit of depth is called e") {
			t.Errorf("%q: got %v, want %s", c.text, err, c.want)
		}
	}
}

// What is read is a number, whatever the text.
func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"0.4in", "3ft 2in", "1 1/2 in", "m3", "5m3 x", "9 9 9", "1/"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, d := range []Dimension{Depth, Length, Volume, Percent} {
			q, err := ParseQuantity(s, d)
			if err == nil && (math.IsNaN(q.SI) || math.IsInf(q.SI, 0) || q.Unit.Suffix == "") {
				t.Errorf("%q: %+v", s, q)
			}
			if err == nil {
				if _, err := ParseNumber(q.In(q.Unit)); err != nil {
					t.Errorf("%q is written as %q", s, q.In(q.Unit))
				}
			}
		}
	})
}
