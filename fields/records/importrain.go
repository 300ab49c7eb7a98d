// Rain taken over from a file from elsewhere. What stands in rain.csv already
// is left alone, so that the same file changes nothing the second time.

package records

import (
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
)

// Import is a file from elsewhere.
type Import struct {
	File    string // for messages
	Text    io.Reader
	Mapping input.Mapping
	// Name is the place or the machine of rows that do not name one; may be empty.
	Name string
	// Today is the last day of which there can be a record; not valid: any.
	Today civil.Date
}

// Taken tells what became of the rows of a file from elsewhere.
type Taken struct {
	New, Known int // rows to be recorded, rows that stand there already
	Notes      []string
}

type rainImport struct {
	Date   input.Date   `csv:"date" need:"cell"`
	Place  input.Text   `csv:"place"`
	Amount input.Number `csv:"amount" unit:"depth"`
	Note   input.Text   `csv:"note"`
}

// sameMM is within what two files may differ about one reading: each rounds to
// its own unit, and gauges are read to a tenth of a millimetre at best.
const sameMM = 0.051

// ImportRain is the batch that takes over rain from a file. Rows with an empty
// amount are left out. Where the file and rain.csv disagree about the readings
// of a place and day, every such row is a problem, and nothing is recorded.
func (w *Writer) ImportRain(from Import, taken *Taken) Batch {
	return Batch{File: RainFile, What: "the rain of " + from.File, Prepare: func(b *Batch) error {
		known := map[gauge][]float64{}
		if ps := w.all(RainFile, func(rd *reader) {
			for _, r := range rd.rain() {
				known[gauge{r.Date, r.Place}] = append(known[gauge{r.Date, r.Place}], r.MM)
			}
		}); len(ps) > 0 {
			return ps
		}
		places := slices.Concat(w.Farm.Fields, w.Farm.pivots())
		type reading struct {
			row rainImport
			at  gauge
		}
		var readings []reading
		given := map[gauge][]float64{}
		_, problems := input.EachRow(from.Text, input.TableOptions{
			File: from.File, Location: w.Farm.Location, Mapping: from.Mapping, Advice: importAdvice("rain"),
		}, func(row *rainImport, ok bool, ps *input.Problems) {
			if !ok || !row.Amount.Given() {
				return
			}
			if day := row.Date.Value(); from.Today.IsValid() && day.After(from.Today) {
				*ps = append(*ps, row.Date.Problem(fmt.Sprintf("is after today, %v; records are of what has happened", from.Today)))
				return
			}
			place := from.Name
			if row.Place.Given() {
				var err error
				if place, err = named(row.Place, "field or pivot", places); err != nil {
					ps.AddError(row.Date.Pos, "", "", err)
					return
				}
			}
			if place == "" {
				ps.Add(row.Date.Pos.WholeLine(), "place", "", "is missing; name the place of the whole file with --place")
				return
			}
			if err := between(row.Amount, row.Amount.Unit(), 0, maxRainMM); err != nil {
				ps.AddError(row.Date.Pos, "", "", err)
				return
			}
			at := gauge{row.Date.Value(), place}
			given[at] = append(given[at], row.Amount.Value())
			readings = append(readings, reading{*row, at})
		})
		for _, r := range readings {
			have := known[r.at]
			switch {
			case len(have) == 0:
				e := Entry{"date": Word(r.at.date.String()), "place": Word(r.at.place), "amount": Amount(r.row.Amount.Quantity())}
				if r.row.Note.Given() {
					e["note"] = Word(r.row.Note.Value())
				}
				b.Rows, b.At = append(b.Rows, e), append(b.At, r.row.Date.Pos)
			case sameReadings(given[r.at], have):
				taken.Known++
			default:
				problems = append(problems, r.row.Amount.Problem(fmt.Sprintf("disagrees with %s: %s at %s has %s mm there; mend one of them",
					RainFile, r.at.date, r.at.place, numbers(have))))
			}
		}
		problems.Sort()
		taken.New = len(b.Rows)
		return problems.Err()
	}}
}

// gauge is the readings of a place on a day.
type gauge struct {
	date  civil.Date
	place string
}

// sameReadings tells whether the readings of a file are among those known: each
// with one of its own.
func sameReadings(given, known []float64) bool {
	left := slices.Clone(known)
	for _, mm := range given {
		i := slices.IndexFunc(left, func(k float64) bool { return math.Abs(k-mm) <= sameMM })
		if i < 0 {
			return false
		}
		left = slices.Delete(left, i, i+1)
	}
	return true
}

func numbers(list []float64) string {
	text := ""
	for i, v := range list {
		if i > 0 {
			text += " and "
		}
		text += number(v)
	}
	return text
}

func importAdvice(kind string) string {
	return "or name it in farm.toml under [imports." + kind + "]: columns = {...}, or ignore = [...]"
}

// all reads a whole file.
func (w *Writer) all(file string, read func(*reader)) input.Problems {
	return w.ofName(file, "", read)
}
