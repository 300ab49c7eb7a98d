// sandwick status: where every zone stands today.
package main

import (
	"fmt"

	"sandwick/cmd/sandwick/internal/report"

	"github.com/spf13/cobra"
)

const statusLong = `Where every zone stands today, the worst first: depletion against the trigger, how many days
are left until it reaches it if no more water is given, when it was watered last, and how
deep the water table lies. Where the settings leave doubt the days are a range.

Forms:
  sandwick status
  sandwick status --field NAME     this field only
  sandwick status --json           the same as one document, in SI: depletion_mm and trigger_mm are
                                   means of the zone, depletion_driest_mm and trigger_driest_mm of
                                   its ground nearest to the trigger, as in the zones of a plan
  sandwick status --csv            the rows
  sandwick status --html FILE      one page with maps and plots, to read on a phone and to print

Days left count the rain that is forecast, with its chance, and no other; the same days are in the plan.`

type statusFlags struct {
	form  outputFlags
	page  pageFlags
	field string
}

func (p *program) statusCommand() *cobra.Command {
	var f statusFlags
	cmd := &cobra.Command{
		Use:     "status",
		Short:   "where every zone stands today",
		Long:    statusLong,
		Example: "  sandwick status --farm myfarm",
		Args:    noArgs,
		RunE:    func(*cobra.Command, []string) error { return p.status(f) },
	}
	f.form.define(cmd)
	f.page.define(cmd)
	p.defineField(cmd, &f.field, "only the field of this `NAME`")
	return cmd
}

func (p *program) status(f statusFlags) error {
	if err := f.form.check(); err != nil {
		return err
	}
	if err := f.page.check(f.form); err != nil {
		return err
	}
	v, done, err := p.openFor("keeping the books", &f.field)
	if err != nil {
		return err
	}
	defer done()
	season, err := v.current()
	if err != nil {
		return err
	}
	standing, err := season.Standing(v.now, defaultDays)
	if err != nil {
		return &failure{fmt.Errorf("status: %w", err), ""}
	}
	answer := report.NewStatus(season, standing, v.now, defaultDays)
	if f.field != "" {
		answer.Keep(func(name string) bool { return name == f.field })
	}
	done()
	if f.page.any() {
		return p.statusPage(v, &f, season, answer)
	}
	return p.write(f.form, answer, answer.Zones, answer.Warnings, func() error { return answer.WriteText(p.stdout, v.units) })
}
