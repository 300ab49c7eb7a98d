// The flow meter of a well, as farm.toml describes it.

package settings

// Meter is how a well's totaliser counts. Without a meter section the zero
// Digits stand for a counter whose length is not known.
type Meter struct {
	Digits     int     // of the counter: it rolls over at 10 to the power of Digits; 0 not known
	Multiplier float64 // what one count is worth in the unit read, unless a reading says otherwise
	Tolerance  float64 // how far meter and hours × flow may differ before it is called drift, 0..1
}

// DefaultMeterTolerance is how far a meter may be off hours × flow without a
// word. Common practice, no published source: irrigation meters are sold as good
// to 2 to 5 %, and a machine's flow is seldom known better than to 5 %.
const DefaultMeterTolerance = 0.10

func readMeter(sec *section) Meter {
	m := Meter{Multiplier: 1, Tolerance: DefaultMeterTolerance}
	s, ok := sec.sub("meter")
	if !ok {
		return m
	}
	defer s.done()
	if s.has("digits") {
		m.Digits = s.whole("digits", 0, limits{3, 12})
	} else {
		s.get("digits")
	}
	m.Multiplier = s.number("multiplier", 1, limits{1e-6, 1e6})
	m.Tolerance = s.fraction("tolerance_pct", DefaultMeterTolerance, limits{0.1, 100})
	return m
}
