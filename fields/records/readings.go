// Readings of the ground: records/probes.csv, water_table.csv and seen.csv.

package records

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/soilwater/watertable"
)

// Probe is one reading of soil water. Exactly one of WaterFrac, AvailableFrac
// and SuctionKPa is a number.
type Probe struct {
	Pos           input.Pos
	Date          civil.Date
	Zone          string
	TopM, BottomM float64 // depth range that the reading stands for
	WaterFrac     float64 // volumetric content, 0..1
	AvailableFrac float64 // of what the ground holds between wilting point and field capacity
	SuctionKPa    float64
	Note          string
}

type probeRow struct {
	Date      input.Date   `csv:"date" need:"cell"`
	Zone      input.Text   `csv:"zone" need:"cell"`
	Top       input.Number `csv:"top" unit:"length" need:"cell"`
	Bottom    input.Number `csv:"bottom" unit:"length" need:"cell"`
	Water     input.Number `csv:"water" unit:"percent"`
	Available input.Number `csv:"available" unit:"percent"`
	Suction   input.Number `csv:"suction" unit:"pressure"`
	Note      input.Text   `csv:"note"`
}

// The ranges of readings that can be true. Content and suction: no ground holds
// more than 80 % water, and air dryness lies beyond 100 000 kPa but no field
// instrument reads past 2 500 (common practice, no published source).
const (
	maxProbeM       = 5
	maxWaterPct     = 80
	maxAvailablePct = 300
	maxSuctionKPa   = 2500
)

func (rd *reader) probes() []Probe {
	var out []Probe
	file(rd, ProbesFile, func(row *probeRow) error {
		zone, err := named(row.Zone, "zone", rd.farm.Zones)
		if err != nil {
			return err
		}
		for _, n := range []input.Number{row.Top, row.Bottom} {
			if n.Value() < 0 {
				return n.Problem("is above ground; depths count down from 0 at the surface")
			}
			if err := between(n, unitOf(n, input.Length), 0, maxProbeM); err != nil {
				return err
			}
		}
		if row.Bottom.Value() <= row.Top.Value() {
			return row.Bottom.Problem("is not below the top, " + row.Top.Text)
		}
		given := 0
		for _, n := range []input.Number{row.Water, row.Available, row.Suction} {
			if n.Given() {
				given++
			}
			if given > 1 && n.Given() {
				return n.Problem("is a second reading in one row; give one of water_pct, available_pct and suction_kpa")
			}
		}
		if given == 0 {
			c := row.Date.Cell
			c.Column, c.Text = "", ""
			return c.Problem("has no reading; give one of water_pct, available_pct and suction_kpa")
		}
		pct := input.Unit{Mul: 1, Div: 1}
		if err := between(row.Water, pct, 0, maxWaterPct); err != nil {
			return err
		}
		if err := between(row.Available, pct, 0, maxAvailablePct); err != nil {
			return err
		}
		if err := between(row.Suction, unitOf(row.Suction, input.Pressure), 0, maxSuctionKPa); err != nil {
			return err
		}
		p := Probe{
			row.Date.Pos.WholeLine(), row.Date.Value(), zone, row.Top.Value(), row.Bottom.Value(),
			row.Water.Value() / 100, row.Available.Value() / 100, row.Suction.Value(), row.Note.Value(),
		}
		rd.seasonal(p.Date, p.Pos)
		out = append(out, p)
		return nil
	})
	slices.SortStableFunc(out, func(a, b Probe) int { return byDate(a.Date, b.Date) })
	return out
}

// TableReading is the depth of the water table below ground in one pipe.
type TableReading struct {
	Pos    input.Pos
	Date   civil.Date
	Pipe   string
	DepthM float64
	Note   string
}

type tableRow struct {
	Date  input.Date   `csv:"date" need:"cell"`
	Pipe  input.Text   `csv:"pipe" need:"cell"`
	Depth input.Number `csv:"depth" unit:"length" need:"cell"`
	Note  input.Text   `csv:"note"`
}

const maxTableM = 100

// DeepTableM is a depth of the water table beyond which it is most likely in
// another unit: 30 feet. Common practice, no published source.
const DeepTableM = 9.144

