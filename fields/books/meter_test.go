// Readings of totalisers as volumes, and what is believed of them.

package books

import (
	"math"
	"testing"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/records"
	"sandwick/fields/settings"
)

func testLedger(ppm float64) *ledger {
	f := &fields.Farm{}
	f.Wells = []fields.Well{{NitratePPM: ppm}}
	return &ledger{farm: f}
}

func reading(day int, counts float64, unit, event string, by float64) records.Meter {
	u, ok := input.UnitOf(input.Volume, unit)
	if !ok {
		panic("no unit " + unit)
	}
	return records.Meter{Date: civil.Date{Year: 2025, Month: 6, Day: day}, Reading: counts, Unit: u, Event: event, Multiplier: by}
}

func TestIntervals(t *testing.T) {
	nan := math.NaN()
	plain := settings.Meter{Multiplier: 1}
	six := settings.Meter{Multiplier: 100, Digits: 6}
	const gal, acft = 3.785411784e-3, 1233.48183754752 // NIST SP 811, with the international foot
	for _, c := range []struct {
		name     string
		meter    settings.Meter
		readings []records.Meter
		m3       []float64 // NaN: none
		faults   []Fault
	}{
		{"gallons", plain, []records.Meter{reading(1, 1000, "gal", "", nan), reading(9, 251000, "gal", "", nan)}, []float64{250000 * gal}, []Fault{Sound}},
		{"acre-feet with decimals", plain, []records.Meter{reading(1, 12.25, "acft", "", nan), reading(9, 13.5, "acft", "", nan)}, []float64{1.25 * acft}, []Fault{Sound}},
		{"multiplier of the well", six, []records.Meter{reading(1, 10, "gal", "", nan), reading(9, 2510, "gal", "", nan)}, []float64{250000 * gal}, []Fault{Sound}},
		{"multiplier of the reading", six, []records.Meter{reading(1, 10, "gal", "", 1000), reading(9, 260, "gal", "", 1000)}, []float64{250000 * gal}, []Fault{Sound}},
		{"rollover, digits known", six, []records.Meter{reading(1, 999000, "gal", "", nan), reading(9, 500, "gal", "rollover", nan)}, []float64{150000 * gal}, []Fault{Sound}},
		{"rollover, digits from the reading", plain, []records.Meter{reading(1, 9990, "m3", "", nan), reading(9, 5, "m3", "rollover", nan)}, []float64{15}, []Fault{Sound}},
		{"rollover to the last count", plain, []records.Meter{reading(1, 9999.9, "m3", "", nan), reading(9, 0.1, "m3", "rollover", nan)}, []float64{0.2}, []Fault{Sound}},
		{"replaced, old one not read", plain, []records.Meter{reading(1, 100, "m3", "", nan), reading(5, 3, "m3", "replaced", nan), reading(9, 53, "m3", "", nan)}, []float64{nan, 50}, []Fault{Replaced, Sound}},
		{"replaced, old one read that day", plain, []records.Meter{reading(1, 100, "m3", "", nan), reading(5, 180, "m3", "", nan), reading(5, 3, "m3", "replaced", nan), reading(9, 53, "m3", "", nan)}, []float64{80, 50}, []Fault{Sound, Sound}},
		{"replaced by one in other units", plain, []records.Meter{reading(1, 100, "m3", "", nan), reading(5, 180, "m3", "", nan), reading(5, 0, "gal", "replaced", nan), reading(9, 1000, "gal", "", nan)}, []float64{80, 1000 * gal}, []Fault{Sound, Sound}},
		{"missing reading", plain, []records.Meter{reading(1, 100, "m3", "", nan), reading(5, nan, "m3", "missing", nan), reading(9, 153, "m3", "", nan)}, []float64{53}, []Fault{Sound}},
		{"backwards", plain, []records.Meter{reading(1, 100, "m3", "", nan), reading(5, 90, "m3", "", nan), reading(9, 190, "m3", "", nan)}, []float64{nan, 100}, []Fault{Backwards, Sound}},
		{"more digits than the counter", settings.Meter{Multiplier: 1, Digits: 3}, []records.Meter{reading(1, 5000, "m3", "", nan), reading(5, 9, "m3", "rollover", nan)}, []float64{nan}, []Fault{Backwards}},
		{"two on one day", plain, []records.Meter{reading(1, 100, "m3", "", nan), reading(1, 110, "m3", "", nan), reading(9, 153, "m3", "", nan)}, []float64{43}, []Fault{Sound}},
		{"one reading", plain, []records.Meter{reading(1, 100, "m3", "", nan)}, nil, nil},
		{"none", plain, nil, nil, nil},
	} {
		got := Intervals(c.readings, c.meter)
		if len(got) != len(c.m3) {
			t.Errorf("%s: %d intervals, want %d: %+v", c.name, len(got), len(c.m3), got)
			continue
		}
		for i := range got {
			if want := c.m3[i]; !(math.Abs(got[i].MeterM3-want) <= 1e-9*max(1, want)) && !(math.IsNaN(want) && math.IsNaN(got[i].MeterM3)) {
				t.Errorf("%s: interval %d is %.9g m³, want %.9g", c.name, i, got[i].MeterM3, want)
			}
			if got[i].Fault != c.faults[i] {
				t.Errorf("%s: interval %d has fault %q, want %q", c.name, i, got[i].Fault, c.faults[i])
			}
		}
	}
}

// The two last readings of a month with a meter that counts less: what is
// believed, and what is called drift.
func TestHold(t *testing.T) {
	for _, c := range []struct {
		meter, passes float64
		fault         Fault
		drift         bool
	}{
		{950, 1000, Sound, false},
		{905, 1000, Sound, false},
		{895, 1000, Sound, true},
		{1105, 1000, Sound, true},
		{19, 1000, StandsStill, true},
		{0, 0.5, Sound, true},
		{0, 0, Sound, false},
		{50, 0, Sound, true},
		{12500, 9000, Impossible, true},
	} {
		v := Interval{From: civil.Date{Year: 2025, Month: 6, Day: 1}, To: civil.Date{Year: 2025, Month: 6, Day: 5}, MeterM3: c.meter, PassM3: c.passes}
		v.hold(100, 0.10)
		if v.Fault != c.fault || v.Drift != c.drift {
			t.Errorf("meter %g, passes %g: %q, drift %v; want %q, %v", c.meter, c.passes, v.Fault, v.Drift, c.fault, c.drift)
		}
	}
}

// Between two readings the meter's water is divided as the passes are; what it
// counted without a pass is spread evenly, and no field has it.
func TestMeterWithoutPasses(t *testing.T) {
	b := keep(t, files(t, "records/passes.csv", "", "pivot,start,end,from_deg,to_deg,direction,water\n"), "2025-06-07")
	w := &b.Wells[0]
	const gal = 3.785411784e-3
	near(t, "withdrawn", w.Season.M3, 615600*gal, 1e-6)
	near(t, "without a pass", b.Loose.M3, 615600*gal, 1e-6)
	near(t, "of the fields", b.Fields[0].Season.M3+b.Fields[1].Season.M3, 0, 0)
	// Eight days from 06:00 on 26 May, spread over half days as they come.
	near(t, "27 May", w.Days[1].M3, 615600*gal/8, 1e-6)
	if !w.Intervals[0].Drift {
		t.Error("water without a pass is no drift")
	}
}
