// Text to numbers, dates and local times, strictly: what is not plainly one of
// these is an error that says what would be accepted.

package input

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/golang-sql/civil"
)

// The messages of this file, kept together so that they stay alike.
var (
	errNumber    = errors.New("not a number; write it like 12.5")
	errThousands = errors.New("not a number; a point marks decimals and thousands are not separated, like 1234.5")
	errHuge      = errors.New("too large for a number")
	errDate      = errors.New("not a date; write it as year-month-day, like 2024-06-09")
	errNoDay     = errors.New("no such day in the calendar; write it as year-month-day, like 2024-06-09")
	errTime      = errors.New("not a time; write it like 2024-06-09T14:30 (local time)")
	errNoTime    = errors.New("no such time; hours run from 00 to 23, minutes and seconds to 59, like 2024-06-09T14:30")
	errYesNo     = errors.New("not yes or no; write yes or no")
)

// ParseNumber reads a decimal number: digits with an optional sign, one
// decimal point and an optional exponent. It takes no NaN, infinity,
// hexadecimal, digit separators or surrounding space.
func ParseNumber(s string) (float64, error) {
	digits, point, exponent := 0, false, false
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits++
		case c == '.' && !point && !exponent:
			point = true
		case (c == 'e' || c == 'E') && !exponent && digits > 0:
			exponent, digits = true, 0
		case (c == '+' || c == '-') && (i == 0 || s[i-1] == 'e' || s[i-1] == 'E'):
		case c == ',' && digits > 0 && !exponent:
			return 0, errThousands
		default:
			return 0, errNumber
		}
	}
	if digits == 0 {
		return 0, errNumber
	}
	v, err := strconv.ParseFloat(s, 64)
	if errors.Is(err, strconv.ErrRange) {
		return 0, errHuge
	}
	if err != nil {
		return 0, errNumber
	}
	return v, nil
}

// pointFromComma turns a number with a decimal comma into one with a decimal
// point. Text with a point or with several commas is left as it is, so that
// "1.234,5" stays wrong and is not guessed at.
func pointFromComma(s string) string {
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		return strings.Replace(s, ",", ".", 1)
	}
	return s
}

// ParseDate reads an ISO 8601 calendar date, 2024-06-09 or 20240609, of the
// years 1800 to 2200: anything else is a slip of the keyboard.
func ParseDate(s string) (civil.Date, error) {
	var y, m, d string
	switch {
	case len(s) == 10 && s[4] == '-' && s[7] == '-':
		y, m, d = s[:4], s[5:7], s[8:]
	case len(s) == 8:
		y, m, d = s[:4], s[4:6], s[6:]
	default:
		return civil.Date{}, errDate
	}
	year, ok1 := digits(y)
	month, ok2 := digits(m)
	day, ok3 := digits(d)
	if !ok1 || !ok2 || !ok3 {
		return civil.Date{}, errDate
	}
	date := civil.Date{Year: year, Month: time.Month(month), Day: day}
	if !date.IsValid() {
		return civil.Date{}, errNoDay
	}
	if year < minYear || year > maxYear {
		return civil.Date{}, fmt.Errorf("year out of range; years %d to %d are accepted", minYear, maxYear)
	}
	return date, nil
}

// The years accepted: regular instrument records hardly start before 1800.
const minYear, maxYear = 1800, 2200

// digits reads an unsigned whole number of digits only.
func digits(s string) (int, bool) {
	n := 0
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, s != ""
}

// Clock is a time as written: a date and a time of day, with an offset from
// UTC when the text gives one.
type Clock struct {
	civil.DateTime
	HasOffset bool
	OffsetSec int // east of Greenwich, s
}

// ParseClock reads an ISO 8601 date and time: 2024-06-09T14:30, with a space
// instead of T if liked, seconds if liked, and Z or an offset such as -05:00 if
// liked. A date alone is not a time.
func ParseClock(s string) (Clock, error) {
	i := strings.IndexAny(s, "T ")
	if i < 0 {
		if _, err := ParseDate(s); err == nil {
			return Clock{}, errors.New("a date without a time of day; write it like 2024-06-09T14:30 (local time)")
		}
		return Clock{}, errTime
	}
	date, err := ParseDate(s[:i])
	if err != nil {
		return Clock{}, err
	}
	c := Clock{DateTime: civil.DateTime{Date: date}}
	rest := strings.TrimLeft(s[i+1:], " ")
	if tail, ok := strings.CutSuffix(rest, "Z"); ok {
		rest, c.HasOffset = tail, true
	} else if j := strings.LastIndexAny(rest, "+-"); j > 0 {
		off, ok := parseOffset(rest[j:])
		if !ok {
			return Clock{}, errTime
		}
		rest, c.HasOffset, c.OffsetSec = rest[:j], true, off
	}
	if (len(rest) != 5 && len(rest) != 8) || rest[2] != ':' || (len(rest) == 8 && rest[5] != ':') {
		return Clock{}, errTime
	}
	h, ok1 := digits(rest[:2])
	m, ok2 := digits(rest[3:5])
	sec, ok3 := 0, true
	if len(rest) == 8 {
		sec, ok3 = digits(rest[6:])
	}
	if !ok1 || !ok2 || !ok3 {
		return Clock{}, errTime
	}
	c.Time = civil.Time{Hour: h, Minute: m, Second: sec}
	if !c.Time.IsValid() {
		return Clock{}, errNoTime
	}
	return c, nil
}

// parseOffset reads +hh:mm, +hhmm or +hh.
func parseOffset(s string) (sec int, ok bool) {
	sign := 1
	if s[0] == '-' {
		sign = -1
	}
	s = strings.Replace(s[1:], ":", "", 1)
	n, ok := digits(s)
	switch {
	case !ok:
		return 0, false
	case len(s) == 2:
		n *= 100
	case len(s) != 4:
		return 0, false
	}
	h, m := n/100, n%100
	if h > 14 || m > 59 { // the largest offset in civil use is +14:00
		return 0, false
	}
	return sign * (h*3600 + m*60), true
}

// In gives the instant meant by c on clocks in loc. With an offset it is that
// instant, shown in loc. Without, a time that the clocks of loc skip is an
// error, and of a time that they show twice the first is given, with the
// second in again; again is zero for every other time.
func (c Clock) In(loc *time.Location) (first, again time.Time, err error) {
	utc := time.Date(c.Date.Year, c.Date.Month, c.Date.Day, c.Time.Hour, c.Time.Minute, c.Time.Second, 0, time.UTC)
	if c.HasOffset {
		return utc.Add(-time.Duration(c.OffsetSec) * time.Second).In(loc), time.Time{}, nil
	}
	// Every instant that shows this time of day has one of the offsets in force
	// a day before or a day after: zones do not change twice in two days.
	for _, near := range [...]time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, off := utc.Add(near).In(loc).Zone()
		t := utc.Add(-time.Duration(off) * time.Second).In(loc)
		if civil.DateTimeOf(t) != c.DateTime {
			continue
		}
		switch {
		case first.IsZero():
			first = t
		case t.Before(first):
			first, again = t, first
		case t.After(first):
			again = t
		}
	}
	if first.IsZero() {
		return first, again, fmt.Errorf("no such time in %s: the clocks are put forward over it; give a time before or after, or add the offset from UTC", loc)
	}
	return first, again, nil
}

// ParseYesNo reads yes or no; y, n, true and false are understood too.
func ParseYesNo(s string) (bool, error) {
	switch strings.ToLower(s) {
	case "yes", "y", "true":
		return true, nil
	case "no", "n", "false":
		return false, nil
	}
	return false, errYesNo
}
