// records/rain.csv: gauge readings by field or pivot.

package records

import (
	"cmp"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
)

// Rain is one reading of a rain gauge. It stands for all ground of its field
// or pivot on its date. Several readings of one place on one date add up.
type Rain struct {
	Pos   input.Pos
	Date  civil.Date
	Place string // a field or a pivot
	MM    float64
	Note  string
}

// maxRainMM is the most that a day's reading may be: the greatest day's rain
// ever measured is about 1.8 m (from memory), no outwash plain has a fifth of it.
const maxRainMM = 400

type rainRow struct {
	Date   input.Date   `csv:"date" need:"cell"`
	Place  input.Text   `csv:"place" need:"cell"`
	Amount input.Number `csv:"amount" unit:"depth" need:"cell"`
	Note   input.Text   `csv:"note"`
}

func (rd *reader) rain() []Rain {
	var out []Rain
	places := slices.Concat(rd.farm.Fields, rd.farm.pivots())
	type gauge struct {
		date  civil.Date
		place string
		mm    float64
	}
	seen := map[gauge]int{}
	file(rd, RainFile, func(row *rainRow) error {
		place, err := named(row.Place, "field or pivot", places)
		if err != nil {
			return err
		}
		if err := between(row.Amount, unitOf(row.Amount, input.Depth), 0, maxRainMM); err != nil {
			return err
		}
		r := Rain{row.Date.Pos.WholeLine(), row.Date.Value(), place, row.Amount.Value(), row.Note.Value()}
		rd.seasonal(r.Date, r.Pos)
		key := gauge{r.Date, place, r.MM}
		if line, twice := seen[key]; twice && r.MM > 0 {
			rd.doubt(row.Amount.Cell, "is the same reading as line %d; both are counted", line)
		}
		seen[key] = r.Pos.Line
		out = append(out, r)
		return nil
	})
	slices.SortStableFunc(out, func(a, b Rain) int { return byDate(a.Date, b.Date) })
	return out
}

func byDate(a, b civil.Date) int {
	return cmp.Or(cmp.Compare(a.Year, b.Year), cmp.Compare(a.Month, b.Month), cmp.Compare(a.Day, b.Day))
}
