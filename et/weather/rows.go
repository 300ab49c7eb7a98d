// A weather file as it stands, row by row, for taking rows over from one file
// into another. See Read for what the rows mean.

package weather

import (
	"io"
	"reflect"

	"sandwick/et/input"
)

// Row is one row of a file: what was measured, by base name ("tmax", "rain").
type Row struct {
	Date   input.Date // of a daily file
	Time   input.Time // of an hourly file
	Values map[string]input.Number
}

// Key is the day or the hour of a row, as text.
func (r *Row) Key() string {
	if r.Time.Given() {
		return r.Time.Value().Format("2006-01-02T15:04Z07:00")
	}
	return r.Date.Value().String()
}

// Cell is the cell with the day or the hour of a row.
func (r *Row) Cell() input.Cell {
	if r.Time.Given() {
		return r.Time.Cell
	}
	return r.Date.Cell
}

// Rows reads the rows of a file, and its header. hourly tells of which kind it
// is. Problems are those of single cells; Read finds the others.
func Rows(r io.Reader, o Options) (rows []Row, h input.Header, hourly bool, problems input.Problems) {
	src, problems := input.OpenTable(r, input.TableOptions{
		File: o.File, Location: o.Location, Mapping: o.Mapping, Advice: mappingAdvice,
	})
	if src == nil {
		return nil, h, false, problems
	}
	if src.Has("time") && !src.Has("date") {
		h, problems = input.Decode(src, func(row *hourRow, ok bool, _ *input.Problems) {
			if ok {
				out := Row{Time: row.Time, Values: given(row)}
				// The second of two rows that the clocks show with the same time.
				if n := len(rows); n > 0 && !row.Time.Again().IsZero() && rows[n-1].Time.Value().Equal(row.Time.Value()) {
					out.Time = row.Time.Later()
				}
				rows = append(rows, out)
			}
		})
		return rows, h, true, problems
	}
	h, problems = input.Decode(src, func(row *dayRow, ok bool, _ *input.Problems) {
		if ok && row.Date.Given() {
			rows = append(rows, Row{Date: row.Date, Values: given(row)})
		}
	})
	return rows, h, false, problems
}

// given are the numbers of a row that are there.
func given(row any) map[string]input.Number {
	values := map[string]input.Number{}
	v := reflect.ValueOf(row).Elem()
	for i := range v.NumField() {
		if n, ok := v.Field(i).Interface().(input.Number); ok && n.Given() {
			values[v.Type().Field(i).Tag.Get("csv")] = n
		}
	}
	return values
}
