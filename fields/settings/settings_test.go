package settings

import (
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/pivot"
)

const whole = `
[farm]
name = "Two Units"
timezone = "America/Chicago"
slice_deg = 10
today = 2026-07-04

[site]
latitude_deg = 44.5
longitude_deg = -95.25
elevation_ft = 1000
wind_height_ft = 10
coastal = true
reference = "asce-short"

[season]
start = 2026-04-15
initial_depletion_pct = 25
end = 2026-10-01

[[wells]]
name = "A"
flow_gpm = 1000
season_limit_acft = 100
energy = {per_kwh = 0.1, peak = [{from = "22:00", to = "06:00", days = ["fri"], per_kwh = 0.4}]}

[[pivots]]
name = "P"
well = "A"
center = [-95.25, 44.5]
length_ft = 1000
flow_gpm = 800
hours_at_full_timer = 20
max_pass_in = 1
power_hp = 100
start_deg = 350
stop_deg = 100

[[crops]]
name = "my mint"
like = "peppermint"
height_ft = 2
kcb_mid = 1.05
stage_days = [20, 30, 40, 10]
recovery_gdd_f = [180, 360, 540, 90]
gdd_base_f = 41

[[soils]]
name = "s"
hydraulics = "field sand"
reach_ft = 3
intake_in_per_h = 2
curve_number = 60

[[fields]]
name = "F"
pivot = "P"
crop = "my mint"
start = 2026-04-20
crop_value_per_ac = 1000
trigger_pct = 40

[prices]
nitrogen_per_lb = 0.6
leached_value_per_in_ac = 3
`

// Conversions: NIST Special Publication 811 (2008), Appendix B.8 and B.9.
func TestReadConverts(t *testing.T) {
	s, problems, doubts := Read(File, []byte(whole))
	if len(problems)+len(doubts) > 0 {
		t.Fatalf("problems:\n%v\ndoubts:\n%v", problems, doubts)
	}
	w, p, f, o := &s.Wells[0], &s.Pivots[0], &s.Fields[0], &s.Soils[0]
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"elevation", s.Site.ElevationM, 304.8},
		{"wind height", s.Site.WindHeightM, 3.048},
		{"KRs by the coast", s.Site.KRs, 0.19}, // FAO-56 Eq. 50
		{"initial depletion", s.Start.Depletion, 0.25},
		{"well flow", w.FlowM3H, 1000 * 6.309020e-5 * 3600}, // gal/min in m³/s
		{"season limit", w.SeasonLimitM3, 100 * 1233.489},   // acre-foot in m³ (SP 811: 1.233489 E+03)
		{"length", p.LengthM, 304.8},
		{"pass limit", p.MaxGrossMM, 25.4},
		{"power", p.PowerKW, 74.56999}, // 550 ft·lbf/s
		{"height", f.Crop.HeightM, 0.6096},
		{"degree days", f.Crop.Recovery.Ini, 100},
		{"base temperature", f.Crop.GDDBaseC, 5},
		{"value", f.ValuePerM2, 1000 / 4046.856}, // international acre of 43 560 ft²
		{"trigger", f.Trigger, 0.4},
		{"reach", o.ReachM, 0.9144},
		{"intake", o.IntakeMMPerH, 50.8},
		{"nitrogen", s.Prices.NitrogenPerKg, 0.6 / 0.45359237},
		{"leached value", s.Prices.LeachedPerMMHa, 3 / 25.4 / 0.4046856},
	} {
		if math.Abs(c.got/c.want-1) > 1e-5 { // SP 811 prints seven digits, and its acre and acre-foot are of survey feet
			t.Errorf("%s: %.9g, want %.9g", c.what, c.got, c.want)
		}
	}
	if !f.Crop.Recovery.ByHeat || f.Crop.Lengths.ByHeat || f.Crop.Lengths.Mid != 40 || f.Crop.KcbMid != 1.05 {
		t.Errorf("crop: %+v", f.Crop)
	}
	if p.Stops == nil || *p.Stops != (pivot.Arc{From: 350, To: 100}) || p.Parked != 350 || !p.Reversible {
		t.Errorf("part circle: %v, parked at %v, reversible %v", p.Stops, p.Parked, p.Reversible)
	}
	// What the file leaves out.
	if s.Start.Layers != DefaultLayers || s.Start.Compensation != DefaultCompensation || s.Start.Single || !s.US ||
		w.MaxHoursPerDay != DefaultMaxHours || p.Efficiency != DefaultEfficiency || p.TimerMinPct != DefaultTimerMinPct ||
		p.MaxLegs != DefaultMaxLegs || !math.IsNaN(p.WettedM) || !math.IsNaN(o.FieldCapacity) || !math.IsNaN(w.NitratePPM) {
		t.Errorf("defaults: %+v\n%+v\n%+v\n%+v", s.Start, w, p, o)
	}
	if s.Today != (civil.Date{Year: 2026, Month: 7, Day: 4}) || f.Pos.Line != 1+strings.Count(whole[:strings.Index(whole, `name = "F"`)], "\n") {
		t.Errorf("today %v; field in line %d", s.Today, f.Pos.Line)
	}
}

