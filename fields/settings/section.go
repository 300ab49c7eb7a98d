// The strict reader: typed getters over one table of the document. What a
// getter has not asked for by the end is an unknown key.

package settings

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/golang-sql/civil"
	"github.com/pelletier/go-toml/v2"

	"sandwick/et/input"
)

// reader carries what all sections of one file share.
type reader struct {
	doc      *document
	problems input.Problems
	doubts   input.Problems
}

// section is one table. A nil table reads as one with nothing in it, so that
// the problems of a missing section are those of its missing keys.
type section struct {
	*reader
	path  string // "wells[0]"; "" for the whole file
	table map[string]any
	known []string // every key asked for
}

func (r *reader) section(path string, table map[string]any) *section {
	return &section{reader: r, path: path, table: table}
}

// pos is where a key of this section stands, or the section itself.
func (s *section) pos(key string) input.Pos { return s.doc.at(under(s.path, key)) }

// report books a problem with key. got is the value's text; pass "" to leave it out.
func (s *section) report(key, got, format string, args ...any) {
	s.problems = append(s.problems, input.Problem{
		Pos: s.pos(key), Field: s.field(key), Got: got, Msg: fmt.Sprintf(format, args...),
	})
}

// doubt books something that does not stop the work.
func (s *section) doubt(key, got, format string, args ...any) {
	s.doubts = append(s.doubts, input.Problem{
		Pos: s.pos(key), Field: s.field(key), Got: got, Msg: fmt.Sprintf(format, args...),
	})
}

// field names a key as a person would: with its table, unless that is the file.
func (s *section) field(key string) string {
	path := s.path
	for { // wells[0] stands in its line; the number adds nothing
		i := strings.IndexByte(path, '[')
		if i < 0 {
			break
		}
		j := strings.IndexByte(path[i:], ']')
		path = path[:i] + path[i+j+1:]
	}
	if key == "" {
		return path
	}
	return under(path, key)
}

func (s *section) has(key string) bool { _, ok := s.table[key]; return ok }

func (s *section) get(key string) (any, bool) {
	if !slices.Contains(s.known, key) {
		s.known = append(s.known, key)
	}
	v, ok := s.table[key]
	return v, ok
}

// done reports the keys nobody asked for.
func (s *section) done() {
	for key, v := range s.table {
		if slices.Contains(s.known, key) {
			continue
		}
		kind := "unknown key"
		switch v.(type) {
		case map[string]any:
			kind = "unknown section"
		case []any:
			if el := v.([]any); len(el) > 0 {
				if _, ok := el[0].(map[string]any); ok {
					kind = "unknown section"
				}
			}
		}
		slices.Sort(s.known)
		s.report(quoted(key), "", "%s%s", kind, input.NearestHint(key, s.known))
	}
}

// text reads an optional string, trimmed; "" when absent.
func (s *section) text(key string) string {
	v, ok := s.get(key)
	if !ok {
		return ""
	}
	t, ok := v.(string)
	if !ok {
		s.report(key, show(v), "is not text; write it between quotation marks")
		return ""
	}
	return strings.TrimSpace(t)
}

// needText reads a string that must be there.
func (s *section) needText(key, what string) string {
	if !s.has(key) {
		s.get(key)
		s.report(key, "", "is missing; give %s", what)
		return ""
	}
	t := s.text(key)
	if t == "" {
		if raw, ok := s.table[key].(string); ok {
			s.report(key, raw, "is empty; give %s", what)
		}
	}
	return t
}

// choice reads one of a few words; the first is the default.
func (s *section) choice(key string, accepted ...string) string {
	t := s.text(key)
	if t == "" {
		return accepted[0]
	}
	if !slices.Contains(accepted, t) {
		s.report(key, t, "is not known; %s is accepted", input.OrList(accepted))
		return accepted[0]
	}
	return t
}

// name reads a reference to something named elsewhere in the farm folder.
// known may be empty because those names are wrong themselves.
func (s *section) name(key, kind string, known []string, required bool) string {
	t := ""
	if required {
		t = s.needText(key, "the name of a "+kind)
	} else {
		t = s.text(key)
	}
	if t == "" {
		return ""
	}
	meant, ok := input.Known(t, known)
	if !ok {
		s.report(key, t, "%s", unknownName(kind, t, known))
		return ""
	}
	return meant
}

// unknownName words the complaint about a name that nothing has.
func unknownName(kind, name string, known []string) string {
	if len(known) == 0 {
		return fmt.Sprintf("no %s has this name; none is defined", kind)
	}
	return fmt.Sprintf("no %s has this name%s", kind, input.NearestHint(name, known))
}

// flag reads true or false; false when absent.
func (s *section) flag(key string) bool {
	v, ok := s.get(key)
	if !ok {
		return false
	}
	b, ok := v.(bool)
	if !ok {
		s.report(key, show(v), "is neither true nor false; write one of them without quotation marks")
	}
	return b
}

