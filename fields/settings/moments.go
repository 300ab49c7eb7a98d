// Local date and time to an instant, with the two hours a year that need care.

package settings

import (
	"errors"
	"strings"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
)

var errMoment = errors.New("is not a date or local time; write it like 2026-07-01 or 2026-07-01T06:00")

// ParseMoment reads a date or a local date and time (an offset from UTC may
// follow). dateOnly tells that no time of day was given; the result is then the
// first instant of the day. Of a time that the clocks show twice the first is
// meant; one that they skip is an error.
func ParseMoment(text string, loc *time.Location) (t time.Time, dateOnly bool, err error) {
	text = strings.TrimSpace(text)
	if !strings.ContainsAny(text, "T :") {
		d, err := input.ParseDate(text)
		if err != nil {
			return time.Time{}, false, errMoment
		}
		return StartOfDay(d, loc), true, nil
	}
	c, err := input.ParseClock(text)
	if err != nil {
		return time.Time{}, false, err
	}
	t, _, err = c.In(loc)
	return t, false, err
}

// StartOfDay is the first instant of a calendar day: midnight or, where the
// clocks skip midnight, the moment they skip to.
func StartOfDay(d civil.Date, loc *time.Location) time.Time {
	t := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, loc)
	for civil.DateOf(t).Before(d) { // time.Date fell back over the gap
		t = t.Add(15 * time.Minute)
	}
	// Midnight may come twice, or time.Date may have landed past the gap.
	for e := t.Add(-15 * time.Minute); !civil.DateOf(e).Before(d); e = e.Add(-15 * time.Minute) {
		t = e
	}
	return t
}
