// Rows taken back.

package records

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
)

// Row is a row that counts.
type Row struct {
	File string
	Line int
	Text string // column=text; column=text; ...
}

// Standing is what can be taken back.
type Standing struct {
	w    *Writer
	last []journal.Done
}

// Standing is what counts now, without what was recorded last.
func (w *Writer) Standing() *Standing { return &Standing{w: w} }

// Files are the names under which rows can be asked for.
func Files() []string {
	var names []string
	for _, b := range books {
		if b.name != UndoneFile {
			names = append(names, b.name)
		}
	}
	return names
}

// canTakeBack tells of a file that its rows can be taken back.
func canTakeBack(file string) bool {
	return file == WeatherFile || slices.Contains(Files(), file)
}

// Place is a file whose rows can be taken back, in the farm folder.
func Place(file string) string {
	if file == WeatherFile {
		return file
	}
	return path.Join(Dir, file)
}

// Rows are the rows of a file, one of Files or WeatherFile, that count, in the order of the file, those with
// a problem of their own included, as far as they can be read.
func (s *Standing) Rows(file string) []Row {
	if file == WeatherFile {
		return s.w.weatherRows()
	}
	b, ok := bookOf(file)
	if !ok {
		panic("records: no file " + file)
	}
	return s.rows(b, &reader{fsys: s.w.settled(), farm: s.w.Farm})
}

func (s *Standing) rows(b *book, rd *reader) []Row {
	rd.readUndone()
	var rows []Row
	rd.visit = func(file string, key func() string, at input.Pos) {
		rows = append(rows, Row{file, at.Line, key()})
	}
	b.read(rd)
	return rows
}

// recent are the last rows of a file that count, as far as can be told without
// reading all of it: of several rows alike of which some were taken back there may
// be fewer than count, but the last of them. sure are the lines from which on no row
// is like one that was not read. It is not ok where nothing can be told.
func (s *Standing) recent(file string) (rows []Row, sure int, ok bool) {
	b, ok := bookOf(file)
	if !ok {
		return nil, 0, false
	}
	full := path.Join(Dir, file)
	part, ok := journal.ReadPart(s.w.Dir, full)
	if !ok {
		return nil, 0, false
	}
	header := input.HeaderLine(part.Head)
	end := shown{text: slices.Concat(header, part.Rest), leftOut: part.Line - bytes.Count(header, []byte{'\n'})}
	rows = s.rows(b, &reader{fsys: overlay{s.w.settled(), map[string]shown{full: end}}, farm: s.w.Farm})
	l, ps := layoutOf(b, full, part.Head)
	if len(ps) > 0 || !part.Through.IsValid() || quotesRunOn(part.Rest) {
		return rows, math.MaxInt, true
	}
	sure = part.Line + 1
	n := sure
	for line := range bytes.Lines(part.Rest) {
		n++
		if day, ok := l.day(line); ok && !day.After(part.Through) {
			sure = n
		}
	}
	return rows, sure, true
}

// LastRow is the last row of a file that counts.
func (s *Standing) LastRow(file string) (Row, bool) {
	rows, sure, ok := s.recent(file)
	if n := len(rows); !ok || n == 0 || rows[n-1].Line < sure {
		rows = s.Rows(file)
	}
	if len(rows) == 0 {
		return Row{}, false
	}
	return rows[len(rows)-1], true
}

// At is the row of a line of a file, if it counts.
func (s *Standing) At(file string, line int) (Row, bool) {
	here := func(r Row) bool { return r.Line == line }
	rows, _, _ := s.recent(file)
	if !slices.ContainsFunc(rows, here) {
		rows = s.Rows(file)
	}
	if i := slices.IndexFunc(rows, here); i >= 0 {
		return rows[i], true
	}
	return Row{}, false
}

