// The schema of farm.toml, section by section: general, site, season, weather
// columns, prices.

package settings

import (
	"fmt"
	"math"
	"time"
	_ "time/tzdata" // a farm's time zone must be known on any machine

	"sandwick/et"
	"sandwick/et/input"
)

// Read reads the text of a farm.toml. Doubts are things that look wrong but do
// not stop the work. Settings are usable only when there are no problems.
func Read(file string, src []byte) (s *Settings, problems, doubts input.Problems) {
	doc, problems := parseDocument(file, src)
	if len(problems) > 0 {
		return nil, problems, nil
	}
	r := &reader{doc: doc}
	s = &Settings{}
	root := r.section("", doc.root)
	s.readFarm(r.must(root, "farm"))
	s.readSite(r.must(root, "site"))
	s.readStart(r.must(root, "season"))
	s.Weather = readColumns(root, "weather")
	s.Forecast = readColumns(root, "forecast")
	s.History = readColumns(root, "history")
	s.readImports(root)
	s.readSoils(root)
	crops := readCrops(root)
	s.readWells(root)
	s.readPivots(root)
	s.doubtWells(root)
	s.readFields(root, crops)
	s.readProbes(root)
	s.readPrices(root)
	s.readOutlook(root)
	s.readPriorities(root)
	root.done()
	return s, r.problems, r.doubts
}

// must opens a section that every farm needs.
func (r *reader) must(root *section, key string) *section {
	s, ok := root.sub(key)
	if !ok {
		if !root.has(key) {
			root.problems = append(root.problems, input.Problem{
				Pos: input.Pos{File: r.doc.file}, Field: key, Msg: fmt.Sprintf("section [%s] is missing", key),
			})
		}
		// Its missing keys would only repeat what is reported.
		return (&reader{doc: r.doc}).section(key, nil)
	}
	return s
}

func (s *Settings) readFarm(sec *section) {
	defer sec.done()
	s.Name = sec.needText("name", "the name of the farm")
	s.Location = time.UTC
	s.ZonePos = sec.pos("timezone")
	if zone := sec.needText("timezone", `an IANA time zone such as "America/Chicago"`); zone != "" {
		loc, err := time.LoadLocation(zone)
		if err != nil || zone == "Local" {
			sec.report("timezone", zone, `is not a time zone; an IANA name such as "America/Chicago" is accepted`)
		} else {
			s.Location = loc
		}
	}
	s.US = sec.choice("units", "us", "si") == "us"
	s.Currency = sec.text("currency")
	if s.Currency == "" {
		s.Currency = "USD"
	}
	s.Today, s.TodayPos = sec.date("today"), sec.pos("today")
	s.SliceDeg = sec.number("slice_deg", DefaultSliceDeg, limits{1, 90})
	if n := 360 / s.SliceDeg; math.Abs(n-math.Round(n)) > 1e-9 {
		sec.report("slice_deg", trim(s.SliceDeg), "does not divide the circle; a whole part of 360 such as 2, 5 or 10 is accepted")
		s.SliceDeg = DefaultSliceDeg
	}
}

func (s *Settings) readSite(sec *section) {
	defer sec.done()
	s.SitePos = sec.pos("latitude_deg")
	n := len(sec.problems)
	defer func() { // a longitude that no latitude can be
		lat, lon := plainNumber(sec.table["latitude_deg"]), plainNumber(sec.table["longitude_deg"])
		if math.Abs(lat) > 90 && math.Abs(lat) <= 180 && math.Abs(lon) <= 90 && len(sec.problems) > n {
			sec.problems[n].Msg += "; it may be swapped with longitude_deg"
		}
	}()
	s.Site = et.Site{
		LatitudeDeg:  sec.needNumber("latitude_deg", limits{-89, 89}),
		LongitudeDeg: sec.needNumber("longitude_deg", limits{-180, 180}),
		ElevationM:   sec.needQuantity("elevation", lengths, limits{-450, 5000}),
		WindHeightM:  sec.quantity("wind_height", lengths, DefaultWindHeightM, limits{0.5, 100}),
		KRs:          0.16, // FAO-56 Eq. 50, interior
	}
	if sec.flag("coastal") {
		s.Site.KRs = 0.19 // FAO-56 Eq. 50, coastal
	}
	s.Method = et.FAO56
	if sec.choice("reference", "fao56", "asce-short") == "asce-short" {
		s.Method = et.ASCEShort
	}
}

