// What two readings of a totaliser say, and what is doubted of them.

package records

import (
	"math"
	"strconv"

	"sandwick/et/input"
)

// SurplusFlow is how many times a well's flow, day and night, is believed of its
// meter; more is no water. Common practice, no published source.
const SurplusFlow = 1.25

// Totaliser is how a well's meter counts.
type Totaliser struct {
	Digits     int     // of the counter; 0 not known
	Multiplier float64 // what one count is worth in the unit read, unless a reading says otherwise
	FlowM3H    float64 // of the well, m³/h; 0 not known
}

// M3 turns counts of the totaliser, as r has them, into m³.
func (t Totaliser) M3(r *Meter, counts float64) float64 {
	by := r.Multiplier
	if math.IsNaN(by) {
		by = t.Multiplier
	}
	return r.Unit.ToSI(counts * by)
}

// Between is the volume between two readings of one meter that has not been
// replaced, m³: below 0 where the second is lower and nothing says that the
// counter rolled over. A counter that rolled over begins again at 0 after
// 10^digits - 1; where its digits are not known it is taken to have no more of
// them than the reading before. digits are 0 unless it rolled over.
func (t Totaliser) Between(a, b *Meter) (m3 float64, digits int) {
	m3 = t.M3(b, b.Reading) - t.M3(a, a.Reading)
	if b.Event != "rollover" {
		return m3, 0
	}
	digits = t.Digits
	if digits == 0 {
		digits = len(whole(a.Reading))
	}
	return m3 + t.M3(a, math.Pow10(digits)), digits
}

// whole is the whole part of a reading as it stands on the counter.
func whole(reading float64) string {
	return strconv.FormatFloat(math.Floor(reading), 'f', 0, 64)
}

// doubtMeters doubts readings that go backwards or outrun their well. The
// readings are in order of well and date; a missing one stands for none.
func (rd *reader) doubtMeters(all []Meter, cells map[input.Pos]input.Cell) {
	var a *Meter
	for i := range all {
		b := &all[i]
		if math.IsNaN(b.Reading) {
			continue
		}
		if a != nil && a.Well == b.Well && b.Event != "replaced" {
			rd.doubtMeter(a, b, cells[b.Pos])
		}
		a = b
	}
}

func (rd *reader) doubtMeter(a, b *Meter, c input.Cell) {
	t, known := rd.farm.Totalisers[b.Well]
	if !known {
		t.Multiplier = 1
	}
	m3, digits := t.Between(a, b)
	days := max(1, b.Date.DaysSince(a.Date))
	switch most := SurplusFlow * t.FlowM3H * float64(24*days); {
	case b.Date == a.Date && b.Reading == a.Reading && b.Event == a.Event:
		rd.doubt(c, "is the reading of line %d again, of the same day", a.Pos.Line)
	case m3 < 0 && digits > 0:
		rd.doubt(c, "rolled over, but the reading of %s in line %d has more digits than the counter", a.Date, a.Pos.Line)
	case m3 < 0:
		rd.doubt(c, "is less than the reading of %s in line %d; if the counter rolled over or was replaced, say so under event", a.Date, a.Pos.Line)
	case t.FlowM3H > 0 && m3 > most:
		rd.doubt(c, "makes %.4g %s since the reading of %s in line %d, more than the well gives day and night; is a digit wrong, or the unit?",
			b.Unit.FromSI(m3), b.Unit.Suffix, a.Date, a.Pos.Line)
	}
}
