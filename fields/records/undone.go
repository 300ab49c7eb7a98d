// records/undone.csv: rows of the other files, and of weather.csv, that were taken back. Nothing is
// erased: the row stays in its file, and a line in undone.csv says that it no
// longer counts. The row is named by what stands in it, as in
//
//	date=2025-06-01; place=Heron; amount_in=0.4
//
// so that it is found again after rows were sorted, columns moved or the file
// saved by another program, and so that a person sees what was taken back. A
// row that was changed since is another row, and counts. Of several rows alike,
// each line of undone.csv takes back one.

package records

import (
	"errors"
	"io/fs"
	"path"
	"reflect"
	"strings"

	"sandwick/et/input"
)

type undoneRow struct {
	Undone input.Time `csv:"undone" need:"cell"`
	File   input.Text `csv:"file" need:"cell"`
	Row    input.Text `csv:"row" need:"cell"`
	Note   input.Text `csv:"note"`
}

// undoneRows are the lines of undone.csv about one file, by the row they name.
type undoneRows map[string][]input.Cell

// takes tells whether a row was taken back, and crosses it off.
func (u undoneRows) takes(row any) bool {
	if len(u) == 0 {
		return false
	}
	return u.takesKey(rowKey(row))
}

func (u undoneRows) takesKey(key string) bool {
	lines := u[key]
	if len(lines) == 0 {
		return false
	}
	u[key] = lines[1:]
	return true
}

// swallows is the problem with a line of undone.csv whose row is gone, and that would
// take back a new one.
func swallows(line input.Cell, file string) input.Problem {
	return input.Problem{Pos: line.Pos.WholeLine(), Msg: "takes back a row that reads like this one and is not in " + file + " any more; it would take back this one: take that line out first"}
}

// rowKey is what a row is known by: its cells, with their columns.
func rowKey(row any) string {
	var b strings.Builder
	for _, c := range rowCells(row) {
		if !c.Given() {
			continue
		}
		if b.Len() > 0 {
			b.WriteString("; ")
		}
		b.WriteString(strings.ToLower(c.Column))
		b.WriteByte('=')
		b.WriteString(strings.Join(strings.Fields(input.PlainCell(c.Text)), " "))
	}
	return b.String()
}

// rowCells are the cells of a row struct, in the order of its fields.
func rowCells(row any) []*input.Cell {
	v := reflect.ValueOf(row).Elem()
	cells := make([]*input.Cell, v.NumField())
	for i := range cells {
		cells[i] = v.Field(i).FieldByName("Cell").Addr().Interface().(*input.Cell)
	}
	return cells
}

// rowPos is the line of a row.
func rowPos(row any) input.Pos {
	for _, c := range rowCells(row) {
		if c.Pos.Line > 0 {
			return c.Pos.WholeLine()
		}
	}
	return input.Pos{}
}

func (rd *reader) readUndone() {
	rd.undone = map[string]undoneRows{}
	full := path.Join(Dir, UndoneFile)
	f, err := rd.fsys.Open(full)
	if errors.Is(err, fs.ErrNotExist) {
		return
	}
	if err != nil {
		rd.problems.Add(input.Pos{File: full}, "", "", "cannot be read: %v", err)
		return
	}
	defer f.Close()
	ps := eachRow(rd, full, f, func(row *undoneRow, ok bool, ps *input.Problems) {
		if !ok {
			return
		}
		name := row.File.Value()
		if !canTakeBack(name) {
			*ps = append(*ps, row.File.Problem("no file of records has this name"+input.NearestHint(name, append(Files(), WeatherFile))))
			return
		}
		if rd.undone[name] == nil {
			rd.undone[name] = undoneRows{}
		}
		key := strings.Join(strings.Fields(row.Row.Value()), " ")
		rd.undone[name][key] = append(rd.undone[name][key], row.Row.Cell)
	})
	rd.problems = append(rd.problems, ps...)
}

// doubtUndone tells of lines that took nothing back once their file was read.
func (rd *reader) doubtUndone(name string, undone undoneRows) {
	for _, lines := range undone {
		for _, c := range lines {
			rd.doubt(c, "no row of %s reads like this; if it was changed it counts again, if it was taken out this line has done its work", name)
		}
	}
}
