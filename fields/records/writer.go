// Rows added to the files of records: laid out as the file is, checked as the
// readers check, on the disk before anybody is told so.

package records

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
)

// Writer records rows in one farm folder. Farm is what they may refer to. It is not
// for several goroutines at once.
type Writer struct {
	Dir  string
	Farm *Farm
	US   bool // units of a file that is not there yet
	// WeatherSkip is how many lines come before the header of weather.csv.
	WeatherSkip int

	least int                     // of a file's end that is read, bytes; 0: leastBytes
	marks map[string]journal.Mark // by file: found, but not in the journal yet
}

// Value is what one cell of a row is to say.
type Value struct {
	text   string
	amount *input.Quantity
	number bool
}

// Word is a value that is written as it is: a name, a date, a note.
func Word(text string) Value {
	return Value{text: strings.TrimSpace(strings.NewReplacer("\r\n", " ", "\n", " ", "\r", " ", "\t", " ").Replace(text))}
}

// Number is a number without a unit, as text with a decimal point.
func Number(text string) Value { return Value{text: text, number: true} }

// Amount is a quantity, written in the unit that the file's column has.
func Amount(q input.Quantity) Value { return Value{amount: &q} }

// Percent and Degrees are amounts in the one unit there is of them.
func Percent(v float64) Value { return plainAmount(v, input.Percent, "pct") }

// Degrees is an azimuth.
func Degrees(v float64) Value { return plainAmount(v, input.Angle, "deg") }

func plainAmount(v float64, d input.Dimension, suffix string) Value {
	u, _ := input.UnitOf(d, suffix)
	q := input.Quantity{SI: v, Unit: u}
	q.Text = q.In(u)
	return Amount(q)
}

// Entry is one row, by the base names of its columns: "amount", not "amount_in".
type Entry map[string]Value

// Receipt tells what was recorded, or would be.
type Receipt struct {
	File   string         // in the farm folder
	Lines  []string       // as written, without line end
	Keys   []string       // as Row.Text has them
	Doubts input.Problems // about the new rows
	Notes  []string       // what was done besides
}

// Batch is rows of one file that are recorded together: all of them or none.
type Batch struct {
	File string
	What string // names the deed for a later undo
	Rows []Entry
	At   []input.Pos // where each row comes from, for messages; nil: from nowhere
	// Prepare, where not nil, makes Rows and At once nobody else can write.
	Prepare func(*Batch) error
}

// Record adds rows to one file. An [input.Problems] error is about the rows,
// any other about the disk; with either nothing was recorded. With dry nothing
// is written.
func (w *Writer) Record(ctx context.Context, b Batch, now time.Time, dry bool) (Receipt, error) {
	if dry {
		if err := b.prepare(); err != nil || len(b.Rows) == 0 {
			return Receipt{}, err
		}
		d, err := w.draft(&b)
		return d.Receipt, err
	}
	j, err := journal.Open(ctx, w.Dir)
	if err != nil {
		return Receipt{}, unrecorded(err)
	}
	defer j.Close()
	if err := b.prepare(); err != nil || len(b.Rows) == 0 {
		return Receipt{Notes: j.Mended()}, err
	}
	return w.record(j, &b, &journal.Done{Time: now, What: b.What})
}

func (b *Batch) prepare() error {
	if b.Prepare == nil {
		return nil
	}
	return b.Prepare(b)
}

func (w *Writer) record(j *journal.Journal, b *Batch, done *journal.Done) (Receipt, error) {
	d, err := w.draft(b)
	d.Notes = append(j.Mended(), d.Notes...)
	if err != nil {
		return d.Receipt, err
	}
	if done != nil {
		done.File, done.Rows = b.File, d.Keys
	}
	if d.whole != nil {
		err = j.Replace(d.File, d.whole, done)
	} else {
		err = j.Append(d.File, d.lineEnd, d.text, done, d.mark)
	}
	if err != nil {
		return d.Receipt, unrecorded(err)
	}
	return d.Receipt, nil
}

func unrecorded(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("nothing was recorded: %w", err)
}

// draft is what is to be written.
type draft struct {
	Receipt
	lineEnd string
	text    string // whole lines, for the end of the file
	whole   []byte // not nil: the file must be written anew, as this
	mark    *journal.Mark
}

