// The farm folder as the commands see it: opened once, its problems told, its
// names offered to the shell.
package main

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/settings"

	"github.com/spf13/cobra"
)

// openFarm reads the farm folder that --farm names.
func (p *program) openFarm() (*fields.Farm, error) {
	dir := p.common.farm
	farm, problems := fields.Load(dir)
	if len(problems) == 0 {
		return farm, nil
	}
	if _, err := os.Stat(filepath.Join(dir, settings.File)); errors.Is(err, os.ErrNotExist) {
		return nil, usage(problems, "name the farm folder with --farm DIR, or start one with `sandwick init DIR`")
	}
	return nil, usage(problems, "")
}

// view is how an answer about a farm is to be made and shown.
type view struct {
	farm  *fields.Farm
	now   time.Time // the moment the work is done for
	units units.System
}

// open reads the farm and settles the moment and the units.
func (p *program) open() (view, error) {
	farm, err := p.openFarm()
	if err != nil {
		return view{}, err
	}
	system := units.SI
	if farm.US {
		system = units.US
	}
	if p.common.units != "" {
		if system, err = p.common.system(); err != nil {
			return view{}, err
		}
	}
	now, err := p.common.moment(p.now(), farm.Today, farm.Location)
	if err != nil {
		return view{}, err
	}
	return view{farm, now, system}, nil
}

// checkName refuses a name that is not known; an empty name is none asked for.
func checkName(kind, name string, known []string) error {
	if name == "" || slices.Contains(known, name) {
		return nil
	}
	return unknownName(kind, name, known)
}

// completeFields offers the names of the farm's fields.
func (p *program) completeFields(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return p.completeNames((*settings.Settings).FieldNames, nil)
}

// completePivots offers the names of the farm's pivots that are not on the
// command line yet.
func (p *program) completePivots(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return p.completeNames((*settings.Settings).PivotNames, args)
}

// completeNames reads the settings alone: a farm with a mistake in its records
// still has names.
func (p *program) completeNames(names func(*settings.Settings) []string, used []string) ([]cobra.Completion, cobra.ShellCompDirective) {
	src, err := os.ReadFile(filepath.Join(p.common.farm, settings.File))
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	s, _, _ := settings.Read(settings.File, src)
	if s == nil {
		return nil, cobra.ShellCompDirectiveError
	}
	offered := slices.DeleteFunc(names(s), func(name string) bool { return slices.Contains(used, name) })
	return offered, cobra.ShellCompDirectiveNoFileComp
}
