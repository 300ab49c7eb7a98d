// A comma-separated file as rows of a struct: header matched against the tags,
// rows decoded by gocsv, every cell with its place.

package input

import (
	"io"
	"reflect"
	"slices"
	"strings"
	"time"

	"github.com/gocarina/gocsv"
)

// TableOptions say how a file is read. The zero value reads a file of our own
// without a name, with times in UTC.
type TableOptions struct {
	File     string         // for messages
	Location *time.Location // of Time cells; nil is UTC
	Mapping  Mapping
	Advice   string // what to do about an unknown column, after "; "; may be empty
	LeftOut  int    // lines of the file between the header and the next, which are not in the text
}

// Header is what was found in the first line of a table.
type Header struct {
	Pos     Pos // its line
	Columns []Column
}

// Column finds a column by its base name (the csv tag).
func (h Header) Column(key string) (Column, bool) {
	for _, c := range h.Columns {
		if c.Key == key {
			return c, true
		}
	}
	return Column{}, false
}

// Has tells whether the file has the column with that base name.
func (h Header) Has(key string) bool {
	_, ok := h.Column(key)
	return ok
}

// MaxProblems is how many problems of one file are collected before reading
// stops: more of the same kind help nobody.
const MaxProblems = 1000

// chunkRows is how many rows are decoded at a time: enough that the cost of a
// call of gocsv does not count, few enough that memory stays small.
const chunkRows = 256

// EachRow reads a table and calls do for each row in turn, ok false when the
// row has a problem; do may add problems of its own. R is a struct whose fields
// are [Number], [Text], [Date], [Time] or [YesNo] with tags as told at schemaOf:
//
//	type rain struct {
//		Date   input.Date   `csv:"date" need:"cell"`
//		Amount input.Number `csv:"amount" unit:"depth" need:"cell"`
//		Note   input.Text   `csv:"note"`
//	}
//
// The problems are sorted by place. A file whose header is wrong has no rows.
func EachRow[R any](r io.Reader, o TableOptions, do func(row *R, ok bool, ps *Problems)) (Header, Problems) {
	src, ps := OpenTable(r, o)
	if src == nil {
		return Header{}, ps
	}
	return Decode(src, do)
}

// Decode is the second half of [EachRow], for a caller that has looked at the
// header before choosing R. A Source is decoded once.
func Decode[R any](src *Source, do func(row *R, ok bool, ps *Problems)) (Header, Problems) {
	t := table{Source: src, schema: schemaOf(reflect.TypeFor[R]())}
	if t.matchHeader(); len(t.problems) > 0 {
		t.problems.Sort()
		return t.header, t.problems
	}
	rows := make([]*R, chunkRows) // by pointer gocsv makes one row, by value two
	for t.more() {
		if err := gocsv.UnmarshalCSV(&t, &rows); err != nil {
			// Cells never fail to decode, so this is a row struct that gocsv refuses.
			panic("input: " + err.Error())
		}
		for i := range t.chunk {
			row := rows[i]
			ok := t.place(reflect.ValueOf(row).Elem(), &t.chunk[i])
			do(row, ok, &t.problems)
			if len(t.problems) >= MaxProblems {
				t.problems.Sort()
				t.problems.Add(t.chunk[i].at[0].WholeLine(), "", "", "too many problems; the rest of the file was not read")
				return t.header, t.problems
			}
		}
	}
	t.problems.Sort()
	return t.header, t.problems
}

// Source is a file of which the header has been read, but not understood yet.
type Source struct {
	opt     TableOptions
	loc     *time.Location
	raw     *rawReader
	names   []string // of the columns, as they stand in the header
	at      []Pos
	missing []string
}

// Room is for how many rows to make room beforehand: the lines of the file, but
// not more than a person keeps in one, for they may be empty.
func (s *Source) Room() int { return min(s.raw.lines, 20_000) }

// OpenTable loads a file and reads its header. Where that fails Source is nil.
func OpenTable(r io.Reader, o TableOptions) (*Source, Problems) {
	var ps Problems
	src := &Source{opt: o, loc: o.Location}
	if src.loc == nil {
		src.loc = time.UTC
	}
	file := Pos{File: o.File}
	text, err := load(r)
	if err != nil {
		ps.Add(file, "", "", "%s", err)
		return nil, ps
	}
	if n := longLine(text); n > 0 {
		ps.Add(Pos{o.File, n, 0}, "", "", "a line of more than %d kB; this is no table of rows", MaxLineBytes>>10)
		return nil, ps
	}
	skip := max(o.Mapping.SkipLines, 0)
	text, ok := skipLines(text, skip)
	if !ok {
		ps.Add(file, "", "", "fewer than the %d lines to be skipped", skip)
		return nil, ps
	}
	src.raw = newRawReader(text, o.File, skip)
	for _, m := range o.Mapping.Missing {
		if m = strings.TrimSpace(m); m != "" {
			src.missing = append(src.missing, m)
		}
	}
	src.names, err = src.raw.next()
	if err == io.EOF {
		ps.Add(file, "", "", "the file is empty; its first line must name the columns")
		return nil, ps
	}
	if err != nil {
		ps.AddError(file, "", "", err)
		return nil, ps
	}
	for i := range src.names {
		src.at = append(src.at, src.raw.pos(i))
	}
	src.raw.skipped += o.LeftOut
	return src, nil
}