// limits is the range a number must lie in, ends included, in SI.
type limits struct{ min, max float64 }

// number reads a plain number; def when absent.
func (s *section) number(key string, def float64, in limits) float64 {
	v, ok := s.get(key)
	if !ok {
		return def
	}
	return s.check(key, v, def, plain, in)
}

// needNumber reads a plain number that must be there; NaN when it is not.
func (s *section) needNumber(key string, in limits) float64 {
	if !s.has(key) {
		s.get(key)
		s.report(key, "", "is missing; a number from %s to %s is accepted", trim(in.min), trim(in.max))
		return math.NaN()
	}
	return s.number(key, math.NaN(), in)
}

// whole reads a whole number; def when absent.
func (s *section) whole(key string, def int, in limits) int {
	v, ok := s.get(key)
	if !ok {
		return def
	}
	f := s.check(key, v, float64(def), plain, in)
	if f != math.Trunc(f) {
		s.report(key, show(v), "is not a whole number; one from %s to %s is accepted", trim(in.min), trim(in.max))
		return def
	}
	return int(f)
}

// fraction reads a percentage as 0..1; def (already a fraction) when absent.
func (s *section) fraction(key string, def float64, in limits) float64 {
	if !s.has(key) {
		s.get(key)
		return def
	}
	return s.number(key, def*100, in) / 100
}

// quantity reads stem with any one of the unit suffixes, converted to SI; def
// when absent. Two at once is a problem.
func (s *section) quantity(stem string, units []input.Unit, def float64, in limits) float64 {
	v, key, u := s.which(stem, units)
	if key == "" {
		return def
	}
	return s.check(key, v, def, u, in)
}

// needQuantity is quantity for something that must be there; NaN when it is not.
func (s *section) needQuantity(stem string, units []input.Unit, in limits) float64 {
	v, key, u := s.which(stem, units)
	if key == "" {
		s.report(stem, "", "is missing; %s is accepted", input.OrList(suffixed(stem, units)))
		return math.NaN()
	}
	return s.check(key, v, math.NaN(), u, in)
}

// which finds the spelling of stem that the file uses.
func (s *section) which(stem string, units []input.Unit) (v any, key string, u input.Unit) {
	for _, c := range units {
		k := c.Key(stem)
		if val, ok := s.get(k); ok {
			if key != "" {
				s.report(k, "", "%s", input.BothMessage([]string{key, k}))
				continue
			}
			v, key, u = val, k, c
		}
	}
	if val, ok := s.table[stem]; ok && key == "" && !slices.Contains(s.known, stem) {
		s.known = append(s.known, stem)
		s.report(stem, show(val), "has no unit; %s is accepted", input.OrList(suffixed(stem, units)))
		// Reported: an optional quantity falls back to its default, a needed one is not called missing too.
		return nil, stem, unreadable
	}
	return v, key, u
}

// keyOf is the spelling of stem in the file, for a later complaint.
func (s *section) keyOf(stem string, units []input.Unit) string {
	for _, u := range units {
		if k := u.Key(stem); s.has(k) {
			return k
		}
	}
	return stem
}

// amount is an SI value in the unit of key, one of the spellings of a quantity,
// for a complaint about that key.
func (s *section) amount(key string, units []input.Unit, si float64) string {
	u := units[0]
	for _, c := range units {
		if strings.HasSuffix(key, "_"+c.Suffix) {
			u = c
		}
	}
	return trim(u.FromSI(si)) + " " + u.Name
}

// check turns v into SI and holds it against the limits. def is returned for
// a value that is reported.
func (s *section) check(key string, v any, def float64, u input.Unit, in limits) float64 {
	if u == unreadable {
		return def
	}
	var f float64
	switch n := v.(type) {
	case int64:
		f = float64(n)
	case float64:
		f = n
	default:
		s.report(key, show(v), "is not a number; write it without quotation marks or unit")
		return def
	}
	si := u.ToSI(f)
	if math.IsNaN(si) || si < in.min*(1-1e-12) || si > in.max*(1+1e-12) {
		s.report(key, show(v), "is out of range; %s to %s is accepted", trim(u.FromSI(in.min)), trim(u.FromSI(in.max)))
		return def
	}
	return si
}

// date reads an ISO 8601 calendar date; the zero date when absent.
func (s *section) date(key string) civil.Date {
	v, ok := s.get(key)
	if !ok {
		return civil.Date{}
	}
	return s.dateOf(key, v)
}

func (s *section) needDate(key, what string) civil.Date {
	if !s.has(key) {
		s.get(key)
		s.report(key, "", "is missing; give %s, as 2026-05-01", what)
		return civil.Date{}
	}
	return s.date(key)
}

func (s *section) dateOf(key string, v any) civil.Date {
	switch v.(type) {
	case toml.LocalDate, string:
		d, err := input.ParseDate(strings.TrimSpace(show(v)))
		if err != nil {
			s.report(key, show(v), "%s", err.Error())
		}
		return d
	}
	s.report(key, show(v), "not a date; write it as year-month-day, like 2026-05-01")
	return civil.Date{}
}