func (w *Writer) draft(batch *Batch) (draft, error) {
	b, ok := bookOf(batch.File)
	if !ok {
		panic("records: no file " + batch.File)
	}
	d := draft{Receipt: Receipt{File: path.Join(Dir, b.name)}}
	v, err := w.view(b, batch.Rows, false)
	if err != nil {
		return d, unrecorded(err)
	}
	problems := w.judge(b, batch, v, &d)
	// Not enough of the file was read for what has turned up.
	if errors.Is(problems, errPart) {
		if v, err = w.view(b, batch.Rows, true); err != nil {
			return d, unrecorded(err)
		}
		d = draft{Receipt: Receipt{File: d.File}}
		problems = w.judge(b, batch, v, &d)
	}
	return d, problems
}

// errPart tells that rows cannot be judged by a part of their file.
var errPart = errors.New("a part of the file is not enough")

// judge lays rows out for a file and lets the readers judge them.
func (w *Writer) judge(b *book, batch *Batch, v view, d *draft) error {
	rows, text := batch.Rows, v.whole
	fresh := v.size == 0 || text != nil && len(bytes.TrimSpace(bytes.TrimPrefix(text, bom))) == 0
	if fresh {
		text = []byte(b.newHeader(w.US) + "\n")
		v.head = text
	}
	l, ps := layoutOf(b, d.File, v.head)
	if len(ps) > 0 {
		return ps
	}
	if more := l.lacking(rows); len(more) > 0 {
		if text == nil {
			return errPart
		}
		text = widen(text, l.Dialect, l.named(), more)
		if l, ps = layoutOf(b, d.File, input.HeaderLine(text)); len(ps) > 0 {
			return ps
		}
		l.Dialect = input.DialectOf(text)
		d.whole = text
		if !fresh {
			d.Notes = append(d.Notes, fmt.Sprintf("%s gets a new column, %s", d.File, strings.Join(more, " and ")))
		}
	}
	for _, row := range rows {
		line := l.line(row)
		d.text += line
		d.Lines = append(d.Lines, strings.TrimSuffix(line, l.LineEnd))
	}
	d.lineEnd = l.LineEnd
	if size := int(v.size) + len(d.text); size > input.MaxFileBytes {
		return input.Problems{{Pos: input.Pos{File: d.File}, Msg: fmt.Sprintf("would get larger than the %d MB that can be read; move the rows of its oldest years to a file elsewhere", input.MaxFileBytes>>20)}}
	}
	var around shown
	firstNew := 0
	if text != nil {
		text = endLine(text, l.LineEnd)
		around, firstNew = w.held(b, &l, rows, text)
	} else {
		header := input.HeaderLine(v.head)
		around, firstNew = v.held.shown(header), 1+lines(header, l.LineEnd)+v.held.lines
		d.mark = w.next(b, &l, &v, len(d.text))
	}
	around.text = endLine(around.text, l.LineEnd)
	if fresh || d.whole != nil {
		d.whole = append(text, d.text...)
	}

	// Once without the new rows, once with them.
	look := overlay{w.settled(), map[string]shown{d.File: around, undoneName: w.undoneAbout(w.about(b, rows))}}
	before := w.read(b, look, 0)
	around.text = append(slices.Clip(around.text), d.text...)
	look.texts[d.File] = around
	after := w.read(b, look, firstNew)
	d.Keys = after.keys
	for _, key := range d.Keys {
		if len(after.undone[key]) == 0 {
			continue
		}
		// A row like this was taken back once: it is to be an old one.
		if !v.all {
			return errPart
		}
		if lines := before.left[key]; len(lines) > 0 {
			ps = append(ps, swallows(lines[0], b.name))
		}
	}
	if len(ps) > 0 {
		return ps
	}
	d.Doubts = added(after.doubts, before.doubts, firstNew, batch.At)
	if ps := added(after.problems, before.problems, firstNew, batch.At); len(ps) > 0 {
		d.Notes = nil
		return ps
	}
	return nil
}

// held are the rows of a text that new ones are held against, and the number of the
// line after it.
func (w *Writer) held(b *book, l *layout, rows []Entry, text []byte) (shown, int) {
	header := input.HeaderLine(text)
	s := w.sieve(l, w.about(b, rows))
	w.near(s, b, rows, len(text) <= 2*w.viewBytes())
	after := 1 + lines(text, l.LineEnd)
	if x, ok := s.all(text[len(header):]); ok && l.LineEnd != "\r" {
		return x.shown(header), after
	}
	return shown{text: text}, after
}