func (rd *reader) waterTable() []TableReading {
	var out []TableReading
	type pipeDay struct {
		pipe string
		date civil.Date
	}
	lines := map[pipeDay]int{}
	depths := map[input.Pos]input.Number{}
	file(rd, WaterTableFile, func(row *tableRow) error {
		pipe, err := named(row.Pipe, "zone's pipe", rd.farm.Pipes)
		if err != nil {
			return err
		}
		if row.Depth.Value() < 0 {
			return row.Depth.Problem("is above ground; a depth below ground is accepted, 0 where water stands at the surface")
		}
		if err := between(row.Depth, unitOf(row.Depth, input.Length), 0, maxTableM); err != nil {
			return err
		}
		r := TableReading{row.Date.Pos.WholeLine(), row.Date.Value(), pipe, row.Depth.Value(), row.Note.Value()}
		key := pipeDay{pipe, r.Date}
		if line, twice := lines[key]; twice {
			return row.Date.Problem(fmt.Sprintf("pipe %s has another reading of this day in line %d; keep one", pipe, line))
		}
		if r.DepthM > DeepTableM {
			u := unitOf(row.Depth, input.Length)
			rd.doubt(row.Depth.Cell, "is deeper than observation pipes reach, %.3g %s; in inches, or in centimetres?", u.FromSI(DeepTableM), u.Name)
		}
		lines[key] = r.Pos.Line
		depths[r.Pos] = row.Depth
		out = append(out, r)
		return nil
	})
	slices.SortStableFunc(out, func(a, b TableReading) int { return byDate(a.Date, b.Date) })
	rd.doubtTable(out, depths)
	return out
}

// ReadingsThrough are those of one pipe through a day, in order.
func ReadingsThrough(all []TableReading, pipe string, last civil.Date) []watertable.Reading {
	var out []watertable.Reading
	for _, r := range all {
		if r.Pipe == pipe && !r.Date.After(last) {
			out = append(out, watertable.Reading{Date: r.Date, DepthM: r.DepthM})
		}
	}
	return out
}

// doubtTable holds the readings of each pipe against each other. Those that
// cannot be used at all have been refused before.
func (rd *reader) doubtTable(all []TableReading, depths map[input.Pos]input.Number) {
	done := map[string]bool{}
	for _, first := range all {
		pipe := first.Pipe
		if done[pipe] {
			continue
		}
		done[pipe] = true
		_, doubts := watertable.Check(ReadingsThrough(all, pipe, all[len(all)-1].Date))
		for i := range doubts {
			d := &doubts[i]
			at := slices.IndexFunc(all, func(o TableReading) bool { return o.Pipe == pipe && o.Date == d.Reading.Date })
			cell := depths[all[at].Pos]
			switch d.Fault {
			case watertable.Jump:
				rd.doubt(cell.Cell, "%s", jumpText(d, pipe, unitOf(cell, input.Length)))
			case watertable.AtSurface:
				rd.doubt(cell.Cell, "has the table at the surface; right only if water stands there")
			}
		}
	}
}

// jumpText says what is doubted and what is done with it.
func jumpText(d *watertable.Doubt, pipe string, u input.Unit) string {
	length := func(m float64) string { return fmt.Sprintf("%.3g %s", u.FromSI(m), u.Suffix) }
	days := "1 day"
	if n := d.Reading.Date.DaysSince(d.Before.Date); n != 1 {
		days = fmt.Sprintf("%d days", n)
	}
	then := fmt.Sprintf("not used until the next reading of pipe %s agrees with it", pipe)
	if d.Used() {
		then = fmt.Sprintf("used, as the reading of %s agrees with it", d.By.Date)
	}
	return fmt.Sprintf("is %s off the reading of %s, %s earlier, and up to %s is believed; %s",
		length(math.Abs(d.Reading.DepthM-d.Before.DepthM)), d.Before.Date, days, length(d.LimitM), then)
}

// Seen is what a grower saw of a zone.
type Seen struct {
	Pos  input.Pos
	Date civil.Date
	Zone string
	What string // "wilted", "green" or "wet"
	Note string
}

type seenRow struct {
	Date input.Date `csv:"date" need:"cell"`
	Zone input.Text `csv:"zone" need:"cell"`
	Seen input.Text `csv:"seen" need:"cell"`
	Note input.Text `csv:"note"`
}

func (rd *reader) seen() []Seen {
	var out []Seen
	file(rd, SeenFile, func(row *seenRow) error {
		zone, err := named(row.Zone, "zone", rd.farm.Zones)
		if err != nil {
			return err
		}
		what, err := row.Seen.OneOf("wilted", "green", "wet")
		if err != nil {
			return err
		}
		s := Seen{row.Date.Pos.WholeLine(), row.Date.Value(), zone, what, row.Note.Value()}
		rd.seasonal(s.Date, s.Pos)
		out = append(out, s)
		return nil
	})
	slices.SortStableFunc(out, func(a, b Seen) int { return byDate(a.Date, b.Date) })
	return out
}