// dates reads a list of dates, in order.
func (s *section) dates(key string) []civil.Date {
	var out []civil.Date
	for i, v := range s.list(key) {
		k := index(key, i)
		d := s.dateOf(k, v)
		if !d.IsValid() {
			continue
		}
		if n := len(out); n > 0 && !d.After(out[n-1]) {
			s.report(k, d.String(), "does not come after %s; the dates must rise", out[n-1])
			continue
		}
		out = append(out, d)
	}
	return out
}

// moment reads a date or a local date and time. A date alone is its first
// instant, or with endOfDay the first of the next day.
func (s *section) moment(key string, loc *time.Location, endOfDay bool) time.Time {
	v, ok := s.get(key)
	if !ok {
		s.report(key, "", "is missing; a date or a local time is accepted, as 2026-07-01 or 2026-07-01T06:00")
		return time.Time{}
	}
	text := show(v)
	t, dateOnly, err := ParseMoment(text, loc)
	if err != nil {
		s.report(key, text, "%s", err.Error())
		return time.Time{}
	}
	if dateOnly && endOfDay {
		t = StartOfDay(civil.DateOf(t).AddDays(1), loc)
	}
	return t
}

// clock reads a time of day as minutes after midnight; 24:00 is the end of the day.
func (s *section) clock(key string) int {
	v, ok := s.get(key)
	if !ok {
		s.report(key, "", `is missing; a time of day is accepted, as "14:00"`)
		return 0
	}
	text := show(v)
	if m, ok := parseClock(text); ok {
		return m
	}
	s.report(key, text, `is not a time of day; one from "00:00" to "24:00" is accepted`)
	return 0
}

func parseClock(text string) (minutes int, ok bool) {
	h, m, found := strings.Cut(text, ":")
	m = strings.TrimSuffix(m, ":00") // a TOML local time has seconds
	hh, err1 := strconv.Atoi(h)
	mm, err2 := strconv.Atoi(m)
	if !found || err1 != nil || err2 != nil || len(m) != 2 || len(h) > 2 || hh < 0 || mm < 0 || mm > 59 || hh*60+mm > 24*60 {
		return 0, false
	}
	return hh*60 + mm, true
}

// list reads an array; a single value stands for a list of one.
func (s *section) list(key string) []any {
	v, ok := s.get(key)
	if !ok {
		return nil
	}
	if l, ok := v.([]any); ok {
		return l
	}
	s.report(key, show(v), "is not a list; write it between square brackets")
	return nil
}

// texts reads a list of strings. Bare numbers are taken as written, so that a
// code such as -9999 needs no quotation marks.
func (s *section) texts(key string) []string {
	var out []string
	for i, v := range s.list(key) {
		switch t := v.(type) {
		case string:
			out = append(out, t)
		case int64, float64:
			out = append(out, show(t))
		default:
			s.report(index(key, i), show(v), "is not text; write it between quotation marks")
		}
	}
	return out
}

// sub opens a table inside this one; ok is false when it is absent.
func (s *section) sub(key string) (*section, bool) {
	v, ok := s.get(key)
	if !ok {
		return s.section(join(s.path, key), nil), false
	}
	t, ok := v.(map[string]any)
	if !ok {
		s.report(key, show(v), "is not a section; write [%s] and its keys on lines of their own", s.field(key))
		return s.section(join(s.path, key), nil), false
	}
	return s.section(join(s.path, key), t), true
}

// each opens the tables of a list of tables one after the other.
func (s *section) each(key string, f func(*section)) {
	v, ok := s.get(key)
	if !ok {
		return
	}
	l, ok := v.([]any)
	if !ok {
		s.report(key, "", "is one section; write [[%s]], one for each", s.field(key))
		return
	}
	for i, el := range l {
		p := index(join(s.path, key), i)
		t, ok := el.(map[string]any)
		if !ok {
			s.report(index(key, i), show(el), "is not a table; write {key = value, ...}")
			continue
		}
		sub := s.section(p, t)
		f(sub)
		sub.done()
	}
}

// show is a value as it would be typed, without quotation marks.
func show(v any) string {
	switch t := v.(type) {
	case string:
		return t
	case int64:
		return strconv.FormatInt(t, 10)
	case float64:
		return strconv.FormatFloat(t, 'g', -1, 64)
	case bool:
		return strconv.FormatBool(t)
	case map[string]any:
		return "a table"
	case []any:
		return "a list"
	case time.Time:
		return t.Format(time.RFC3339)
	case fmt.Stringer:
		return t.String()
	}
	return fmt.Sprint(v)
}

// trim writes a limit with at most four significant digits.
func trim(f float64) string {
	if math.Abs(f) >= 1000 {
		return strconv.FormatFloat(math.Round(f), 'f', -1, 64)
	}
	g, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 4, 64), 64)
	return strconv.FormatFloat(g, 'f', -1, 64)
}
