// Package records reads and adds to what was measured and done on the farm: the
// CSV files of the records folder. Every row keeps its place in its file. A file
// that does not exist has no records. Rows are added by a [Writer], which keeps
// the layout of each file and lets the readers judge what is to be added; they
// are taken back by naming them in undone.csv, and nothing is ever erased.
// Sub-package journal sees to it that nothing is lost on the way to the disk.
package records

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/pivot"
)

// Dir is the folder of the records inside a farm folder.
const Dir = "records"

// The files, one for each kind of record.
const (
	RainFile       = "rain.csv"
	PassesFile     = "passes.csv"
	ProbesFile     = "probes.csv"
	WaterTableFile = "water_table.csv"
	CutsFile       = "cuts.csv"
	MetersFile     = "meters.csv"
	SeenFile       = "seen.csv"
	UndoneFile     = "undone.csv" // rows of the others that no longer count
)

// Farm is what records may refer to and are held against. A nil list of names
// is not known: any name will do.
type Farm struct {
	Location *time.Location
	Start    civil.Date // first day of the season's balance; earlier rows are only counted
	Wells    []string
	Machines []*pivot.Machine
	Fields   []string
	Zones    []string
	Pipes    []string
	// Totalisers are the meters of the wells, by name; a well that is not there has
	// a count worth one and a flow that is not known.
	Totalisers map[string]Totaliser
	CutCrop    func(field string) bool // whether the field's crop grows again after a cut; nil: all do
}

func (f *Farm) machine(name string) *pivot.Machine {
	for _, m := range f.Machines {
		if m.Name == name {
			return m
		}
	}
	return nil
}

func (f *Farm) pivots() []string {
	names := make([]string, len(f.Machines))
	for i, m := range f.Machines {
		names[i] = m.Name
	}
	return names
}

// Records are all records of a farm. Passes are in order of pivot and start,
// the others in order of date; rows of one date keep the order of the file.
type Records struct {
	Rain       []Rain
	Passes     []Pass
	Overdrawn  []Overdrawn // what is wrong with Passes, well by well, in order of time
	Probes     []Probe
	WaterTable []TableReading
	Cuts       []Cut
	Meters     []Meter
	Seen       []Seen
}

// Read reads the records folder of a farm folder. Rows with a problem are left
// out; doubts are rows that look wrong but are used.
func Read(fsys fs.FS, farm *Farm) (r Records, problems, doubts input.Problems) {
	rd := &reader{fsys: fsys, farm: farm}
	rd.readUndone()
	r.Rain = rd.rain()
	r.Passes = rd.passes()
	r.Overdrawn = rd.strained
	r.Probes = rd.probes()
	r.WaterTable = rd.waterTable()
	r.Cuts = rd.cuts()
	r.Meters = rd.meters()
	r.Seen = rd.seen()
	return r, rd.problems, rd.doubts
}

type reader struct {
	fsys             fs.FS
	farm             *Farm
	problems, doubts input.Problems
	early            int       // rows before the season, of the file being read
	firstEarly       input.Pos // of them
	undone           map[string]undoneRows
	from             int                                                // the first line of rows to be judged, which nothing in undone.csv is about; 0: all are
	strained         []Overdrawn                                        // by the passes read
	visit            func(file string, key func() string, at input.Pos) // where not nil: called for every row that counts
}

// file reads one file, row by row; use returns nil or what is wrong with the
// row, as an input.Problem made by one of its cells.
func file[R any](rd *reader, name string, use func(*R) error) {
	full := path.Join(Dir, name)
	f, err := rd.fsys.Open(full)
	if errors.Is(err, fs.ErrNotExist) {
		return
	}
	if err != nil {
		rd.problems.Add(input.Pos{File: full}, "", "", "cannot be read: %v", err)
		return
	}
	defer f.Close()
	rd.early = 0
	undone := rd.undone[name]
	rd.problems = append(rd.problems, eachRow(rd, full, f, func(row *R, ok bool, ps *input.Problems) {
		if !ok || len(undone) > 0 && !(rd.from > 0 && rowPos(row).Line >= rd.from) && undone.takes(row) {
			return
		}
		if rd.visit != nil {
			rd.visit(name, func() string { return rowKey(row) }, rowPos(row))
		}
		ps.AddError(input.Pos{File: full}, "", "", use(row))
	})...)
	rd.doubtUndone(name, undone)
	if rd.early > 0 {
		what := "play no part in its water balance"
		if name == PassesFile {
			what = "count in earlier seasons only"
		}
		rd.doubts.Add(rd.firstEarly, "", "", "rows before the season's start, %s, %s: %d of them", rd.farm.Start, what, rd.early)
	}
}

// eachRow is [input.EachRow] for a file of which lines may be left out.
func eachRow[R any](rd *reader, full string, f io.Reader, do func(row *R, ok bool, ps *input.Problems)) input.Problems {
	var part shown
	if o, ok := rd.fsys.(overlay); ok {
		part = o.texts[full]
	}
	_, ps := input.EachRow(f, input.TableOptions{File: full, Location: rd.farm.Location, LeftOut: part.leftOut}, func(row *R, ok bool, ps *input.Problems) {
		by, n := 0, len(*ps)
		if part.numbers != nil {
			by = part.numbers.set(rowCells(row))
		}
		do(row, ok, ps)
		for i := range (*ps)[n:] { // which are renumbered with the others
			(*ps)[n+i].Line -= by
		}
	})
	for i := range ps {
		ps[i].Line = part.numbers.of(ps[i].Line)
	}
	return ps
}

// seasonal counts a row that lies before the season.
func (rd *reader) seasonal(d civil.Date, at input.Pos) {
	if !rd.farm.Start.IsValid() || !d.Before(rd.farm.Start) || at.Line < rd.from {
		return
	}
	if rd.early == 0 {
		rd.firstEarly = at.WholeLine()
	}
	rd.early++
}

// doubt books something odd about a cell's row.
func (rd *reader) doubt(c input.Cell, format string, args ...any) {
	rd.doubts = append(rd.doubts, c.Problem(fmt.Sprintf(format, args...)))
}

// named checks a reference.
func named(c input.Text, kind string, known []string) (string, error) {
	if known == nil {
		return c.Value(), nil
	}
	if name, ok := input.Known(c.Value(), known); ok {
		return name, nil
	}
	if len(known) == 0 {
		return "", c.Problem("no " + kind + " has this name; none is defined")
	}
	return "", c.Problem("no " + kind + " has this name" + input.NearestHint(c.Value(), known))
}

// between checks a number that is given; limits are in the canonical unit and
// shown in the unit of the column.
func between(n input.Number, column input.Unit, lo, hi float64) error {
	if !n.Given() || n.Value() >= lo && n.Value() <= hi {
		return nil
	}
	return n.Problem(fmt.Sprintf("is out of range; %s to %s is accepted", number(column.FromSI(lo)), number(column.FromSI(hi))))
}

func number(f float64) string { return fmt.Sprintf("%.4g", f) }

// unitOf is the unit of a column by its header.
func unitOf(n input.Number, d input.Dimension) input.Unit {
	for _, u := range input.UnitsOf(d) {
		if len(n.Column) > len(u.Suffix) && n.Column[len(n.Column)-len(u.Suffix)-1:] == "_"+u.Suffix {
			return u
		}
	}
	return input.Unit{}
}
