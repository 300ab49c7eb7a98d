// sandwick init: a farm folder to start from.
package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"sandwick/cmd/sandwick/internal/starter"

	"github.com/spf13/cobra"
)

const initLong = `Write a farm folder to start from: settings with a comment on every line that needs
one, a zone map, six weeks of invented weather, and empty record books. It runs as it
stands, so that each change can be tried at once.

Form:
  sandwick init DIR

DIR is made if need be. A folder that already holds something is left as it is.`

func (p *program) initCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "init DIR",
		Short:   "write a farm folder to start from",
		Long:    initLong,
		Example: "  sandwick init myfarm\n  sandwick plan --farm myfarm",
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return usage(errors.New("init: no folder named"), "say where to write the farm: `sandwick init myfarm`")
			case len(args) > 1:
				return usage(fmt.Errorf("init: one folder at a time (got %d)", len(args)), "put quotes around a name with spaces")
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
		RunE: func(_ *cobra.Command, args []string) error { return p.init(args[0]) },
	}
}

func (p *program) init(dir string) error {
	written, err := starter.Write(dir)
	switch {
	case errors.Is(err, starter.ErrNotEmpty):
		return usage(fmt.Errorf("init: %s is not empty, nothing was written", dir), "name a new folder")
	case err != nil:
		return &failure{fmt.Errorf("init: %w", err), "is there room, and may you write there?"}
	}
	for _, name := range written {
		if _, err := fmt.Fprintln(p.stdout, filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			return err
		}
	}
	p.hint(fmt.Sprintf("`sandwick plan --farm %s` runs it; farm.toml says line by line what to change", dir))
	return nil
}
