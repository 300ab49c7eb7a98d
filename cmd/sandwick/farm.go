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
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/settings"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

// openFarm reads the farm folder that --farm names.
func (p *program) openFarm(how ...fields.Option) (*fields.Farm, error) {
	dir := p.common.farm
	farm, problems := fields.Load(dir, how...)
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
func (p *program) open(how ...fields.Option) (view, error) {
	farm, err := p.openFarm(how...)
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

// openFor opens the farm for work that may take a while and keeps to one field,
// or to none when field is nil or empty; a name in other letter case is put right. done ends what is shown of the work's progress.
func (p *program) openFor(work string, field *string, how ...fields.Option) (v view, done func(), err error) {
	done = p.progress(work)
	if v, err = p.open(how...); err == nil {
		err = checkName("field", field, v.farm.FieldNames())
	}
	if err != nil {
		done()
		return view{}, nil, err
	}
	return v, done, nil
}

// current is the season up to this morning, for an answer about today and the
// days ahead: weather that ended too long ago is refused.
func (v view) current() (*fields.Season, error) {
	today := civil.DateOf(v.now)
	if err := v.fresh(today); err != nil {
		return nil, err
	}
	return v.walk(today, fields.WalkOptions{})
}

// checkName puts right the letter case of a name and refuses one that is not
// known; no name, or an empty one, is none asked for.
func checkName(kind string, name *string, known []string) error {
	if name == nil || *name == "" {
		return nil
	}
	meant, ok := input.Known(*name, known)
	if !ok {
		return unknownName(kind, *name, known)
	}
	*name = meant
	return nil
}

// defineField is the flag that keeps an answer to one field.
func (p *program) defineField(cmd *cobra.Command, name *string, meaning string) {
	cmd.Flags().StringVar(name, "field", "", meaning)
	must(cmd.RegisterFlagCompletionFunc("field", p.completeFields))
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
