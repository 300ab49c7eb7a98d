// What is known of each file of records beyond how it is read.

package records

import (
	"bytes"
	"encoding/csv"
	"strings"

	"sandwick/et/input"
)

// book is one file of records.
type book struct {
	name   string
	us, si string                                      // header of a new file
	open   func([]byte) (input.Header, input.Problems) // understands a header
	read   func(*reader)                               // reads and checks the file
	back   int                                         // so many rows of its name a row is held against; 0: of no matter
	dated  bool                                        // its rows have a day
}

var books = []book{
	{RainFile, "date,place,amount_in,note", "date,place,amount_mm,note", headerOf[rainRow], func(rd *reader) { rd.rain() }, 0, true},
	{PassesFile, "pivot,start,end,from_deg,to_deg,direction,timer_pct,water,note", "", headerOf[passRow], func(rd *reader) { rd.passes() }, 1, true},
	{ProbesFile, "date,zone,top_ft,bottom_ft,water_pct,note", "date,zone,top_m,bottom_m,water_pct,note", headerOf[probeRow], func(rd *reader) { rd.probes() }, 0, true},
	{WaterTableFile, "date,pipe,depth_ft,note", "date,pipe,depth_m,note", headerOf[tableRow], func(rd *reader) { rd.waterTable() }, 10, true},
	{CutsFile, "date,field,hay_lb,oil_lb,note", "date,field,hay_kg,oil_kg,note", headerOf[cutRow], func(rd *reader) { rd.cuts() }, 1, true},
	{MetersFile, "date,well,reading,unit,event,note", "", headerOf[meterRow], func(rd *reader) { rd.meters() }, 2, true},
	{SeenFile, "date,zone,seen,note", "", headerOf[seenRow], func(rd *reader) { rd.seen() }, 0, true},
	{UndoneFile, "undone,file,row,note", "", headerOf[undoneRow], func(*reader) {}, 0, false},
}

func bookOf(name string) (*book, bool) {
	for i := range books {
		if books[i].name == name {
			return &books[i], true
		}
	}
	return nil, false
}

// newHeader is the first line of a new file.
func (b *book) newHeader(us bool) string {
	if us || b.si == "" {
		return b.us
	}
	return b.si
}

func headerOf[R any](text []byte) (input.Header, input.Problems) {
	src, ps := input.OpenTable(bytes.NewReader(text), input.TableOptions{})
	if src == nil {
		return input.Header{}, ps
	}
	return input.Decode(src, func(*R, bool, *input.Problems) {})
}

// layout is how a file is written: its dialect and its columns in order.
type layout struct {
	input.Dialect
	columns []*input.Column // nil: one that is not read
}

// layoutOf understands a file from its first part.
func layoutOf(b *book, file string, text []byte) (layout, input.Problems) {
	l := layout{Dialect: input.DialectOf(text)}
	line := input.HeaderLine(text)
	h, ps := b.open(line)
	if len(ps) > 0 {
		for i := range ps {
			ps[i].File = file
		}
		return l, ps
	}
	for _, name := range l.Split(line) {
		var col *input.Column
		for i := range h.Columns {
			if strings.EqualFold(h.Columns[i].Name, name) {
				col = &h.Columns[i]
			}
		}
		l.columns = append(l.columns, col)
	}
	return l, nil
}

// named is how many columns there are, without those that have no name, at the
// end, where a spreadsheet left separators.
func (l *layout) named() int {
	n := len(l.columns)
	for n > 0 && l.columns[n-1] == nil {
		n--
	}
	return n
}

// column finds a column by its base name.
func (l *layout) column(key string) bool {
	for _, c := range l.columns {
		if c != nil && c.Key == key {
			return true
		}
	}
	return false
}

// widen writes a table anew with columns added at the end of every row, and
// leaves all else as it stands.
func widen(text []byte, d input.Dialect, had int, names []string) []byte {
	var out bytes.Buffer
	bom := []byte("\xef\xbb\xbf")
	if bytes.HasPrefix(text, bom) {
		out.Write(bom)
		text = text[len(bom):]
	}
	lone := d.LineEnd == "\r"
	if lone {
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	c := csv.NewReader(bytes.NewReader(text))
	c.Comma, c.Comment, c.FieldsPerRecord, c.TrimLeadingSpace = d.Separator, '#', -1, d.Separator != '\t'
	start, header := int64(0), true
	for {
		cells, err := c.Read()
		end := c.InputOffset()
		raw := text[start:end]
		start = end
		if err != nil {
			// The end, or quotes that are wrong: what is left stays as it is.
			out.Write(raw)
			out.Write(text[end:])
			break
		}
		blank := true
		for _, cell := range cells {
			blank = blank && strings.TrimSpace(cell) == ""
		}
		body := bytes.TrimRight(raw, "\r\n")
		lineEnd := raw[len(body):]
		if blank {
			out.Write(raw)
			continue
		}
		var added string
		if header { // separators without a name may end it
			header = false
			body = body[:len(body)-(len(cells)-had)]
			added = string(d.Separator) + strings.TrimSuffix(d.Line(names), d.LineEnd)
		} else {
			added = strings.Repeat(string(d.Separator), max(0, had+len(names)-len(cells)))
		}
		out.Write(body)
		out.WriteString(added)
		out.Write(lineEnd)
	}
	if lone {
		return bytes.ReplaceAll(out.Bytes(), []byte("\n"), []byte("\r"))
	}
	return out.Bytes()
}