// Has tells whether a column stands for our name, mapped or as it is.
func (s *Source) Has(our string) bool {
	their, ok := s.opt.Mapping.Columns[our]
	if !ok {
		their = our
	}
	return containsFold(s.names, strings.TrimSpace(their))
}

// Pos is the place of the header.
func (s *Source) Pos() Pos { return s.at[0].WholeLine() }

// table is one file while it is decoded. It is the reader that gocsv reads from.
type table struct {
	*Source
	schema   schema
	header   Header
	columns  []*Column // by column of the file; nil: not read
	fields   []*field  // the same
	heads    []string  // the header as gocsv sees it
	chunk    []record
	problems Problems
}

// record is one row of the file.
type record struct {
	text []string // as it stands
	at   []Pos
}

// matchHeader finds out what each column is and reports every problem of the header.
func (t *table) matchHeader() {
	names, at := t.names, t.at
	t.header.Pos = t.Pos()
	if looksLikeData(names[0]) {
		t.problems.Add(at[0], "", names[0], "this is no header; the first line names the columns: %s", t.schema.list())
		return
	}
	for len(names) > 0 && names[len(names)-1] == "" { // trailing separators
		names = names[:len(names)-1]
	}
	ours := t.mapped(names)
	t.columns = make([]*Column, len(names))
	t.fields = make([]*field, len(names))
	t.heads = make([]string, len(names))
	t.raw.columns = len(names)
	first := map[string]int{}    // by name in lower case: column that has it
	found := map[string][]int{}  // by base name: columns that give it
	meant := map[string]bool{}   // by base name: an unknown column suggests it
	for i, name := range names { // every column of the file
		if name == "" {
			t.problems.Add(at[i], "", "", "column %d has no name; name it or take it out", i+1)
			continue
		}
		fold := strings.ToLower(name)
		if j, dup := first[fold]; dup {
			t.problems.Add(at[i], name, "", "this column stands twice in the header, first at column %d; keep one", at[j].Column)
			continue
		}
		first[fold] = i
		our, isMapped := ours[fold]
		if !isMapped {
			if containsFold(t.opt.Mapping.Ignore, name) {
				continue
			}
			our = fold
		}
		f, unit, ok := t.schema.find(our)
		if !ok {
			if !t.opt.Mapping.IgnoreOthers {
				meant[t.unknown(at[i], name)] = true
			}
			continue
		}
		t.columns[i] = &Column{at[i], name, f.key, unit, t.raw.decimalComma()}
		t.fields[i] = f
		t.heads[i] = f.key
		found[f.key] = append(found[f.key], i)
	}
	for i := range t.schema.fields {
		f := &t.schema.fields[i]
		cols := found[f.key]
		switch {
		case len(cols) > 1:
			both := make([]string, len(cols))
			for j, c := range cols {
				both[j] = names[c]
			}
			last := cols[len(cols)-1]
			t.problems.Add(at[last], names[last], "", "%s", BothMessage(both))
		case len(cols) == 0 && f.column && !meant[f.key]:
			t.problems.Add(t.header.Pos, f.key, "", "missing from the header; give %s", OrList(Keys(f.key, f.dim)))
		}
	}
	for _, c := range t.columns {
		if c != nil {
			t.header.Columns = append(t.header.Columns, *c)
		}
	}
}

// mapped checks the mapping and gives our name by the file's, in lower case.
func (t *table) mapped(names []string) map[string]string {
	ours := map[string]string{}
	for _, our := range sortedKeys(t.opt.Mapping.Columns) {
		their := strings.TrimSpace(t.opt.Mapping.Columns[our])
		if _, _, ok := t.schema.find(our); !ok {
			hint := NearestHint(our, t.schema.names)
			if f, bare := t.schema.bare(our); bare {
				hint = "; its name carries its unit: " + OrList(Keys(f.key, f.dim))
			}
			t.problems.Add(Pos{File: t.opt.File}, our, "", "the mapping names a column that there is not%s", hint)
			continue
		}
		fold := strings.ToLower(their)
		if other, dup := ours[fold]; dup {
			t.problems.Add(Pos{File: t.opt.File}, their, "", "the mapping takes this column for %s and for %s; keep one", other, our)
			continue
		}
		if !containsFold(names, their) {
			t.problems.Add(t.header.Pos, their, "", "the mapping takes this column for %s, but the header does not have it%s", our, NearestHint(their, names))
			continue
		}
		ours[fold] = our
	}
	return ours
}

