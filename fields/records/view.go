// What is read of a file before rows are added to it: all of one that is small or
// that somebody else has touched, else its header and its end, so that adding a
// row to the records of many years takes no longer than to those of a week.
//
// The rows left out were read when the mark between them and the end was set, and
// of those that a new row could be at odds with, none is about a later day than
// the mark says. A row of an earlier day than that is held against all rows.

package records

import (
	"bytes"
	"errors"
	"io/fs"
	"math"
	"os"
	"path"
	"slices"
	"strings"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
)

const (
	// leastBytes is the least of a file's end that is read; a file of up to twice as
	// much is read whole.
	leastBytes = 32 << 10
	// slackDays is how far a day in a file may be off the local one: times may
	// carry their offset from UTC.
	slackDays = 2
	// nearDays is how far rows may lie apart in time to be held against each other,
	// beyond those at odds.
	nearDays = 100
)

// view is a file as far as it is read before rows are added.
type view struct {
	head    []byte // its beginning, for its header and dialect
	text    []byte // all of it, or its header and its end
	leftOut int    // lines between these two
	whole   bool
	needed  bool // to be whole
	marked  bool
	mark    journal.Mark
	rest    []byte // what follows the mark
}

func (w *Writer) viewBytes() int {
	if w.least > 0 {
		return w.least
	}
	return leastBytes
}

// view reads a file for rows to be added. Whole asks for all of it.
func (w *Writer) view(b *book, rows []Entry, whole bool) (view, error) {
	name := path.Join(Dir, b.name)
	part, marked := journal.ReadPart(w.Dir, name)
	if marked && !whole && w.suffices(b, rows, &part) {
		header := input.HeaderLine(part.Head)
		return view{
			head: part.Head, text: slices.Concat(header, part.Rest), leftOut: part.Line - bytes.Count(header, []byte{'\n'}),
			marked: true, mark: part.Mark, rest: part.Rest,
		}, nil
	}
	text, err := fs.ReadFile(journal.Settled(os.DirFS(w.Dir)), name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return view{}, err
	}
	v := view{head: text[:min(len(text), 1<<20)], text: text, whole: true, needed: whole}
	if i := bytes.LastIndexByte(v.head, '\n'); i >= 0 && len(v.head) < len(text) {
		v.head = v.head[:i+1]
	}
	if marked && part.Offset+int64(len(part.Rest)) == int64(len(text)) {
		v.marked, v.mark, v.rest = true, part.Mark, part.Rest
	}
	return v, nil
}

// suffices tells whether rows may be judged by a part of their file.
func (w *Writer) suffices(b *book, rows []Entry, p *journal.Part) bool {
	if len(input.HeaderLine(p.Head)) == len(p.Head) {
		return false // the header is not all there
	}
	if b.back == 0 {
		return true
	}
	first, _, ok := w.days(rows)
	if !ok || !p.Through.IsValid() || !first.After(p.Through.AddDays(slackDays)) {
		return false
	}
	// The rows before a new one of the same machine, pipe or field are to be there.
	l, ps := layoutOf(b, "", p.Head)
	if len(ps) > 0 {
		return false
	}
	later := func(line []byte) bool {
		day, ok := l.day(line)
		return ok && day.After(p.Through.AddDays(slackDays))
	}
	about := names(rows)
	undone := w.undoneAbout(about)
	for _, name := range about {
		// No more of them were taken back than there are lines about it.
		taken := onlyWith(undone, []string{name}, func(line []byte) bool { return bytes.Contains(line, []byte(b.name)) })
		if len(onlyWith(p.Rest, []string{name}, later)) < b.back+len(taken) {
			return false
		}
	}
	return true
}

// day is that of a line's row.
func (l *layout) day(line []byte) (civil.Date, bool) {
	i := l.at("date", "start")
	if text := l.bare(line, i); text != nil {
		return dayIn(string(text))
	}
	return dayIn(cell(l.cells(line), i))
}

// days are the first and the last day that rows are about.
func (w *Writer) days(rows []Entry) (first, last civil.Date, ok bool) {
	for i, row := range rows {
		from, to, known := w.span(row["pivot"].text, row["date"].text+row["start"].text, row["end"].text, "")
		if !known {
			return first, last, false
		}
		if i == 0 || from.Before(first) {
			first = from
		}
		if i == 0 || to.After(last) {
			last = to
		}
	}
	return first, last, len(rows) > 0
}

// span are the days of one row, by the text of its cells: of a pass without an end
// those that its machine takes at most.
func (w *Writer) span(pivot, start, end, timer string) (first, last civil.Date, ok bool) {
	if first, ok = dayIn(start); !ok {
		return first, last, false
	}
	if last, ok = dayIn(end); ok || pivot == "" {
		if !ok || last.Before(first) {
			last = first
		}
		return first, last, true
	}
	hours := 0.0
	for _, m := range w.Farm.Machines {
		if strings.EqualFold(m.Name, pivot) {
			pct := m.TimerMinPct
			if v, err := input.ParseNumber(strings.Replace(timer, ",", ".", 1)); err == nil && v > 0 {
				pct = v
			}
			hours = max(hours, m.HoursAtFull*100/pct)
		}
	}
	if hours > 24*400 || math.IsNaN(hours) {
		return first, last, false
	}
	return first, first.AddDays(int(hours/24) + 1), true
}