// plainNumber is a value of the file as a number; NaN where it is none.
func plainNumber(v any) float64 {
	switch n := v.(type) {
	case int64:
		return float64(n)
	case float64:
		return n
	}
	return math.NaN()
}

func (s *Settings) readStart(sec *section) {
	defer sec.done()
	s.Start = Start{
		Date:         sec.needDate("start", "the day on which the balance begins"),
		End:          sec.date("end"),
		Depletion:    sec.fraction("initial_depletion_pct", DefaultDepletion, limits{0, 100}),
		Single:       sec.choice("mode", "dual", "single") == "single",
		Layers:       sec.whole("layers", DefaultLayers, limits{1, 8}),
		Compensation: sec.number("compensation", DefaultCompensation, limits{1, 100}),
		Pos:          sec.pos("start"),

		TablePlusMinusM: sec.quantity("water_table_plus_minus", lengths, math.NaN(), limits{0, 2}),
	}
	if e := s.Start.End; e.IsValid() && s.Start.Date.IsValid() && !e.After(s.Start.Date) {
		sec.report("end", e.String(), "does not come after the start, %s", s.Start.Date)
	}
	if d := s.Today; d.IsValid() && s.Start.Date.IsValid() && d.Before(s.Start.Date) {
		sec.report("start", s.Start.Date.String(), "comes after farm.today, %s", d)
	}
}

func readColumns(root *section, key string) Columns {
	c := Columns{Pos: root.pos(key)}
	sec, ok := root.sub(key)
	if !ok {
		return c
	}
	defer sec.done()
	cols, _ := sec.sub("columns")
	for ours, v := range cols.table {
		theirs, ok := v.(string)
		if !ok || theirs == "" {
			cols.report(quoted(ours), show(v), "is not the name of a column; write it between quotation marks")
			continue
		}
		if c.Columns == nil {
			c.Columns, c.at = map[string]string{}, map[string]input.Pos{}
		}
		c.Columns[ours] = theirs
		c.at[ours] = cols.pos(quoted(ours))
	}
	c.Ignore = sec.texts("ignore")
	c.IgnoreOthers = sec.flag("ignore_others")
	c.Missing = sec.texts("missing")
	c.SkipLines = sec.whole("skip_lines", 0, limits{0, 1000})
	c.HourEnding = sec.flag("hour_ending")
	return c
}

func (s *Settings) readProbes(root *section) {
	s.Probes = Probes{DefaultProbeError, DefaultProbeModelError, DefaultProbeDrift}
	sec, ok := root.sub("probes")
	if !ok {
		return
	}
	defer sec.done()
	s.Probes = Probes{
		Error:      sec.fraction("error_pct", DefaultProbeError, limits{0.1, 20}),
		ModelError: sec.fraction("model_error_pct", DefaultProbeModelError, limits{0.1, 20}),
		ModelDrift: sec.fraction("model_drift_pct", DefaultProbeDrift, limits{0, 20}),
	}
}

func (s *Settings) readPrices(root *section) {
	sec, ok := root.sub("prices")
	if !ok {
		return
	}
	defer sec.done()
	s.Prices = Prices{
		LabourPerStart: sec.number("labour_per_start", 0, limits{0, 1e5}),
		NitrogenPerKg:  sec.quantity("nitrogen", perMass, 0, limits{0, 1e5}),
		LeachedPerMMHa: sec.quantity("leached_value", perDepthHa, 0, limits{0, 1e5}),
	}
	s.Prices.LabourPerLeg = sec.number("labour_per_leg", DefaultLegShare*s.Prices.LabourPerStart, limits{0, 1e4})
}