// lines counts those of a text that ends with a line's end.
func lines(text []byte, lineEnd string) int {
	return bytes.Count(text, []byte(lineEnd[len(lineEnd)-1:]))
}

func (w *Writer) settled() fs.FS { return journal.Settled(os.DirFS(w.Dir)) }

// undoneName is the file of the rows taken back, in the farm folder.
var undoneName = path.Join(Dir, UndoneFile)

// undoneAbout is undone.csv as far as it is about some names, or all of it where it is
// small; without a text: there is none, or it cannot be read, which the readers tell.
func (w *Writer) undoneAbout(names []string) shown {
	text, err := fs.ReadFile(w.settled(), undoneName)
	header := input.HeaderLine(text)
	if err != nil || len(text) <= 2*w.viewBytes() || quotesRunOn(text[len(header):]) || bytes.IndexByte(header, '\n') < 0 {
		return shown{text: text}
	}
	var x lot
	for line := range bytes.Lines(text[len(header):]) {
		x.lines++
		if slices.ContainsFunc(names, func(name string) bool { return holds(line, fold(name)) }) {
			x.pick(line, 0)
		}
	}
	return x.shown(header)
}

// judged is what the readers say of a file.
type judged struct {
	problems, doubts input.Problems
	keys             []string   // of the new rows
	undone, left     undoneRows // what was taken back of the file, and what of that is not in it
}

// read lets the readers judge a file. From is the first line of the new rows; 0:
// there are none.
func (w *Writer) read(b *book, fsys fs.FS, from int) judged {
	rd := &reader{fsys: fsys, farm: w.Farm, from: from}
	rd.readUndone()
	j := judged{undone: maps.Clone(rd.undone[b.name])}
	if from > 0 {
		rd.visit = func(_ string, key func() string, at input.Pos) {
			if at.Line >= from {
				j.keys = append(j.keys, key())
			}
		}
	}
	b.read(rd)
	j.problems, j.doubts, j.left = rd.problems, rd.doubts, rd.undone[b.name]
	return j
}

// added are the problems that were not there before. The place of a new row is
// where it comes from: it is not in the file yet.
func added(after, before input.Problems, firstNew int, from []input.Pos) input.Problems {
	count := map[input.Problem]int{}
	for _, p := range before {
		count[p]++
	}
	var out input.Problems
	for _, p := range after {
		if count[p]--; count[p] >= 0 {
			continue
		}
		if i := p.Line - firstNew; i >= 0 {
			p.Pos = input.Pos{}
			if i < len(from) {
				p.Pos = from[i].WholeLine()
			}
		}
		out = append(out, p)
	}
	return out
}

// endLine gives the text with its last line ended.
func endLine(text []byte, lineEnd string) []byte {
	if len(text) == 0 || bytes.HasSuffix(text, []byte(lineEnd[len(lineEnd)-1:])) {
		return slices.Clip(text)
	}
	return append(slices.Clip(text), lineEnd...)
}

// lacking are the columns that a file must get for these rows, with their units.
func (l *layout) lacking(rows []Entry) []string {
	var names []string
	for _, row := range rows {
		for key, v := range row {
			if v.text == "" && v.amount == nil || l.column(key) {
				continue
			}
			name := key
			if v.amount != nil {
				name = v.amount.Unit.Key(key)
			}
			taken := func(n string) bool { // in any unit
				return n == name || v.amount != nil && slices.Contains(input.Keys(key, v.amount.Unit.Dimension), n)
			}
			if !slices.ContainsFunc(names, taken) {
				names = append(names, name)
			}
		}
	}
	slices.Sort(names)
	return names
}

// line lays a row out.
func (l *layout) line(row Entry) string {
	cells := make([]string, len(l.columns))
	for i, c := range l.columns {
		if c == nil {
			continue
		}
		v := row[c.Key]
		switch {
		case v.amount != nil:
			cells[i] = l.Number(v.amount.In(c.Unit))
		case v.number:
			cells[i] = l.Number(v.text)
		default:
			cells[i] = v.text
		}
	}
	return l.Line(cells)
}

// overlay is a folder with some files otherwise than they are.
type overlay struct {
	fs.FS
	texts map[string]shown // by name; without a text: as it is
}