// unknown reports a column that is neither ours nor mapped nor ignored, and
// gives the base name of the column it may have meant, or "".
func (t *table) unknown(at Pos, name string) (meant string) {
	msg := "unknown column"
	if f, ok := t.schema.bare(strings.ToLower(name)); ok {
		msg = "a column's name carries its unit; give " + OrList(Keys(f.key, f.dim))
		meant = f.key
	} else if n := Nearest(name, t.schema.names); n != "" {
		msg += "; nearest known is " + n
		f, _, _ := t.schema.find(n)
		meant = f.key
	} else {
		msg += "; known: " + t.schema.list()
	}
	if t.opt.Advice != "" {
		msg += "; " + t.opt.Advice
	}
	t.problems.Add(at, name, "", "%s", msg)
	return meant
}

// more reads the next rows of the file and tells whether there are any.
func (t *table) more() bool {
	t.chunk = t.chunk[:0]
	for len(t.chunk) < chunkRows && len(t.problems) < MaxProblems {
		text, err := t.raw.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.problems.AddError(Pos{}, "", "", err)
			continue
		}
		rec := record{text: text, at: make([]Pos, len(text))}
		for i := range text {
			rec.at[i] = t.raw.pos(i)
		}
		if t.fits(&rec) {
			t.chunk = append(t.chunk, rec)
		}
	}
	return len(t.chunk) > 0
}

// fits brings a row to the length of the header or reports it. Cells beyond
// the header may stand there if they are empty; only optional text, such as a
// note, may be left off at the end.
func (t *table) fits(rec *record) bool {
	want, got := t.raw.columns, len(rec.text)
	for i := want; i < got; i++ {
		if rec.text[i] != "" {
			t.problems.Add(rec.at[i], "", rec.text[i], "the row has %d cells and the header %d; put quotes around a cell that contains the separator", lastCell(rec.text), want)
			return false
		}
	}
	for i := got; i < want; i++ {
		if f := t.fields[i]; t.columns[i] == nil || f.words {
			continue
		}
		t.problems.Add(rec.at[0].WholeLine(), "", "", "the row has %d cells and the header %d; leave a cell empty where there is nothing, but keep its separator", got, want)
		return false
	}
	rec.text = rec.text[:min(got, want)]
	for len(rec.text) < want {
		rec.text = append(rec.text, "")
		rec.at = append(rec.at, rec.at[0].WholeLine())
	}
	return true
}

// lastCell counts the cells up to the last that holds anything.
func lastCell(text []string) int {
	n := len(text)
	for n > 0 && text[n-1] == "" {
		n--
	}
	return n
}

// Read implements gocsv.CSVReader; gocsv reads tables whole, by ReadAll.
func (t *table) Read() ([]string, error) { return nil, io.EOF }

// ReadAll implements gocsv.CSVReader: the header with our names and the rows
// of the chunk in plain form, missing codes emptied and numbers with a point.
func (t *table) ReadAll() ([][]string, error) {
	rows := make([][]string, 1, 1+len(t.chunk))
	rows[0] = t.heads
	for i := range t.chunk {
		text := t.chunk[i].text
		plain := text
		for j, f := range t.fields {
			switch {
			case f == nil:
			case t.isMissing(text[j], f):
				text[j] = ""
			case f.number && t.raw.decimalComma() && strings.Contains(text[j], ","):
				if &plain[0] == &text[0] {
					plain = slices.Clone(text)
				}
				plain[j] = pointFromComma(text[j])
			}
		}
		rows = append(rows, plain)
	}
	return rows, nil
}

// isMissing tells whether text is one of the codes for nothing measured. A
// number is compared as a number: -9999 stands for -9999.0 too.
func (t *table) isMissing(text string, f *field) bool {
	for _, m := range t.missing {
		if text == m {
			return true
		}
		if f.number && text != "" {
			code, err := ParseNumber(m)
			if err != nil {
				continue
			}
			if v, err := ParseNumber(pointFromComma(text)); err == nil && v == code {
				return true
			}
		}
	}
	return false
}

// place gives the cells of a decoded row their places and reports what is
// wrong with them. It tells whether nothing is.
func (t *table) place(row reflect.Value, rec *record) bool {
	ok := true
	for i, col := range t.columns {
		if col == nil {
			continue
		}
		f := t.fields[i]
		c := row.Field(f.index).Addr().Interface().(cell)
		at := Cell{Pos: rec.at[i], Column: col.Name, Text: rec.text[i]}
		c.place(at, col, t.loc)
		if err := c.failure(); err != nil {
			t.problems = append(t.problems, at.Problem(err.Error()))
			ok = false
		} else if f.filled && !c.given() {
			t.problems = append(t.problems, at.Problem("empty; every row needs it"))
			ok = false
		}
	}
	return ok
}

// looksLikeData tells whether the first cell of a header is no name at all.
func looksLikeData(s string) bool {
	_, notNumber := ParseNumber(s)
	_, notDate := ParseDate(s)
	_, notTime := ParseClock(s)
	return notNumber == nil || notDate == nil || notTime == nil
}

func containsFold(list []string, s string) bool {
	return slices.ContainsFunc(list, func(l string) bool { return strings.EqualFold(strings.TrimSpace(l), s) })
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
