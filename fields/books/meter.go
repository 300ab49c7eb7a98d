// What a well's totaliser says: readings turned into volumes between dates.

package books

import (
	"math"

	"github.com/golang-sql/civil"

	"sandwick/fields/records"
	"sandwick/fields/settings"
)

// Fault is why the volume between two readings is not known or not used.
type Fault uint8

// The faults.
const (
	Sound       Fault = iota
	Replaced          // another meter was put in between the readings
	Backwards         // the second reading is lower, and nothing says that the counter rolled over
	StandsStill       // the counter stood while passes were recorded
	Impossible        // more than the well can give in the time
)

// String names the fault for outputs.
func (f Fault) String() string {
	return [...]string{"", "replaced", "backwards", "stands still", "impossible"}[f]
}

// Interval is the time between two readings of one meter, which are taken to be
// read at fields.MorningHour.
type Interval struct {
	From, To   civil.Date
	MeterM3    float64 // by the readings; NaN where they say nothing
	PassM3     float64 // hours × flow of the passes recorded in between
	RolledOver bool
	Digits     int  // of the counter that rolled over
	DigitsSeen bool // Digits is what the reading before suggests, farm.toml does not say
	Fault      Fault
	Drift      bool // meter and passes differ by more than the tolerance
	Line       int  // of the second reading in meters.csv
}

// Used tells whether the withdrawal of the interval rests on the meter.
func (v *Interval) Used() bool { return v.Fault == Sound }

// Apart is how far the meter is off hours × flow, as a share of the latter; NaN
// where one of them is missing.
func (v *Interval) Apart() float64 { return apart(v.MeterM3, v.PassM3) }

func apart(meter, passes float64) float64 {
	if !(passes > 0) {
		return math.NaN()
	}
	return meter/passes - 1
}

// Intervals turns the readings of one well, in order of date, into volumes. A
// reading marked as missing stands for none. Of several readings of a day the
// last counts for what follows; before a replacement, the one before it is the
// old meter's last. A counter that rolled over is reckoned by
// [records.Totaliser.Between].
func Intervals(readings []records.Meter, meter settings.Meter) []Interval {
	var out []Interval
	var last *records.Meter
	for i := range readings {
		r := &readings[i]
		if math.IsNaN(r.Reading) {
			continue
		}
		if last != nil && last.Date != r.Date {
			out = append(out, between(last, r, meter))
		}
		last = r
	}
	return out
}

func between(a, b *records.Meter, meter settings.Meter) Interval {
	v := Interval{From: a.Date, To: b.Date, Line: b.Pos.Line}
	v.MeterM3, v.Digits = records.Totaliser{Digits: meter.Digits, Multiplier: meter.Multiplier}.Between(a, b)
	switch {
	case b.Event == "replaced":
		v.MeterM3, v.Fault = math.NaN(), Replaced
	case v.MeterM3 < 0: // or the reading before has more digits than a counter that rolled over
		v.MeterM3, v.Fault = math.NaN(), Backwards
	}
	v.RolledOver, v.DigitsSeen = v.Digits > 0, v.Digits > 0 && meter.Digits == 0
	return v
}

// Limits of what is believed of a meter. Common practice, no published source.
const (
	stillShare = 0.02 // of hours × flow: below it the counter stands
	stillM3    = 1.0  // less than this recorded is too little to tell
)

// hold holds an interval against the recorded passes and the well.
func (v *Interval) hold(flowM3H, tolerance float64) {
	if v.Fault != Sound {
		return
	}
	hours := float64(24 * v.To.DaysSince(v.From))
	switch {
	case v.PassM3 > stillM3 && v.MeterM3 < stillShare*v.PassM3:
		v.Fault = StandsStill
	case v.MeterM3 > records.SurplusFlow*flowM3H*hours:
		v.Fault = Impossible
	}
	v.Drift = math.Abs(v.Apart()) > tolerance || v.PassM3 == 0 && v.MeterM3 > stillM3
}