// dayIn is the day of a date or a time.
func dayIn(text string) (civil.Date, bool) {
	text = strings.TrimSpace(text)
	if i := strings.IndexAny(text, "T "); i >= 0 {
		text = text[:i]
	}
	d, err := input.ParseDate(text)
	return d, err == nil
}

// next is the mark of a file to which so many bytes are added; nil: none.
func (w *Writer) next(b *book, l *layout, v *view, added int) *journal.Mark {
	switch {
	case l.LineEnd == "\r": // a row like the others cannot be told from a part of one
		return nil
	case v.marked && len(v.rest)+added <= 2*w.viewBytes():
		return &v.mark
	case v.marked:
		return w.advance(b, l, v.mark, v.rest)
	case len(v.text)+added <= 2*w.viewBytes():
		return nil
	}
	m := w.advance(b, l, journal.Mark{}, bytes.TrimPrefix(v.text, bom))
	if m != nil && bytes.HasPrefix(v.text, bom) {
		m.Offset += int64(len(bom))
	}
	return m
}

var bom = []byte("\xef\xbb\xbf")

// advance moves a mark on through the text that follows it, so far that
// viewBytes are left. It gives nil where rows cannot be told apart.
func (w *Writer) advance(b *book, l *layout, m journal.Mark, text []byte) *journal.Mark {
	if m.Offset > 0 && b.dated && !m.Through.IsValid() {
		return nil
	}
	end := lineAfter(text, len(text)-w.viewBytes())
	if quotesRunOn(text[:end]) {
		return nil
	}
	if b.dated {
		through, ok := w.latestDay(l, text[:end], m.Through)
		if !ok {
			return nil
		}
		m.Through = through
	}
	m.Line += bytes.Count(text[:end], []byte{'\n'})
	m.Offset += int64(end)
	return &m
}

// latestDay is the latest that any row of whole lines is about, or the one that was
// the latest before them. It is not ok where that cannot be told.
func (w *Writer) latestDay(l *layout, text []byte, before civil.Date) (last civil.Date, ok bool) {
	pivot, start, end, timer := l.at("pivot"), l.at("date", "start"), l.at("end"), l.at("timer")
	if start < 0 {
		return last, false
	}
	last = before
	newest := ""
	if last.IsValid() {
		newest = last.String()
	}
	for line := range bytes.Lines(text) {
		if len(line) < len("2025-06-10") || line[0] == '#' {
			continue
		}
		if noLater(l.bare(line, start), newest) && (pivot < 0 || noLater(l.bare(line, end), newest)) {
			continue
		}
		cells := l.cells(line)
		first, to := cell(cells, start), cell(cells, end)
		// A row whose day cannot be read has a problem, and counts nowhere.
		if _, day, ok := w.span(cell(cells, pivot), first, to, cell(cells, timer)); ok {
			if day.After(last) || !last.IsValid() {
				last, newest = day, day.String()
			}
		} else if _, good := dayIn(first); good {
			return last, false // a pass that may take for ever
		}
	}
	return last, true
}

// noLater tells of a date or a time, as most are written, that it is of a day no
// later than another.
func noLater(text []byte, newest string) bool {
	const n = len("2025-06-10")
	return len(text) >= n && text[4] == '-' && text[7] == '-' && string(text[:n]) <= newest
}

// at is the first of the columns with one of these base names; -1: there is none.
func (l *layout) at(keys ...string) int {
	return slices.IndexFunc(l.columns, func(c *input.Column) bool { return c != nil && slices.Contains(keys, c.Key) })
}

// bare is a cell of a line without quotes; nil where there is none, or quotes.
func (l *layout) bare(line []byte, i int) []byte {
	if i < 0 || bytes.IndexByte(line, '"') >= 0 {
		return nil
	}
	for range i {
		n := bytes.IndexByte(line, byte(l.Separator))
		if n < 0 {
			return nil
		}
		line = line[n+1:]
	}
	if n := bytes.IndexByte(line, byte(l.Separator)); n >= 0 {
		line = line[:n]
	}
	return bytes.TrimSpace(line)
}

// cells are those of a line, without the space around them.
func (l *layout) cells(line []byte) []string {
	if bytes.IndexByte(line, '"') >= 0 {
		return l.Split(line)
	}
	return strings.Split(strings.TrimRight(string(line), "\r\n"), string(l.Separator))
}

func cell(cells []string, i int) string {
	if i < 0 || i >= len(cells) {
		return ""
	}
	return strings.TrimSpace(cells[i])
}

// names are the names that rows are about: the readers hold rows of one name
// against each other.
func names(rows []Entry) []string {
	var out []string
	for _, row := range rows {
		for _, key := range []string{"pivot", "pipe", "field", "place", "zone", "well"} {
			if v, ok := row[key]; ok && v.text != "" && !slices.Contains(out, v.text) {
				out = append(out, v.text)
			}
		}
	}
	return out
}

// near tells of a line of a file whether its row lies in time near those to be added.
func (w *Writer) near(l *layout, rows []Entry) func(line []byte) bool {
	first, last, ok := w.days(rows)
	if !ok {
		return nil
	}
	first, last = first.AddDays(-nearDays), last.AddDays(nearDays)
	return func(line []byte) bool {
		day, ok := l.day(line)
		return !ok || !day.Before(first) && !day.After(last)
	}
}
