// Numbers, days and instants as they stand in JSON and CSV.

package report

import (
	"encoding/json"
	"math"
	"strconv"
	"time"

	"github.com/golang-sql/civil"
)

// Number is a float64 that is written in full precision, and as null (JSON) or
// nothing (CSV) when it is missing (NaN) or has no end (infinite).
type Number float64

// MarshalJSON writes the number or null.
func (n Number) MarshalJSON() ([]byte, error) {
	if !n.finite() {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// MarshalCSV writes the number or nothing.
func (n Number) MarshalCSV() (string, error) {
	if !n.finite() {
		return "", nil
	}
	return strconv.FormatFloat(float64(n), 'g', -1, 64), nil
}

func (n Number) finite() bool { return !math.IsNaN(float64(n)) && !math.IsInf(float64(n), 0) }

// Day is a calendar day; the zero Day is none and is written as null or
// nothing.
type Day civil.Date

// MarshalJSON writes "2026-07-14" or null.
func (d Day) MarshalJSON() ([]byte, error) {
	if d == (Day{}) {
		return []byte("null"), nil
	}
	return json.Marshal(civil.Date(d).String())
}

// MarshalCSV writes 2026-07-14 or nothing.
func (d Day) MarshalCSV() (string, error) {
	if d == (Day{}) {
		return "", nil
	}
	return civil.Date(d).String(), nil
}

// Instant is a time with its offset, RFC 3339 to the second; the zero Instant
// is none and is written as null or nothing.
type Instant time.Time

// MarshalJSON writes "2026-07-14T06:00:00-05:00" or null.
func (t Instant) MarshalJSON() ([]byte, error) {
	if time.Time(t).IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(t.text())
}

// MarshalCSV writes 2026-07-14T06:00:00-05:00 or nothing.
func (t Instant) MarshalCSV() (string, error) {
	if time.Time(t).IsZero() {
		return "", nil
	}
	return t.text(), nil
}

func (t Instant) text() string { return time.Time(t).Round(time.Second).Format(time.RFC3339) }

// Names is a list that stands in one CSV cell.
type Names []string

// MarshalJSON writes a list, empty and not null when there is none.
func (n Names) MarshalJSON() ([]byte, error) {
	if n == nil {
		return []byte("[]"), nil
	}
	return json.Marshal([]string(n))
}

// MarshalCSV writes the names with spaces between them.
func (n Names) MarshalCSV() (string, error) {
	text := ""
	for i, name := range n {
		if i > 0 {
			text += " "
		}
		text += name
	}
	return text, nil
}