func (o overlay) Open(name string) (fs.File, error) {
	if text := o.texts[name].text; text != nil {
		return memory{bytes.NewReader(text)}, nil
	}
	return o.FS.Open(name)
}

// memory is a file that is only read from.
type memory struct{ *bytes.Reader }

func (memory) Stat() (fs.FileInfo, error) { return nil, fs.ErrInvalid }
func (memory) Close() error               { return nil }

// Passes are the passes of one machine, in order of their start.
func (w *Writer) Passes(pivot string) ([]Pass, input.Problems) {
	var passes []Pass
	ps := w.ofName(PassesFile, pivot, func(rd *reader) { passes = rd.passes() })
	return slices.DeleteFunc(passes, func(p Pass) bool { return p.Pivot != pivot }), ps
}

// LastPass is the latest pass of one machine; nil: there is none.
func (w *Writer) LastPass(pivot string) (*Pass, input.Problems) {
	var passes []Pass
	ps := w.Latest(PassesFile, pivot, func(rd *reader) (last civil.Date) {
		passes = slices.DeleteFunc(rd.passes(), func(p Pass) bool { return p.Pivot != pivot })
		if n := len(passes); n > 0 {
			last = civil.DateOf(passes[n-1].Start.In(w.Farm.Location))
		}
		return last
	})
	if len(passes) == 0 {
		return nil, ps
	}
	return &passes[len(passes)-1], ps
}

// LastMeter is the latest reading of one well's totaliser; nil: there is none.
func (w *Writer) LastMeter(well string) (*Meter, input.Problems) {
	var meters []Meter
	ps := w.Latest(MetersFile, well, func(rd *reader) (last civil.Date) {
		meters = slices.DeleteFunc(rd.meters(), func(m Meter) bool { return m.Well != well })
		if n := len(meters); n > 0 {
			last = meters[n-1].Date
		}
		return last
	})
	if len(meters) == 0 {
		return nil, ps
	}
	return &meters[len(meters)-1], ps
}

// latest reads as much of a file as holds the latest row of a name; read gives its
// day, or none.
func (w *Writer) Latest(file, name string, read func(*reader) civil.Date) (ps input.Problems) {
	b, _ := bookOf(file)
	found := false
	// try reads some rows, of which none of the name is left out that is about a later
	// day than after.
	try := func(p *part, x lot, s *sieve, after civil.Date) {
		rest, ok := s.all(p.Rest)
		x.add(rest)
		rd := w.readerOf(file, name, x.shown(p.header))
		found = ok && read(rd).After(after.AddDays(slackDays))
		ps = rd.problems
	}
	same := w.part(b, func(p *part) {
		about := []string{name}
		if !p.Marked {
			if _, ok := w.sift(p, w.sieve(&p.l, nil)); !ok {
				return
			}
		}
		if !p.Through.IsValid() {
			return
		}
		if try(p, p.above(), w.sieve(&p.l, about), p.Through); found {
			return
		}
		late := p.Through.AddDays(-nearDays)
		s := w.sieve(&p.l, about).days(late, lastDay)
		if x, ok := w.sift(p, s); ok {
			try(p, x, s, late)
		}
	})
	if same && found {
		return ps
	}
	return w.ofName(file, name, func(rd *reader) { read(rd) })
}

// ofName reads the rows of a file about a name; all for none.
func (w *Writer) ofName(file, name string, read func(*reader)) input.Problems {
	full := path.Join(Dir, file)
	text, err := fs.ReadFile(w.settled(), full)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return input.Problems{{Pos: input.Pos{File: full}, Msg: "cannot be read: " + err.Error()}}
	}
	part := shown{text: text}
	b, _ := bookOf(file)
	if l, ps := layoutOf(b, full, text); name != "" && len(ps) == 0 && l.LineEnd != "\r" {
		header := input.HeaderLine(text)
		if x, ok := w.sieve(&l, []string{name}).all(text[len(header):]); ok {
			part = x.shown(header)
		}
	}
	rd := w.readerOf(file, name, part)
	read(rd)
	return rd.problems
}

// readerOf is for those rows of a file, and what was taken back of those of a name.
func (w *Writer) readerOf(file, name string, part shown) *reader {
	rd := &reader{fsys: overlay{w.settled(), map[string]shown{path.Join(Dir, file): part, undoneName: w.undoneAbout([]string{name})}}, farm: w.Farm}
	rd.readUndone()
	return rd
}
