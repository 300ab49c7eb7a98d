package input_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sandwick/et/input"
)

// TestUnits holds every converter against a published value. SP 811 is NIST
// Special Publication 811 (2008), Appendix B.8 and B.9, from memory; tol is
// half a unit of the last digit printed there. "survey foot" rows are printed
// for the US survey foot, which is 2e-6 longer than the international foot used
// here: 4e-6 for areas, 6e-6 for volumes.
func TestUnits(t *testing.T) {
	tests := []struct {
		dim    input.Dimension
		suffix string
		value  float64
		si     float64
		tol    float64
		source string
	}{
		{input.Length, "m", 1, 1, 0, "SI"},
		{input.Length, "ft", 1, 0.3048, 0, "SP 811, exact"},
		{input.Length, "cm", 1, 0.01, 0, "SI"},
		{input.Depth, "mm", 1, 1, 0, "SI"},
		{input.Depth, "in", 1, 25.4, 0, "SP 811, exact"},
		{input.Flow, "m3h", 1, 1, 0, "SI"},
		{input.Flow, "gpm", 1, 6.309020e-5 * 3600, 5e-12 * 3600, "SP 811: gallon per minute 6.309020 E-05 m³/s"},
		{input.Flow, "lps", 1, 3.6, 0, "SI"},
		{input.Speed, "ms", 1, 1, 0, "SI"},
		{input.Speed, "mph", 1, 0.44704, 1e-16, "SP 811, exact"},
		{input.Speed, "kmh", 1, 2.777778e-1, 5e-8, "SP 811"},
		{input.Speed, "kn", 1, 5.144444e-1, 5e-8, "SP 811"},
		{input.Temperature, "c", 21.5, 21.5, 0, "SI"},
		{input.Temperature, "f", 32, 0, 0, "definition of the Fahrenheit scale"},
		{input.Temperature, "f", 212, 100, 0, "definition of the Fahrenheit scale"},
		{input.Temperature, "f", -40, -40, 0, "the scales meet"},
		{input.DegreeDays, "c", 100, 100, 0, "SI"},
		{input.DegreeDays, "f", 180, 100, 0, "SP 811: an interval of 1 °F is 5/9 °C"},
		{input.Radiation, "mj", 1, 1, 0, "SI"},
		{input.Radiation, "wm2", 1, 0.0864, 1e-16, "FAO-56 Table 3: 1 J m⁻² s⁻¹ is 0.0864 MJ m⁻² d⁻¹"},
		{input.Radiation, "langley", 1, 4.184e-2, 0, "SP 811: langley 4.184 E+04 J/m², exact"},
		{input.HourlyRadiation, "mj", 1, 1, 0, "SI"},
		{input.HourlyRadiation, "wm2", 1000, 3.6, 1e-15, "SP 811: watt hour 3.6 E+03 J, exact"},
		{input.HourlyRadiation, "langley", 1, 4.184e-2, 0, "SP 811: langley 4.184 E+04 J/m², exact"},
		{input.Area, "m2", 1, 1, 0, "SI"},
		{input.Area, "ac", 1, 4.046873e3, 5e-4 + 4e-6*4046.9, "SP 811, survey foot"},
		{input.Area, "ac", 640, 1609.344 * 1609.344, 1e-8, "a square mile is 640 acres"},
		{input.Area, "ha", 1, 1e4, 0, "SP 811, exact"},
		{input.PerArea, "per_m2", 1, 1, 0, "SI"},
		{input.PerArea, "per_ac", 4046.8564224, 1, 1e-15, "inverse of the acre"},
		{input.PerArea, "per_ha", 1e4, 1, 0, "inverse of the hectare"},
		{input.Volume, "m3", 1, 1, 0, "SI"},
		{input.Volume, "gal", 1, 3.785412e-3, 5e-10, "SP 811: gallon (US)"},
		{input.Volume, "mgal", 1, 3785.411784, 1e-9, "a million gallons of 231 in³"},
		{input.Volume, "acft", 1, 1.233489e3, 5e-4 + 6e-6*1233.5, "SP 811, survey foot"},
		{input.Volume, "acin", 12, 1.233489e3, 5e-4 + 6e-6*1233.5, "a twelfth of the acre-foot"},
		{input.Pressure, "kpa", 1, 1, 0, "SI"},
		{input.Pressure, "cb", 33, 33, 0, "a bar is 100 kPa: SP 811, exact"},
		{input.Pressure, "psi", 1, 6.894757, 5e-7, "SP 811"},
		{input.Pressure, "mh2o", 1, 9.80665, 0, "SP 811: meter of water, conventional"},
		{input.Power, "kw", 1, 1, 0, "SI"},
		{input.Power, "hp", 1, 7.456999e-1, 5e-8, "SP 811: horsepower (550 ft · lbf/s)"},
		{input.Mass, "kg", 1, 1, 0, "SI"},
		{input.Mass, "lb", 1, 4.535924e-1, 5e-8, "SP 811"},
		{input.PerMass, "per_kg", 1, 1, 0, "SI"},
		{input.PerMass, "per_lb", 0.45359237, 1, 1e-15, "inverse of the pound"},
		{input.Intake, "mm_per_h", 1, 1, 0, "SI"},
		{input.Intake, "in_per_h", 1, 25.4, 0, "SP 811, exact"},
		{input.Percent, "pct", 55, 55, 0, "kept as percent"},
		{input.Angle, "deg", 90, 90, 0, "kept as degrees"},
		{input.Hours, "h", 24, 24, 0, "kept as hours"},
		{input.Concentration, "ppm", 10, 10, 0, "kept as mg/L"},
	}
	checked := map[input.Unit]bool{}
	for _, tt := range tests {
		u, ok := input.UnitOf(tt.dim, tt.suffix)
		if !ok {
			t.Errorf("no unit %s of %s", tt.suffix, tt.dim)
			continue
		}
		checked[u] = true
		if got := u.ToSI(tt.value); math.Abs(got-tt.si) > tt.tol {
			t.Errorf("%g %s: got %.12g, want %.12g within %g (%s)", tt.value, tt.suffix, got, tt.si, tt.tol, tt.source)
		}
		back := math.Abs(u.FromSI(tt.si) - tt.value)
		if back > tt.tol*u.Div/u.Mul+1e-12*math.Abs(tt.value) {
			t.Errorf("%g SI to %s: got %.12g, want %.12g (%s)", tt.si, tt.suffix, u.FromSI(tt.si), tt.value, tt.source)
		}
	}
	for _, dim := range dimensions {
		if input.UnitsOf(dim) == nil {
			t.Errorf("no units of %s", dim)
		}
		for _, u := range input.UnitsOf(dim) {
			if !checked[u] {
				t.Errorf("%s in %s is not checked", dim, u.Suffix)
			}
		}
	}
}

