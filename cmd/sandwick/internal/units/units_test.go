package units

import (
	"math"
	"testing"
)

// Each conversion against a printed value: NIST SP 811 (2008) App. B.8 prints
// the factors to seven figures; the others are definitions.
func TestConversions(t *testing.T) {
	tests := []struct {
		name   string
		q      Quantity
		si     float64
		want   float64
		tol    float64
		source string
	}{
		{"one inch", Depth, 25.4, 1, 1e-12, "NIST SP 811 B.8: inch = 2.54 E-02 m"},
		{"one foot", Ground, 0.3048, 1, 1e-12, "NIST SP 811 B.8: foot = 3.048 E-01 m"},
		{"one gallon", Volume, 3.785412e-3, 1, 1e-6, "NIST SP 811 B.8: gallon (US) = 3.785 412 E-03 m³"},
		{"one acre", Area, 4046.8564224, 1, 1e-12, "international acre, 43 560 square feet"},
		{"one mile per hour", Wind, 0.44704, 1, 1e-12, "NIST SP 811 B.8: mile per hour = 4.4704 E-01 m/s"},
		{"one langley", Radiation, 4.184e4 / 1e6, 1, 1e-12, "NIST SP 811 B.8: langley = 4.184 E+04 J/m²"},
		{"boiling water", Temperature, 100, 212, 1e-9, "definition of the Fahrenheit scale"},
		{"freezing water", Temperature, 0, 32, 0, "definition of the Fahrenheit scale"},
		{"a hectare", Area, 1e4, 2.471054, 1e-6, "NIST SP 811 B.8: hectare; 1/0.40468564"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.q.Value(US, tt.si); math.Abs(got-tt.want) > tt.tol {
				t.Errorf("Value(US, %v) = %v, want %v ± %v (%s)", tt.si, got, tt.want, tt.tol, tt.source)
			}
		})
	}
}

// Rounding is shown at the crux and its neighbour.
func TestFormat(t *testing.T) {
	tests := []struct {
		q    Quantity
		s    System
		si   float64
		want string
	}{
		{Depth, US, 25.4, "1.00"},
		{Depth, US, 25.4 * 0.9949, "0.99"},
		{Depth, US, 25.4 * 0.9951, "1.00"},
		{Depth, SI, 25.44, "25.4"},
		{Depth, SI, -0.04, "0.0"},
		{Depth, SI, -0.06, "-0.1"},
		{Depth, SI, math.NaN(), "-"},
		{Depth, US, math.Inf(1), "-"},
		{Temperature, US, 21, "69.8"},
		{Volume, US, 3785.411784, "1,000,000"},
		{Volume, US, 3785.411784 * 0.0014996, "1500"},
		{Volume, US, 3785.411784 * 0.0124, "12,000"},
		{Volume, SI, 9999.4, "9999"},
		{Volume, SI, 9999.6, "10,000"},
		{Area, SI, 526_000, "52.60"},
	}
	for _, tt := range tests {
		if got := tt.q.Format(tt.s, tt.si); got != tt.want {
			t.Errorf("Format(%v, %v) = %q, want %q", tt.s, tt.si, got, tt.want)
		}
	}
}

func TestText(t *testing.T) {
	if got := Depth.Text(US, 19.05); got != "0.75 in" {
		t.Errorf("got %q", got)
	}
	if got := Coefficient.Text(SI, 1.15); got != "1.15" {
		t.Errorf("got %q", got)
	}
}

func TestMoney(t *testing.T) {
	for _, tt := range []struct {
		currency string
		v        float64
		want     string
	}{
		{"USD", 213.6, "$214"},
		{"USD", -12345.4, "-$12,345"},
		{"EUR", 8, "€8"},
		{"CHF", 12, "CHF 12"},
		{"USD", math.NaN(), "-"},
	} {
		if got := Money(tt.currency, tt.v); got != tt.want {
			t.Errorf("Money(%q, %v) = %q, want %q", tt.currency, tt.v, got, tt.want)
		}
	}
}

func TestParse(t *testing.T) {
	for _, name := range []string{"us", "si"} {
		s, ok := Parse(name)
		if !ok || s.String() != name {
			t.Errorf("Parse(%q) = %v, %v", name, s, ok)
		}
	}
	if _, ok := Parse("metric"); ok {
		t.Error(`Parse("metric") accepted`)
	}
}
