// Rows added to the files of records: laid out as the file is, checked as the
// readers check, on the disk before anybody is told so.

package records

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
)

// Writer records rows in one farm folder. Farm is what they may refer to.
type Writer struct {
	Dir  string
	Farm *Farm
	US   bool // units of a file that is not there yet
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

// smallBytes is how large a file may be to be read whole before a row is added
// where that only serves to raise doubts.
const smallBytes = 1 << 20

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
		err = j.Append(d.File, d.lineEnd, d.text, done)
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
}

func (w *Writer) draft(batch *Batch) (draft, error) {
	b, ok := bookOf(batch.File)
	if !ok {
		panic("records: no file " + batch.File)
	}
	rows := batch.Rows
	d := draft{Receipt: Receipt{File: path.Join(Dir, b.name)}}
	fsys := journal.Settled(os.DirFS(w.Dir))
	text, err := fs.ReadFile(fsys, d.File)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return d, unrecorded(err)
	}
	fresh := len(bytes.TrimSpace(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")))) == 0
	if fresh {
		text = []byte(b.newHeader(w.US) + "\n")
	}
	head := text[:min(len(text), smallBytes)]
	if i := bytes.LastIndexByte(head, '\n'); i >= 0 && len(head) < len(text) {
		head = head[:i+1]
	}
	l, ps := layoutOf(b, d.File, head)
	if len(ps) > 0 {
		return d, ps
	}
	if more := l.lacking(rows); len(more) > 0 {
		text = widen(text, l.Dialect, l.named(), more)
		head = text
		if l, ps = layoutOf(b, d.File, input.HeaderLine(text)); len(ps) > 0 {
			return d, ps
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
	if fresh || d.whole != nil {
		d.whole = append(endLine(text, l.LineEnd), d.text...)
	}

	// The readers are to judge the rows: once without them, once with them.
	around := text
	view := overlay{FS: fsys}
	switch {
	case len(text) <= smallBytes:
	case b.whole:
		around = blankOthers(text, w.Farm.onOneWell(names(rows)))
	default:
		around = input.HeaderLine(text)
		view.hidden = path.Join(Dir, UndoneFile) // its rows are not all in view
	}
	around = endLine(around, l.LineEnd)
	view.name, view.text = d.File, around
	before, beforeDoubts, _ := w.read(b, view, 0)
	firstNew := bytes.Count(around, []byte(l.LineEnd)) + 1
	view.text = append(slices.Clip(around), d.text...)
	after, afterDoubts, keys := w.read(b, view, firstNew)
	d.Keys = keys
	d.Doubts = added(afterDoubts, beforeDoubts, firstNew, batch.At)
	if ps := added(after, before, firstNew, batch.At); len(ps) > 0 {
		d.Notes = nil
		return d, ps
	}
	return d, nil
}

// read lets the readers judge a file. keys are those of the rows from a line on.
func (w *Writer) read(b *book, fsys fs.FS, from int) (problems, doubts input.Problems, keys []string) {
	rd := &reader{fsys: fsys, farm: w.Farm}
	rd.readUndone()
	if from > 0 {
		rd.visit = func(_ string, key func() string, at input.Pos) {
			if at.Line >= from {
				keys = append(keys, key())
			}
		}
	}
	b.read(rd)
	return rd.problems, rd.doubts, keys
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

// names are the names that rows are about: the readers hold rows of one pivot,
// pipe or field against each other.
func names(rows []Entry) [][]byte {
	var out [][]byte
	for _, row := range rows {
		for _, key := range []string{"pivot", "pipe", "field"} {
			if v, ok := row[key]; ok {
				out = append(out, []byte(v.text))
			}
		}
	}
	return out
}

// blankOthers empties the lines after the header that hold none of the names,
// so that the others keep their line numbers and little is left to be read. A
// text whose quotes run over lines stays as it is.
func blankOthers(text []byte, names [][]byte) []byte {
	if bytes.IndexByte(text, '\n') < 0 {
		return text
	}
	out := append(make([]byte, 0, 1<<16), input.HeaderLine(text)...)
	at := len(out)
	for i := at; ; { // lines with quotes
		n := bytes.IndexByte(text[i:], '"')
		if n < 0 {
			break
		}
		end := lineAfter(text, i+n)
		if bytes.Count(text[i:end], []byte{'"'})%2 != 0 {
			return text
		}
		i = end
	}
	keep := func() (from, to int) { // the next line with a name in it
		from = len(text)
		for _, name := range names {
			if bytes.IndexByte(name, '"') >= 0 { // it is written otherwise
				return at, len(text)
			}
			if n := bytes.Index(text[at:from], name); n >= 0 {
				from = at + n
			}
		}
		return at + bytes.LastIndexByte(text[at:from], '\n') + 1, lineAfter(text, from)
	}
	for at < len(text) {
		from, to := keep()
		out = append(out, bytes.Repeat([]byte{'\n'}, bytes.Count(text[at:from], []byte{'\n'}))...)
		out = append(out, text[from:to]...)
		at = to
	}
	return out
}

// lineAfter is where the line after that of i begins.
func lineAfter(text []byte, i int) int {
	n := bytes.IndexByte(text[i:], '\n')
	if n < 0 {
		return len(text)
	}
	return i + n + 1
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

// overlay is a folder with one file as it is going to be.
type overlay struct {
	fs.FS
	name   string
	text   []byte
	hidden string
}

func (o overlay) Open(name string) (fs.File, error) {
	switch name {
	case o.name:
		return memory{bytes.NewReader(o.text)}, nil
	case o.hidden:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
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
	ps := w.about(PassesFile, pivot, func(rd *reader) { passes = rd.passes() })
	return slices.DeleteFunc(passes, func(p Pass) bool { return p.Pivot != pivot }), ps
}

// Meters are the readings of one well's totaliser, in order of date.
func (w *Writer) Meters(well string) ([]Meter, input.Problems) {
	var meters []Meter
	ps := w.about(MetersFile, well, func(rd *reader) { meters = rd.meters() })
	return slices.DeleteFunc(meters, func(m Meter) bool { return m.Well != well }), ps
}

// about reads the rows of a file that hold a name, and maybe others.
func (w *Writer) about(file, name string, read func(*reader)) input.Problems {
	full := path.Join(Dir, file)
	fsys := journal.Settled(os.DirFS(w.Dir))
	text, err := fs.ReadFile(fsys, full)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return input.Problems{{Pos: input.Pos{File: full}, Msg: "cannot be read: " + err.Error()}}
	}
	rd := &reader{fsys: overlay{FS: fsys, name: full, text: blankOthers(text, [][]byte{[]byte(name)})}, farm: w.Farm}
	rd.readUndone()
	read(rd)
	return rd.problems
}
