// records/cuts.csv and records/meters.csv: what was mown and what was pumped.

package records

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
)

// Cut is one cutting of a field, with what was weighed; NaN: not weighed.
type Cut struct {
	Pos          input.Pos
	Date         civil.Date
	Field        string
	HayKg, OilKg float64
	Note         string
}

type cutRow struct {
	Date  input.Date   `csv:"date" need:"cell"`
	Field input.Text   `csv:"field" need:"cell"`
	Hay   input.Number `csv:"hay" unit:"mass"`
	Oil   input.Number `csv:"oil" unit:"mass"`
	Note  input.Text   `csv:"note"`
}

const maxMassKg = 1e7

func (rd *reader) cuts() []Cut {
	var out []Cut
	type fieldDay struct {
		field string
		date  civil.Date
	}
	lines := map[fieldDay]int{}
	file(rd, CutsFile, func(row *cutRow) error {
		field, err := named(row.Field, "field", rd.farm.Fields)
		if err != nil {
			return err
		}
		for _, n := range []input.Number{row.Hay, row.Oil} {
			if err := between(n, unitOf(n, input.Mass), 0, maxMassKg); err != nil {
				return err
			}
		}
		if row.Oil.Given() && row.Hay.Given() && row.Oil.Value() > row.Hay.Value() {
			return row.Oil.Problem("is more oil than hay")
		}
		c := Cut{row.Date.Pos.WholeLine(), row.Date.Value(), field, row.Hay.Value(), row.Oil.Value(), row.Note.Value()}
		key := fieldDay{field, c.Date}
		if line, twice := lines[key]; twice {
			return row.Date.Problem(fmt.Sprintf("field %s has another cut on this day in line %d; keep one", field, line))
		}
		lines[key] = c.Pos.Line
		if rd.farm.CutCrop != nil && !rd.farm.CutCrop(field) {
			rd.doubt(row.Field.Cell, "the crop of this field has no growth after a cut; the cut does not change its curve")
		}
		rd.seasonal(c.Date, c.Pos)
		out = append(out, c)
		return nil
	})
	slices.SortStableFunc(out, func(a, b Cut) int { return byDate(a.Date, b.Date) })
	return out
}

// Meter is one reading of a well's totaliser.
type Meter struct {
	Pos     input.Pos
	Date    civil.Date
	Well    string
	Reading float64 // as read, in Unit; NaN where the event has none
	Unit    input.Unit
	Event   string // "", "rollover", "replaced" or "missing"
	Note    string

	Multiplier float64 // what one count is worth in Unit; NaN: as the well's meter has it
}

type meterRow struct {
	Date    input.Date   `csv:"date" need:"cell"`
	Well    input.Text   `csv:"well" need:"cell"`
	Reading input.Number `csv:"reading" need:"column"`
	Unit    input.Text   `csv:"unit" need:"cell"`
	Event   input.Text   `csv:"event"`
	Note    input.Text   `csv:"note"`

	Multiplier input.Number `csv:"multiplier"`
}

func (rd *reader) meters() []Meter {
	var out []Meter
	cells := map[input.Pos]input.Cell{}
	var units []string
	for _, u := range input.UnitsOf(input.Volume) {
		units = append(units, u.Suffix)
	}
	file(rd, MetersFile, func(row *meterRow) error {
		well, err := named(row.Well, "well", rd.farm.Wells)
		if err != nil {
			return err
		}
		suffix, err := row.Unit.OneOf(units...)
		if err != nil {
			return err
		}
		unit, _ := input.UnitOf(input.Volume, suffix)
		event, err := row.Event.OneOf("rollover", "replaced", "missing")
		if err != nil {
			return err
		}
		if !row.Reading.Given() && event != "missing" {
			c := row.Date.Cell
			c.Column, c.Text = "reading", ""
			return c.Problem("is missing; give the reading, or missing under event")
		}
		if row.Reading.Value() < 0 {
			return row.Reading.Problem("is below 0; a totaliser counts up from 0")
		}
		m := Meter{row.Date.Pos.WholeLine(), row.Date.Value(), well, row.Reading.Value(), unit, event, row.Note.Value(), row.Multiplier.Value()}
		if row.Multiplier.Given() && !(m.Multiplier > 0) {
			return row.Multiplier.Problem("is no multiplier; a number above 0 is accepted, such as 100 for a counter of hundreds")
		}
		cells[m.Pos] = row.Reading.Cell
		out = append(out, m)
		return nil
	})
	slices.SortStableFunc(out, func(a, b Meter) int {
		return cmp.Or(strings.Compare(a.Well, b.Well), byDate(a.Date, b.Date))
	})
	rd.doubtMeters(out, cells)
	return out
}