func TestPositions(t *testing.T) {
	doc, problems := parseDocument("f", []byte("a.b = 1 # x\n[t]\nk = [1,\n  2, {x = 3}]\n[[l]]\nn = 1\n[[l]]\n  n = 2\n[l.s]\nd.\"e.f\" = 4\r\n[[l.m]]\nz = { y = [ {w = 1} ] }\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for path, want := range map[string][2]int{
		"a": {1, 1}, "a.b": {1, 3}, "t": {2, 2}, "t.k": {3, 1}, "t.k[0]": {3, 6}, "t.k[1]": {4, 3}, "t.k[2].x": {4, 7},
		"l": {5, 3}, "l[0]": {5, 3}, "l[0].n": {6, 1}, "l[1]": {7, 3}, "l[1].n": {8, 3}, "l[1].s": {9, 4},
		`l[1].s.d."e.f"`: {10, 3}, "l[1].m[0].z": {12, 1}, "l[1].m[0].z.y[0].w": {12, 14},
		"l[1].m[0].missing": {11, 5}, // the section it is missing from
	} {
		if p := doc.at(path); p.Line != want[0] || p.Column != want[1] {
			t.Errorf("%s is at %d:%d, want %d:%d", path, p.Line, p.Column, want[0], want[1])
		}
	}
}

func TestWindows(t *testing.T) {
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	at := func(text string) time.Time {
		t, _, err := ParseMoment(text, chicago)
		if err != nil {
			panic(err)
		}
		return t
	}
	all := [7]bool{true, true, true, true, true, true, true}
	var friday [7]bool
	friday[time.Friday] = true
	for _, c := range []struct {
		name     string
		w        Window
		from, to string
		want     []string // from/to pairs
	}{
		{"over midnight, once a week", Window{From: 22 * 60, To: 6 * 60, Days: friday}, "2026-07-01", "2026-07-12",
			[]string{"2026-07-03T22:00", "2026-07-04T06:00", "2026-07-10T22:00", "2026-07-11T06:00"}},
		{"begun before", Window{From: 22 * 60, To: 6 * 60, Days: friday}, "2026-07-04T01:00", "2026-07-05",
			[]string{"2026-07-03T22:00", "2026-07-04T06:00"}},
		{"whole days between dates", Window{From: 0, To: 24 * 60, Days: all, Start: civil.Date{Year: 2026, Month: 7, Day: 2}, End: civil.Date{Year: 2026, Month: 7, Day: 3}}, "2026-07-01", "2026-07-05",
			[]string{"2026-07-02", "2026-07-03", "2026-07-03", "2026-07-04"}},
		{"the night the clocks go forward", Window{From: 22 * 60, To: 6 * 60, Days: all}, "2026-03-08", "2026-03-08T12:00",
			[]string{"2026-03-07T22:00", "2026-03-08T06:00"}},
	} {
		got := c.w.Unroll(at(c.from), at(c.to))
		if len(got)*2 != len(c.want) {
			t.Errorf("%s: %v", c.name, got)
			continue
		}
		for i, p := range got {
			if !p.From.Equal(at(c.want[2*i])) || !p.To.Equal(at(c.want[2*i+1])) {
				t.Errorf("%s: %v, want %v", c.name, p, c.want[2*i:2*i+2])
			}
			if next := c.w.on(civil.DateOf(p.To)) && c.w.From == 0; !c.w.Holds(p.From) || c.w.Holds(p.To) != next || !c.w.Holds(p.To.Add(-time.Minute)) {
				t.Errorf("%s: Holds and Unroll disagree at the ends of %v", c.name, p)
			}
		}
	}
	// 22:00 to 06:00 has seven hours when the clocks go forward, nine when they go back.
	w := Window{From: 22 * 60, To: 6 * 60, Days: all}
	for day, want := range map[string]float64{"2026-03-07": 7, "2026-10-31": 9, "2026-07-01": 8} {
		p := w.span(civil.DateOf(at(day)), chicago)
		if got := p.To.Sub(p.From).Hours(); got != want {
			t.Errorf("night of %s: %g hours, want %g", day, got, want)
		}
	}
}

// Days by the IANA tz database: Chicago 2026-03-08 has 23 hours and 2026-11-01
// has 25; Cairo skipped midnight of 2024-04-26, Havana has it twice on 2025-11-02.
func TestStartOfDay(t *testing.T) {
	for _, c := range []struct {
		zone, day string
		hours     float64
		clock     string
	}{
		{"America/Chicago", "2026-03-08", 23, "00:00"},
		{"America/Chicago", "2026-11-01", 25, "00:00"},
		{"Africa/Cairo", "2024-04-26", 23, "01:00"},
		{"America/Havana", "2025-11-02", 25, "00:00"},
		{"Australia/Lord_Howe", "2025-10-05", 23.5, "00:00"},
	} {
		loc, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		d, _ := civil.ParseDate(c.day)
		from, to := StartOfDay(d, loc), StartOfDay(d.AddDays(1), loc)
		if got := to.Sub(from).Hours(); got != c.hours || from.Format("15:04") != c.clock {
			t.Errorf("%s in %s: %g hours from %s, want %g from %s", c.day, c.zone, got, from.Format("15:04"), c.hours, c.clock)
		}
	}
}

func TestEnergyPerKWh(t *testing.T) {
	s, _, _ := Read(File, []byte(whole))
	for text, want := range map[string]float64{
		"2026-07-03T21:59": 0.1, "2026-07-03T22:00": 0.4, "2026-07-04T05:59": 0.4, "2026-07-04T06:00": 0.1, "2026-07-04T23:00": 0.1,
	} {
		at, _, err := ParseMoment(text, s.Location)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Wells[0].EnergyPerKWh(at); got != want {
			t.Errorf("%s: %g, want %g", text, got, want)
		}
	}
}

// A complaint about a quantity is in the unit that the file uses for it, and
// the least that it names is accepted when typed.
func TestComplaintsInTheKeysUnit(t *testing.T) {
	told := func(from, to string) string {
		t.Helper()
		if !strings.Contains(whole, from) {
			t.Fatalf("no %q in the settings", from)
		}
		_, problems, _ := Read(File, []byte(strings.Replace(whole, from, to, 1)))
		if len(problems) != 1 {
			t.Fatalf("%s: %v, want one problem", to, problems)
		}
		return problems[0].Msg
	}
	for _, c := range []struct{ from, to, want string }{
		{"max_pass_in = 1\n", "max_pass_in = 0.1\n", "must be at least the (.*) in that the machine leaves at its fastest timer"},
		{"max_pass_in = 1\n", "max_pass_mm = 2.5\n", "must be at least the (.*) mm that the machine leaves at its fastest timer"},
		{"reach_ft = 3\n", "reach_ft = 3\nreach_plus_minus_ft = 3\n", "is not below the reach, 3 ft"},
		{"reach_ft = 3\n", "reach_m = 0.9\nreach_plus_minus_m = 0.9\n", "is not below the reach, 0.9 m"},
		{"height_ft = 2\n", "height_ft = 2\nroot_min_ft = 4\nroot_max_ft = 2\n", "leaves roots that start deeper, 4 ft, than they reach, 2 ft"},
		{"reach_ft = 3\n", "reach_ft = 3\nhorizons = [{ bottom_ft = 2, hydraulics = \"field sand\" }, { top_ft = 3, bottom_ft = 6, hydraulics = \"field sand\" }]\n",
			"does not follow on; horizons go down from 0 without gap or overlap, the last ended at 2 ft"},
	} {
		msg := told(c.from, c.to)
		found := regexp.MustCompile("^" + c.want + "$").FindStringSubmatch(msg)
		if found == nil {
			t.Errorf("%s: got %q, want %q", c.to, msg, c.want)
			continue
		}
		if len(found) > 1 {
			typed := strings.Replace(whole, c.from, strings.Fields(c.to)[0]+" = "+found[1]+"\n", 1)
			if _, problems, _ := Read(File, []byte(typed)); len(problems) > 0 {
				t.Errorf("%s typed as told: %v", found[1], problems)
			}
		}
	}
}
