// sandwick check: look for mistakes in the farm's files.
package main

import (
	"errors"
	"slices"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/et/input"

	"github.com/spf13/cobra"
)

const checkLong = `Read every file of the farm and hold it against the others: settings, map, weather,
forecast, earlier years, records. Prints nothing when all is well. Every mistake is told
with its file, line and column, what is wrong, and what would be accepted. Doubts, things
that look odd but stop no work, are told as warnings.

Forms:
  sandwick check
  sandwick check --json     the same as a list, for other programs

Exit status 2 when there is a mistake, 0 when there are only doubts.`

func (p *program) checkCommand() *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:     "check",
		Short:   "look for mistakes in the farm's files",
		Long:    checkLong,
		Example: "  sandwick check --farm myfarm",
		Args:    noArgs,
		RunE:    func(*cobra.Command, []string) error { return p.check(asJSON) },
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON document on standard output")
	return cmd
}

func (p *program) check(asJSON bool) error {
	done := p.progress("reading the farm")
	farm, err := p.openFarm()
	var doubts input.Problems
	if err == nil {
		history, problems := farm.History()
		doubts = slices.Concat(farm.Doubts, farm.DoubtRain(), history.Doubts)
		if len(problems) > 0 {
			err = usage(problems, "")
		}
	}
	done()
	if !asJSON {
		p.problems("warning", doubts)
		return err
	}
	var problems input.Problems
	errors.As(err, &problems)
	if writeErr := report.WriteJSON(p.stdout, report.NewCheck(problems, doubts)); writeErr != nil {
		return writeErr
	}
	return err
}