// Last are the rows recorded last, by this program, that were not taken back
// yet, and what they were. It is an error when there are none or when they no
// longer stand as they were recorded.
func (s *Standing) Last() ([]Row, string, error) {
	for _, done := range s.last {
		if len(done.Rows) == 0 || !canTakeBack(done.File) {
			continue // taken back by name
		}
		standing, _, _ := s.recent(done.File)
		rows := lastOf(standing, done.Rows)
		if len(rows) < len(done.Rows) {
			rows = lastOf(s.Rows(done.File), done.Rows)
		}
		if len(rows) < len(done.Rows) {
			return nil, "", fmt.Errorf("what was recorded last, %s, no longer stands in %s as it was recorded", done.What, Place(done.File))
		}
		return rows, done.What, nil
	}
	return nil, "", fmt.Errorf("nothing is known to have been recorded that was not taken back")
}

// lastOf are the rows that keys name, of several alike the last: that is where they
// were added.
func lastOf(standing []Row, keys []string) []Row {
	lines := map[string][]Row{}
	for _, r := range standing {
		lines[r.Text] = append(lines[r.Text], r)
	}
	var rows []Row
	for _, key := range keys {
		if n := len(lines[key]); n > 0 {
			rows = append(rows, lines[key][n-1])
			lines[key] = lines[key][:n-1]
		}
	}
	return rows
}

// Undo takes back the rows that choose gives. Nothing is erased: undone.csv gets
// a line for each.
func (w *Writer) Undo(ctx context.Context, now time.Time, note string, choose func(*Standing) ([]Row, error), dry bool) ([]Row, Receipt, error) {
	s := &Standing{w: w}
	if dry {
		s.last = journal.Recent(w.Dir)
		rows, err := choose(s)
		if err != nil {
			return nil, Receipt{}, err
		}
		d, err := w.draft(w.undoBatch(rows, now, note))
		return rows, d.Receipt, err
	}
	j, err := journal.Open(ctx, w.Dir)
	if err != nil {
		return nil, Receipt{}, unrecorded(err)
	}
	defer j.Close()
	s.last = j.Done()
	rows, err := choose(s)
	if err != nil {
		return nil, Receipt{Notes: j.Mended()}, err
	}
	j.Remember(without(s.last, rows))
	receipt, err := w.record(j, w.undoBatch(rows, now, note), nil)
	return rows, receipt, err
}

// without takes rows out of what is remembered.
func without(last []journal.Done, rows []Row) []journal.Done {
	out := slices.Clone(last)
	for i := range out {
		out[i].Rows = slices.Clone(out[i].Rows)
	}
	for _, r := range rows {
		for i := range out {
			if k := slices.Index(out[i].Rows, r.Text); out[i].File == r.File && k >= 0 {
				out[i].Rows = slices.Delete(out[i].Rows, k, k+1)
				break
			}
		}
	}
	return slices.DeleteFunc(out, func(d journal.Done) bool { return len(d.Rows) == 0 })
}

func (w *Writer) undoBatch(rows []Row, now time.Time, note string) *Batch {
	entries := make([]Entry, len(rows))
	for i, r := range rows {
		entries[i] = Entry{"undone": Word(Clock(now, w.Farm.Location)), "file": Word(r.File), "row": Word(r.Text)}
		if note != "" {
			entries[i]["note"] = Word(note)
		}
	}
	return &Batch{File: UndoneFile, Rows: entries}
}

// Clock writes an instant as records do: local time to the minute, with the
// offset from UTC where the clocks show that time twice.
func Clock(t time.Time, loc *time.Location) string {
	t = t.In(loc)
	text := t.Format("2006-01-02T15:04")
	c, err := input.ParseClock(text)
	if err != nil {
		return t.Format("2006-01-02T15:04Z07:00")
	}
	if _, again, err := c.In(loc); err != nil || !again.IsZero() {
		return t.Format("2006-01-02T15:04-07:00")
	}
	return text
}

// Words are the cells of the row that Text names, without their columns.
func (r Row) Words() []string {
	var out []string
	for _, cell := range strings.Split(r.Text, "; ") {
		_, text, _ := strings.Cut(cell, "=")
		out = append(out, text)
	}
	return out
}
