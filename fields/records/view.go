// What is read of a file before rows are added to it: all of one that is small, else
// its header and its end, so that adding a row to the records of many years takes no
// longer than to those of a week.
//
// The rows left out were looked at when the mark between them and the end was set,
// and none of them is about a later day than the mark says. For a row of an earlier
// day than that, and where there is no mark as somebody else has touched the file,
// they go through a sieve, which leaves those that the new row could be at odds with.

package records

import (
	"bytes"
	"errors"
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"
	"time"

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
	// maxSpanHours is the most that a pass takes.
	maxSpanHours = 24 * 400
	// mostAlike is how much of the rows about one name and day is looked at, bytes.
	mostAlike = 4 << 10
)

// view is a file as far as it is read before rows are added.
type view struct {
	head  []byte // its beginning, for its header and dialect
	size  int64
	whole []byte // all of it; or else
	held  lot    // the lines after the header that new rows are held against,
	all   bool   // and whether none is left out that could be at odds with them or like them,
	mark  journal.Mark
	rest  []byte // and what follows the mark
}

func (w *Writer) viewBytes() int {
	if w.least > 0 {
		return w.least
	}
	return leastBytes
}

// view reads a file for rows to be added. Whole asks for all of it.
func (w *Writer) view(b *book, rows []Entry, whole bool) (v view, err error) {
	if !whole {
		ok := false
		if w.part(b, func(p *part) { v, ok = w.viewPart(rows, p) }) && ok {
			return v, nil
		}
	}
	text, err := fs.ReadFile(w.settled(), path.Join(Dir, b.name))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return view{}, err
	}
	v = view{head: text[:min(len(text), 1<<20)], size: int64(len(text)), all: true, whole: slices.Clip(text)}
	if i := bytes.LastIndexByte(v.head, '\n'); i >= 0 && len(v.head) < len(text) {
		v.head = v.head[:i+1]
	}
	return v, nil
}

// part is a file that is read in parts.
type part struct {
	*journal.Part
	b      *book
	l      layout
	header []byte
}

// part shows a file that need not be read whole. It is false where there is none, and
// where it was changed meanwhile: what was seen is not to be used then.
func (w *Writer) part(b *book, show func(*part)) bool {
	shown := false
	same := journal.ShowPart(w.Dir, path.Join(Dir, b.name), w.viewBytes(), func(p *journal.Part) {
		if known := w.marks[b.name]; !p.Marked && known.Same(&p.Mark) {
			p.Mark, p.Marked = known, true
		}
		p.Marked = p.Marked && (p.Through.IsValid() || !b.dated)
		header := input.HeaderLine(p.Head)
		l, ps := layoutOf(b, "", p.Head)
		if shown = len(header) < len(p.Head) && len(ps) == 0; shown { // the header is all there
			show(&part{p, b, l, header})
		}
	})
	return same && shown
}

// sift puts what is before the mark through a sieve, and sets the mark where it only
// has a place. It is not ok where the lines are not rows.
func (w *Writer) sift(p *part, s *sieve) (lot, bool) {
	x, ok := s.file(p, int64(len(p.header)), p.Offset)
	if ok && !p.Marked {
		p.Line, p.Through, p.Marked = bytes.Count(p.header, []byte{'\n'})+x.lines, s.through(), true
		if w.marks == nil {
			w.marks = map[string]journal.Mark{}
		}
		w.marks[p.b.name] = p.Mark
	}
	return x, ok
}

// above are the lines between the header and the mark, none of them wanted.
func (p *part) above() lot { return lot{lines: p.Line - bytes.Count(p.header, []byte{'\n'})} }

