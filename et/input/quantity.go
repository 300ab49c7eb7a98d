// A quantity as people type it: 0.4in, 10mm, 3ft 2in, 1 1/2 in.

package input

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Quantity is a number with its unit, as typed. The zero Quantity is 0 of nothing.
type Quantity struct {
	SI   float64 // in the canonical unit of the dimension
	Unit Unit    // the unit typed, the larger of two
	Text string  // the number in Unit, with a decimal point: as typed, where it was one plain number
}

// In gives the number as text in another unit of the dimension, to six
// figures; in its own unit as it was typed.
func (q Quantity) In(u Unit) string {
	if u == q.Unit && q.Text != "" {
		return q.Text
	}
	return formatPlain(roundTo(u.FromSI(q.SI), typedFigures))
}

// Quantity is the number of a cell with its unit.
func (n Number) Quantity() Quantity {
	return Quantity{SI: n.Value(), Unit: n.Unit(), Text: PlainCell(n.Text)}
}

// typedFigures is the precision of a converted number: beyond it lies what
// no gauge, tape or scale reads.
const typedFigures = 6

// maxPlainDigits is the longest text taken for one number: beyond it, digits
// that tell two texts apart would be lost in a float64.
const maxPlainDigits = 15

// spelled are the ways in which people write units beyond their suffix.
var spelled = map[string]string{
	"\"": "in", "″": "in", "inch": "in", "inches": "in", "ins": "in",
	"'": "ft", "′": "ft", "foot": "ft", "feet": "ft",
	"metre": "m", "metres": "m", "meter": "m", "meters": "m",
	"millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
	"pound": "lb", "pounds": "lb", "lbs": "lb",
	"gallon": "gal", "gallons": "gal",
	"ac-ft": "acft", "ac-in": "acin", "m³": "m3", "°": "deg",
	"%": "pct", "percent": "pct", "hours": "h", "hour": "h", "hrs": "h",
}

// within are smaller units that may follow, or stand alone, where a
// dimension's own table has none as small: 3ft 2in of ground.
var within = map[Dimension]map[string]Unit{
	Length: {"in": {Length, "in", "in", inchMM, 1000, 0}, "mm": {Length, "mm", "mm", 1, 1000, 0}},
}

// instead is the unit of a dimension's table in which such a number is kept.
var instead = map[string]string{"in": "ft", "mm": "m"}

// ParseQuantity reads a number with its unit, or a sum of two with falling
// units. A number may be whole, decimal, or a fraction with or without a whole
// number before it. What has no unit is an error, never a guess: the message
// says what would be accepted.
func ParseQuantity(text string, d Dimension) (Quantity, error) {
	accepted := make([]string, 0, 4)
	for _, u := range UnitsOf(d) {
		accepted = append(accepted, u.Suffix)
	}
	fail := func(what string) (Quantity, error) {
		return Quantity{}, fmt.Errorf("%s; give a number with its unit, %s", what, OrList(accepted))
	}
	rest := strings.TrimSpace(text)
	if rest == "" {
		return fail("nothing given")
	}
	var q Quantity
	var last Unit
	for parts := 0; rest != ""; parts++ {
		number, value, after, ok := leadingNumber(rest)
		if !ok {
			return fail("not a number with a unit")
		}
		if math.IsInf(value, 0) || math.IsNaN(value) {
			return fail("too large for a number")
		}
		end := strings.IndexFunc(after, func(r rune) bool { return unicode.IsDigit(r) && r != '³' || unicode.IsSpace(r) })
		if strings.HasPrefix(strings.ToLower(after), "m3") { // the one unit with a digit in it
			end = max(2, strings.IndexFunc(after, unicode.IsSpace))
			if !unicode.IsSpace(rune((after + " ")[end])) {
				end = len(after)
			}
		}
		word := after
		if end >= 0 {
			word, rest = after[:end], strings.TrimSpace(after[end:])
		} else {
			rest = ""
		}
		if word == "" {
			return fail(fmt.Sprintf("%s has no unit", number))
		}
		u, ok := typedUnit(word, d)
		switch {
		case !ok:
			return fail(fmt.Sprintf("no unit of %s is called %s", d, word))
		case parts == 0:
			q.SI, q.Unit, q.Text = u.ToSI(value), u, number
			if strings.ContainsAny(number, " /") {
				q.Text = formatPlain(value)
			}
		case parts > 1 || u.Offset != 0 || u.Mul*last.Div >= last.Mul*u.Div:
			return fail("more than one number")
		case value < 0 || q.SI < 0:
			return fail("a sum of numbers below 0")
		default:
			q.SI += u.ToSI(value)
			q.Text = ""
		}
		last = u
	}
	if main, ok := UnitOf(d, q.Unit.Suffix); ok {
		q.Unit = main
	} else {
		q.Unit, _ = UnitOf(d, instead[q.Unit.Suffix])
		q.Text = ""
	}
	return q, nil
}

// typedUnit finds the unit of a dimension by what a person calls it.
func typedUnit(word string, d Dimension) (Unit, bool) {
	word = strings.ToLower(strings.TrimSuffix(word, "."))
	if s, ok := spelled[word]; ok {
		word = s
	}
	if u, ok := UnitOf(d, word); ok {
		return u, true
	}
	u, ok := within[d][word]
	return u, ok
}

// leadingNumber takes the number off the front of s: 12, 0.4, 3/4, 1 1/2, -3.
func leadingNumber(s string) (number string, value float64, rest string, ok bool) {
	plain := func(s string) int {
		n := 0
		for n < len(s) && (s[n] >= '0' && s[n] <= '9' || s[n] == '.' || n == 0 && (s[n] == '-' || s[n] == '+')) {
			n++
		}
		return n
	}
	n := plain(s)
	value, err := ParseNumber(s[:n])
	if err != nil {
		return "", 0, "", false
	}
	number, rest = s[:n], strings.TrimSpace(s[n:])
	if after, over := strings.CutPrefix(rest, "/"); over { // 3/4
		k := plain(after)
		below, err := ParseNumber(after[:k])
		if err != nil || !(below > 0) {
			return "", 0, "", false
		}
		return number + "/" + after[:k], value / below, strings.TrimSpace(after[k:]), true
	}
	if rest != "" && rest[0] >= '0' && rest[0] <= '9' { // 1 1/2
		k := plain(rest)
		if strings.HasPrefix(strings.TrimSpace(rest[k:]), "/") && value >= 0 {
			fraction, part, after, ok := leadingNumber(rest)
			return number + " " + fraction, value + part, after, ok
		}
	}
	return number, value, rest, true
}

// formatPlain writes a number without exponent and without idle zeros.
func formatPlain(v float64) string {
	if v == 0 {
		return "0" // and never -0
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// roundTo keeps so many significant figures.
func roundTo(v float64, figures int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', figures, 64), 64)
	if err != nil {
		return v
	}
	return r
}