var dimensions = []input.Dimension{
	input.Length, input.Depth, input.Flow, input.Speed, input.Temperature, input.DegreeDays,
	input.Radiation, input.HourlyRadiation, input.Area, input.PerArea, input.Volume, input.Pressure,
	input.Power, input.Mass, input.PerMass, input.Intake, input.Percent, input.Angle, input.Hours,
	input.Concentration,
}

func TestUnitsRoundTrip(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, seed))
	for _, dim := range dimensions {
		if u := input.UnitsOf(dim)[0]; u.ToSI(12.5) != 12.5 {
			t.Errorf("%s: the first unit, %s, is not the SI one", dim, u.Suffix)
		}
		for _, u := range input.UnitsOf(dim) {
			for range 200 {
				v := (rng.Float64() - 0.3) * math.Pow(10, float64(rng.IntN(7)))
				if got := u.FromSI(u.ToSI(v)); math.Abs(got-v) > 1e-14*(math.Abs(v)+math.Abs(u.Offset)) {
					t.Fatalf("seed %d: %g %s there and back is %.17g", seed, v, u.Suffix, got)
				}
			}
			if !math.IsNaN(u.ToSI(math.NaN())) || !math.IsNaN(u.FromSI(math.NaN())) {
				t.Errorf("%s: NaN does not stay NaN", u.Suffix)
			}
		}
	}
}

func TestChoose(t *testing.T) {
	tests := []struct {
		base string
		dim  input.Dimension
		keys []string
		key  string
		si   float64 // of 10
		is   error
		msg  string
	}{
		{"elevation", input.Length, []string{"name", "elevation_ft"}, "elevation_ft", 3.048, nil, ""},
		{"elevation", input.Length, []string{"elevation_m"}, "elevation_m", 10, nil, ""},
		{"elevation", input.Length, []string{"elevation"}, "", 0, input.ErrNoUnit,
			"missing; give elevation_m, elevation_ft or elevation_cm"},
		{"max_pass", input.Depth, []string{"max_pass_in", "max_pass_mm"}, "max_pass_in", 254, input.ErrBothUnits,
			"max_pass_mm and max_pass_in are both given; give one of them"},
		{"d", input.Length, []string{"d_m", "d_ft", "d_cm"}, "d_cm", 0.1, input.ErrBothUnits,
			"d_m, d_ft and d_cm are all given; give one of them"},
	}
	for _, tt := range tests {
		key, u, err := input.Choose(tt.base, tt.dim, func(k string) bool { return slices.Contains(tt.keys, k) })
		msg := ""
		if err != nil {
			msg = err.Error()
		}
		if key != tt.key || !errors.Is(err, tt.is) || msg != tt.msg {
			t.Errorf("%s of %v: got %q, %v; want %q, %q", tt.base, tt.keys, key, err, tt.key, tt.msg)
		}
		if key != "" && math.Abs(u.ToSI(10)-tt.si) > 1e-12 {
			t.Errorf("%s: 10 is %g, want %g", key, u.ToSI(10), tt.si)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"date", "tmax_c", "tmax_f", "tmin_c", "wind_ms", "rain_mm", "solar_mj"}
	for _, tt := range []struct{ name, want string }{
		{"tmxa_c", "tmax_c"}, {"TMAX_F", "tmax_f"}, {"rainfall_mm", "rain_mm"}, {" wind_mps", "wind_ms"},
		{"dat", "date"}, {"soil", ""}, {"", ""}, {"x", ""}, {"sólar_mj", "solar_mj"},
	} {
		if got := input.Nearest(tt.name, known); got != tt.want {
			t.Errorf("Nearest(%q) = %q, want %q", tt.name, got, tt.want)
		}
	}
	if got, want := input.NearestHint("soil", []string{"a", "b"}), "; known: a, b"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := input.OrList([]string{"a", "b", "c"}); got != "a, b or c" {
		t.Errorf("got %q", got)
	}
}