// viewPart makes do with the end of a file, and those of the rows before it that
// the new ones are held against.
func (w *Writer) viewPart(rows []Entry, p *part) (v view, ok bool) {
	s := w.sieve(&p.l, w.about(p.b, rows))
	if p.b.back == 0 { // held against those of their own day only
		s.most = mostAlike * len(rows)
	}
	end := p.Marked && w.suffices(rows, p)
	if w.near(s, p.b, rows, end); end {
		v.held = p.above()
	} else if v.held, ok = w.sift(p, s); !ok {
		return v, false
	}
	s.enough.Store(false)
	rest, ok := s.all(p.Rest)
	if v.held.add(rest); s.most > 0 {
		v.held.last(s.most)
	}
	v.all = !end && !v.held.short
	v.head = slices.Concat(p.Head[:bytes.LastIndexByte(p.Head, '\n')+1], p.Rest)
	v.size, v.mark, v.rest = p.Size(), p.Mark, p.Rest
	return v, ok
}

// suffices tells whether rows may be judged by the end of their file.
func (w *Writer) suffices(rows []Entry, p *part) bool {
	if !p.b.dated {
		return true
	}
	through := p.Through.AddDays(slackDays)
	first, _, ok := w.days(rows)
	if !ok || !first.After(through) {
		return false
	}
	if p.b.back == 0 {
		return true
	}
	// The rows before a new one of the same machine, pipe or field are to be there.
	about := names(rows)
	undone := w.undoneAbout(about)
	for _, name := range about {
		// No more of them were taken back than there are lines about it.
		need := p.b.back
		for line := range bytes.Lines(undone.text) {
			if holds(line, fold(name)) && bytes.Contains(line, []byte(p.b.name)) {
				need++
			}
		}
		there, ok := w.sieve(&p.l, []string{name}).days(through.AddDays(1), lastDay).all(p.Rest)
		if !ok || len(there.numbers) < need {
			return false
		}
	}
	return true
}

// lastDay is later than any in a file.
var lastDay = civil.Date{Year: 9999, Month: time.December, Day: 31}

// day is that of a line's row.
func (l *layout) day(line []byte) (civil.Date, bool) {
	return dayIn(cell(l.cells(line), l.at("date", "start")))
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
	if hours > maxSpanHours || math.IsNaN(hours) {
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
	m := v.mark
	switch {
	case v.whole != nil:
		return nil
	case len(v.rest)+added <= 2*w.viewBytes():
		return &m
	}
	// On, so far that viewBytes are left.
	text := v.rest[:lineAfter(v.rest, len(v.rest)-w.viewBytes())]
	s := w.sieve(l, nil)
	s.raise(stampOfDay(m.Through))
	x, ok := s.all(text)
	if !ok {
		return nil
	}
	if m.Through.IsValid() {
		m.Through = s.through()
	}
	m.Line += x.lines
	m.Offset += int64(len(text))
	return &m
}

var bom = []byte("\xef\xbb\xbf")

// at is the first of the columns with one of these base names; -1: there is none.
func (l *layout) at(keys ...string) int {
	return slices.IndexFunc(l.columns, func(c *input.Column) bool { return c != nil && slices.Contains(keys, c.Key) })
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

// nameColumns are those of what rows are about; a file has one of them.
var nameColumns = []string{"pivot", "pipe", "field", "place", "zone", "well"}

// names are the names that rows are about: the readers hold rows of one name
// against each other.
func names(rows []Entry) []string {
	var out []string
	for _, row := range rows {
		for _, key := range nameColumns {
			if v, ok := row[key]; ok && v.text != "" && !slices.Contains(out, v.text) {
				out = append(out, v.text)
			}
		}
	}
	return out
}

// about are the names of the rows of a file that new ones are held against.
func (w *Writer) about(b *book, rows []Entry) []string {
	if b.back > 0 {
		return w.Farm.onOneWell(names(rows))
	}
	return names(rows)
}

// near has a sieve want only rows that lie in time near those to be added, or where
// there are few only those of no other day where no other matters.
func (w *Writer) near(s *sieve, b *book, rows []Entry, few bool) {
	days := 0
	if b.back > 0 {
		days = nearDays
	}
	if first, last, ok := w.days(rows); ok && !(few && b.back > 0) {
		s.days(first.AddDays(-days), last.AddDays(days))
	}
}
