// sandwick soils: what the ground holds, how far water rises in it, and what
// the grower has seen of that.
package main

import (
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const soilsLong = `Every soil of the farm: what it holds when drained and when a water table stands under it, how
much of that a crop can take, the reach (the distance over which a water table can feed a full
summer day's use) and where it comes from, and the water that rises over a distance.

With --from-seen: what records/seen.csv tells of reach and of the depth of the water table. The
season is walked again over a grid of both for every zone that was seen to wilt, stay green or
stand wet; the answer is which combinations agree with what was seen, and a setting to type into
farm.toml or zones.geojson. Nothing is changed.

Forms:
  sandwick soils               the soils
  sandwick soils --from-seen   reach and water table from what was seen
  sandwick soils --json        one document, in SI
  sandwick soils --csv         rows: full content by soil, roots and water table; with
                               --from-seen the combinations of the grid`

type soilsFlags struct {
	form outputFlags
	seen bool
}

func (p *program) soilsCommand() *cobra.Command {
	var f soilsFlags
	cmd := &cobra.Command{
		Use:     "soils",
		Short:   "what the ground holds, and how far water rises in it",
		Long:    soilsLong,
		Example: "  sandwick soils --farm myfarm\n  sandwick soils --farm myfarm --from-seen",
		Args:    noArgs,
		RunE: func(*cobra.Command, []string) error {
			if f.seen {
				return p.fromSeen(f)
			}
			return p.soils(f)
		},
	}
	f.form.define(cmd)
	cmd.Flags().BoolVar(&f.seen, "from-seen", false, "reach and water table from what was seen")
	return cmd
}

// Depths of the water table and distances above it that are shown: whole and
// half feet, or tenths of a metre.
func soilDepths(s units.System) (tables, distances []float64) {
	const foot = 0.3048
	if s == units.SI {
		return []float64{0.6, 0.9, 1.2, 1.5, 1.8, 2.4}, []float64{0.2, 0.4, 0.6, 0.8, 1, 1.2, 1.5, 2}
	}
	for _, ft := range []float64{2, 3, 4, 5, 6, 8} {
		tables = append(tables, ft*foot)
	}
	for _, ft := range []float64{0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6} {
		distances = append(distances, ft*foot)
	}
	return tables, distances
}

func (p *program) soils(f soilsFlags) error {
	if err := f.form.check(); err != nil {
		return err
	}
	v, err := p.open()
	if err != nil {
		return err
	}
	facts, err := v.farm.SoilFacts(soilDepths(v.units))
	if err != nil {
		return &failure{err, ""}
	}
	answer := report.NewSoils(v.farm, facts)
	return p.write(f.form, answer, answer.FullRows(), answer.Warnings, func() error {
		return answer.WriteText(p.stdout, v.units)
	})
}

func (p *program) fromSeen(f soilsFlags) error {
	if err := f.form.check(); err != nil {
		return err
	}
	done := p.progress("walking the season over a grid")
	defer done()
	v, err := p.open()
	if err != nil {
		return err
	}
	today := civil.DateOf(v.now)
	if end := booksEnd(v.farm, v.now); end.Before(today) {
		today = end
	}
	season, err := v.walk(today, fields.WalkOptions{})
	if err != nil {
		return err
	}
	c := season.Calibrate()
	answer := report.NewSeen(season, &c)
	done()
	return p.write(f.form, answer, answer.GridRows(), answer.Warnings, func() error {
		return answer.WriteText(p.stdout, v.units)
	})
}
